/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads a job and plans for it. */
#include "survey/plan_job.h"

planned plan_job(const char *folder)
{
    planned done = {0};
    sf_diagnostics dropped = {0};
    sf_observation *observations = NULL;
    sf_pixels *pixels = NULL;
    size_t count = 0;
    sf_plan_options options = sf_plan_options_default();
    options.points = 3;
    if (sf_job_read_to_plan(folder, &done.job, &dropped) == SF_OK &&
        sf_readings_correct(done.job, &observations, &count, &dropped) == SF_OK &&
        sf_thermogram_correct(done.job, &pixels, &dropped) == SF_OK) {
        options.pixels = pixels;
        sf_plan_make(done.job, observations, count, &options, &done.plan, &dropped);
    }
    sf_pixels_free(pixels);
    sf_observations_free(observations, count);
    sf_diagnostics_clear(&dropped);
    return done;
}

void planned_clear(planned *ended)
{
    sf_plan_free(ended->plan);
    sf_job_free(ended->job);
    *ended = (planned){0};
}
