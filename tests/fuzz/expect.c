/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What must hold of diagnostics, job, observations and pixels, whatever the bytes were. */
#include "fuzz/expect.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

void expect(bool held, const char *what)
{
    if (held)
        return;
    fprintf(stderr, "does not hold: %s\n", what);
    abort();
}

void expect_known(double value, const char *what)
{
    expect(isfinite(value), what);
}

void expect_told(double value, const char *what)
{
    expect(!isinf(value), what);
}

/* --- diagnostics --- */

static void expect_words(const sf_diagnostic *diagnostic)
{
    char *line = sf_diagnostic_text(diagnostic);
    expect(line && line[0], "a diagnostic says something");
    expect(diagnostic->what[0], "a diagnostic says what is wrong");
    free(line);
}

void expect_diagnostics(sf_status status, const sf_diagnostics *diagnostics)
{
    expect(status == SF_OK || status == SF_ERROR_DATA, "bytes end in SF_OK or SF_ERROR_DATA");
    expect((status == SF_ERROR_DATA) == (diagnostics->error_count > 0),
           "SF_ERROR_DATA and an error diagnostic come together");
    for (size_t i = 0; i < diagnostics->count; i++)
        expect_words(&diagnostics->items[i]);
}

/* --- job --- */

static void expect_share(double value, const char *what)
{
    expect(isnan(value) || (value >= 0 && value <= 1), what);
}

static void expect_sound_board(const sf_board *board)
{
    expect(board->width_mm >= SF_BOARD_MM_MIN && board->width_mm <= SF_BOARD_MM_MAX,
           "width of the board");
    expect(board->height_mm >= SF_BOARD_MM_MIN && board->height_mm <= SF_BOARD_MM_MAX,
           "height of the board");
    expect(board->laminate < SF_LAMINATE_COUNT && board->air < SF_AIR_COUNT, "words of the board");
    expect(isfinite(board->thickness_mm) && board->thickness_mm > 0, "thickness of the board");
    expect(board->copper_layers >= 0, "copper layers");
    expect_known(board->copper_thickness_um, "copper thickness");
    expect(board->copper_cover >= 0 && board->copper_cover <= 1, "copper cover");
    expect_known(board->ambient_c, "ambient");
    expect_known(board->service_ambient_c, "service ambient");
    expect_told(board->run_hours, "run hours");
    expect_told(board->run_hours_sd, "doubt of the run hours");
    expect_known(board->service_ambient_sd_k, "doubt of the service ambient");
    expect_known(board->run_hours_sd_pct, "doubt of hours");
    expect_told(board->survey_year, "year of the survey");
    expect_told(board->hours_per_year, "hours per year");
    expect_told(board->service_goal_h, "service goal");
    expect_share(board->camera.emissivity, "emissivity of the camera");
    expect_told(board->camera.reflected_c, "what the board mirrors");
    expect_told(board->camera.sd_k, "doubt of the camera");
    expect(board->name && board->surveyed, "texts of the board");
}

static void expect_sound_rings(const sf_ring *rings, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        expect(rings[i].count >= 3 && rings[i].count <= SF_RING_CORNERS_MAX, "corners of a ring");
        for (size_t j = 0; j < rings[i].count; j++) {
            expect_known(rings[i].points[j].x_mm, "x of a corner");
            expect_known(rings[i].points[j].y_mm, "y of a corner");
        }
    }
}

static void expect_sound_source(const sf_source *source)
{
    expect(source->ref && source->line > 0, "reference and line of a source");
    expect_known(source->x_mm, "x of a source");
    expect_known(source->y_mm, "y of a source");
    expect(isfinite(source->width_mm) && source->width_mm > 0, "width of a source");
    expect(isfinite(source->height_mm) && source->height_mm > 0, "height of a source");
    expect_known(source->angle_deg, "angle of a source");
    expect_told(source->power_w, "power of a source");
    expect_told(source->power_sd_w, "doubt of a power");
    expect_share(source->emissivity, "emissivity of a source");
}

static void expect_sound_reading(const sf_reading *reading)
{
    expect(reading->id && reading->note && reading->line > 0, "texts and line of a reading");
    expect_known(reading->x_mm, "x of a reading");
    expect_known(reading->y_mm, "y of a reading");
    expect_known(reading->value, "value of a reading");
    expect(reading->unit == SF_UNIT_CELSIUS || reading->unit == SF_UNIT_MILLIVOLT,
           "unit of a reading");
    expect(reading->method < SF_METHOD_COUNT && reading->spot < SF_SPOT_COUNT,
           "words of a reading");
    expect_told(reading->sd_k, "doubt of a reading");
    expect_share(reading->emissivity, "emissivity of a reading");
    expect_told(reading->reflected_c, "what a reading mirrors");
    expect_told(reading->ambient_c, "air of a reading");
    expect_told(reading->junction_c, "junction of a reading");
    expect_told(reading->minute, "minute of a reading");
}

