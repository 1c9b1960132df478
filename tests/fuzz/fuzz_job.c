/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every file reader and every correction, fed with bytes. */
#include <gsl/gsl_errno.h>

#include "fuzz/expect.h"
#include "fuzz/folder.h"
#include "fuzz/target.h"

static void correct(const sf_job *job)
{
    sf_diagnostics diagnostics = {0};
    sf_observation *observations = NULL;
    size_t count = 0;
    sf_status status = sf_readings_correct(job, &observations, &count, &diagnostics);
    expect_diagnostics(status, &diagnostics);
    expect((status == SF_OK) == (observations != NULL), "observations come with SF_OK alone");
    expect_sound_observations(observations, count);
    sf_observations_free(observations, count);
    sf_diagnostics_clear(&diagnostics);

    sf_pixels *pixels = NULL;
    status = sf_thermogram_correct(job, &pixels, &diagnostics);
    expect_diagnostics(status, &diagnostics);
    expect_sound_pixels(pixels);
    sf_pixels_free(pixels);
    sf_diagnostics_clear(&diagnostics);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    gsl_set_error_handler_off();
    sf_diagnostics diagnostics = {0};
    sf_job *job = NULL;
    sf_status status = sf_job_read(fuzz_folder(bytes, size), &job, &diagnostics);
    expect_diagnostics(status, &diagnostics);
    expect((status == SF_OK) == (job != NULL), "a job comes with SF_OK alone");
    sf_diagnostics_clear(&diagnostics);
    if (job) {
        expect_sound_job(job);
        correct(job);
    }
    sf_job_free(job);
    return 0;
}
