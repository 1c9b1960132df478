/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From bytes to verdicts: whatever job is read, field and results are numbers. */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_errno.h>

#include "fuzz/expect.h"
#include "fuzz/folder.h"
#include "fuzz/target.h"
#include "spotfield/spotfield.h"

static void expect_sound_grid(const sf_field *field)
{
    sf_grid grid = sf_field_grid(field);
    for (size_t i = 0; i < grid.columns * grid.rows; i++) {
        double rise_k = sf_field_rise_k(field)[i], sd_k = sf_field_rise_sd_k(field)[i];
        if (!grid.inside[i])
            continue;
        expect_known(rise_k, "rise of a cell");
        expect(isfinite(sd_k) && sd_k >= 0, "doubt of a cell");
    }
}

static void expect_sound_fits(const sf_field *field)
{
    size_t count = 0;
    const sf_reading_fit *readings = sf_field_readings(field, &count);
    for (size_t i = 0; i < count; i++) {
        expect_known(readings[i].fitted_k.value, "fit of a reading");
        expect_known(readings[i].fitted_k.sd, "doubt of the fit of a reading");
    }
    const sf_source_fit *sources = sf_field_sources(field, &count);
    for (size_t i = 0; i < count; i++) {
        expect_known(sources[i].rise_k.value, "rise of a source");
        expect_known(sources[i].rise_k.sd, "doubt of the rise of a source");
    }
}

static void expect_sound_result(const sf_part *part, const sf_part_result *result)
{
    const double maybe[] = {result->hours,       result->age_years,    result->used,
                            result->used_low,    result->used_high,    result->past_life,
                            result->worn_out,    result->left_h,       result->left_years,
                            result->reading_pct, result->clear_below_c};
    for (size_t i = 0; i < sizeof maybe / sizeof *maybe; i++)
        expect_told(maybe[i], "what may be known of a result");
    expect_known(result->temp_c, "temperature of a part");
    expect_known(result->temp_sd_k, "doubt of the temperature of a part");
    if (isnan(sf_life_doubling_k(part->type)))
        expect(isnan(result->life_h), "no life by heat where no law tells it");
    else
        expect_known(result->life_h, "life of a part");
    expect_known(result->endurance_h, "endurance of a part");
    expect(!(result->past_life < 0 || result->past_life > 1), "probability of a part");
    expect(!(result->worn_out < 0 || result->worn_out > 1), "probability of wear");
    expect(!(result->used_low > result->used_high), "interval of the share used");
    expect(result->reason && result->reason[0], "reason of a verdict");
    expect(result->verdict < SF_VERDICT_COUNT, "verdict of a part");
}

static void decide(const sf_job *job, const sf_field *field)
{
    sf_part_result *results = NULL;
    sf_estimate *rises_k = calloc(job->part_count + 1, sizeof *rises_k);
    expect(rises_k != NULL, "there is memory for the parts");
    for (size_t i = 0; i < job->part_count; i++) {
        const sf_part *part = &job->parts[i];
        expect(sf_field_at(field, part->x_mm, part->y_mm, &rises_k[i]) == SF_OK,
               "a part has a rise");
    }
    expect(sf_parts_decide(job, rises_k, &results) == SF_OK, "parts that were read are decided");
    for (size_t i = 0; i < job->part_count; i++)
        expect_sound_result(&job->parts[i], &results[i]);
    sf_part_results_free(results, job->part_count);
    free(rises_k);
}

/* A fit may fail to reach a finite answer, and says so; it never gives one that is none. */
static void map(const sf_job *job, sf_diagnostics *diagnostics)
{
    sf_observation *observations = NULL;
    sf_pixels *pixels = NULL;
    sf_field *field = NULL;
    size_t count = 0;
    sf_field_options options = sf_field_options_default();
    options.cells_max = 400;
    options.position_sd_mm = job->policy.position_sd_mm;
    sf_status status = sf_readings_correct(job, &observations, &count, diagnostics);
    if (status == SF_OK)
        status = sf_thermogram_correct(job, &pixels, diagnostics);
    sf_point *cans = sf_part_places(job);
    sf_field_input input = sf_field_input_of(job, observations, count);
    input.pixels = pixels;
    input.cans = cans;
    input.can_count = job->part_count;
    if (!cans)
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = sf_field_fit(&input, &options, &field, diagnostics);
    expect((status == SF_OK) == (field != NULL), "a field comes with SF_OK alone");
    expect(status == SF_OK || status == SF_ERROR_DATA || status == SF_ERROR_NUMERIC,
           "a job that was read has no argument out of range");
    if (field) {
        expect_sound_grid(field);
        expect_sound_fits(field);
        decide(job, field);
    }
    free(cans);
    sf_field_free(field);
    sf_pixels_free(pixels);
    sf_observations_free(observations, count);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    gsl_set_error_handler_off();
    sf_diagnostics diagnostics = {0};
    sf_job *job = NULL;
    if (sf_job_read(fuzz_folder(bytes, size), &job, &diagnostics) == SF_OK)
        map(job, &diagnostics);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    return 0;
}