static void expect_sound_part(const sf_part *part)
{
    const double maybe[] = {
        part->height_mm,     part->capacitance_uf, part->rated_v,          part->endurance_h,
        part->ripple_a,      part->rated_ripple_a, part->working_v,        part->hours,
        part->measured_uf,   part->emissivity,     part->measured_esr_ohm, part->esr_limit_ohm,
        part->lead_pitch_mm, part->tan_delta,      part->leakage_ua,       part->leakage_limit_ua};
    for (size_t i = 0; i < sizeof maybe / sizeof *maybe; i++)
        expect_told(maybe[i], "what may be known of a part");
    expect(part->ref && part->note && part->line > 0, "texts and line of a part");
    expect_known(part->x_mm, "x of a part");
    expect_known(part->y_mm, "y of a part");
    expect(isfinite(part->diameter_mm) && part->diameter_mm > 0, "diameter of a part");
    expect_known(part->tolerance_low_pct, "lower tolerance of a part");
    expect_known(part->tolerance_high_pct, "upper tolerance of a part");
    expect_known(part->rated_c, "upper category temperature of a part");
    expect(part->duty >= 0 && part->duty <= 1, "duty of a part");
    expect(part->condition < SF_CONDITION_COUNT, "condition of a part");
    expect(part->type < SF_TYPE_COUNT, "type of a part");
    expect(part->mount < SF_FORM_COUNT, "mount of a part");
    expect(part->esr_hz > 0, "frequency at which the ESR of a part was read");
}

static void expect_sound_rest(const sf_job *job)
{
    for (size_t i = 0; i < job->period_count; i++) {
        expect(isfinite(job->periods[i].hours) && job->periods[i].hours >= 0, "hours of a period");
        expect_known(job->periods[i].service_ambient_c, "air of a period");
        expect(isfinite(job->periods[i].load) && job->periods[i].load >= 0, "load of a period");
    }
    for (size_t i = 0; i < job->control_count; i++) {
        expect_known(job->controls[i].value_uf, "marking of a control");
        expect_known(job->controls[i].measured_uf, "measured value of a control");
    }
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++) {
        double value = *(const double *)((const char *)&job->policy + key->offset);
        expect(value >= key->least && value <= key->most, key->key);
    }
    for (size_t i = 0; i < job->assumption_count; i++)
        expect(job->assumptions[i] && job->assumptions[i][0], "an assumption says something");
}

static void expect_sound_thermogram(const sf_thermogram *picture)
{
    size_t count = picture->columns * picture->rows;
    expect(count <= SF_THERMOGRAM_PIXELS_MAX, "pixels of a thermogram");
    expect(picture->columns == 0 || picture->mark_count >= 4, "marks of a thermogram");
    for (size_t i = 0; i < count; i++)
        expect_told(picture->shown_c[i], "pixel of a thermogram");
    for (size_t i = 0; i < picture->mark_count; i++) {
        expect_known(picture->marks[i].column, "column of a mark");
        expect_known(picture->marks[i].row, "row of a mark");
        expect_known(picture->marks[i].x_mm, "x of a mark");
        expect_known(picture->marks[i].y_mm, "y of a mark");
    }
}

void expect_sound_job(const sf_job *job)
{
    expect(job->ring_count >= 1, "a board has an edge");
    expect_sound_board(&job->board);
    expect_sound_rings(job->rings, job->ring_count);
    expect_sound_rings(job->keepouts, job->keepout_count);
    expect_sound_rings(job->masks, job->mask_count);
    for (size_t i = 0; i < job->source_count; i++)
        expect_sound_source(&job->sources[i]);
    for (size_t i = 0; i < job->reading_count; i++)
        expect_sound_reading(&job->readings[i]);
    for (size_t i = 0; i < job->part_count; i++)
        expect_sound_part(&job->parts[i]);
    expect_sound_rest(job);
    expect_sound_thermogram(&job->thermogram);
}

/* --- corrected --- */

void expect_sound_observations(const sf_observation *observations, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        expect_known(observations[i].x_mm, "x of an observation");
        expect_known(observations[i].y_mm, "y of an observation");
        expect_known(observations[i].temp_c, "temperature of an observation");
        expect_known(observations[i].rise_k, "rise of an observation");
        expect(isfinite(observations[i].sd_k) && observations[i].sd_k > 0,
               "doubt of an observation");
        expect(observations[i].id && observations[i].remark, "texts of an observation");
    }
}

void expect_sound_pixels(const sf_pixels *pixels)
{
    if (!pixels)
        return;
    for (size_t i = 0; i < pixels->count; i++) {
        expect_known(pixels->x_mm[i], "x of a pixel");
        expect_known(pixels->y_mm[i], "y of a pixel");
        expect_known(pixels->rise_k[i], "rise of a pixel");
    }
    for (size_t i = 0; i < pixels->mark_count; i++)
        expect_known(pixels->mark_residual_mm[i], "distance of a mark");
    for (size_t i = 0; i < pixels->body_count; i++)
        expect_known(pixels->bodies[i].temp_c, "temperature of a body");
    expect(isfinite(pixels->pixel_sd_k) && pixels->pixel_sd_k > 0, "noise of a pixel");
    expect_known(pixels->offset_sd_k, "offset of the pixels");
    expect_known(pixels->gain_sd, "gain of the pixels");
    expect_known(pixels->marks_rms_mm, "how far the marks miss");
    expect_known(pixels->pixel_mm, "size of a pixel");
    expect_share(pixels->covered, "share of the board in the picture");
}
