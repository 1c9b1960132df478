/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The whole correction: rows of the job in, observations out, every fault told. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/diagnose.h"
#include "core/memory.h"
#include "core/text.h"
#include "readings/correction.h"
#include "readings/settle.h"
#include "spotfield/reading.h"

/* --- how a fault is told, after which all goes on --- */

const range board_c = {-40, 400, "C"};
const range air_c = {SF_AIR_C_MIN, SF_AIR_C_MAX, "C"};
const range emissivities = {SF_EMISSIVITY_MIN, 1, ""};

void correction_tell(correction *run, sf_severity severity, const char *file, size_t line,
                     const char *column, char *what, const char *expected)
{
    if (severity == SF_ERROR && run->status == SF_OK)
        run->status = SF_ERROR_DATA;
    if (diagnose_taking(run->diagnostics, severity, file, line, column, what, expected) != SF_OK)
        run->status = SF_ERROR_MEMORY;
}

void correction_refuse_range(correction *run, const char *file, size_t line, const char *column,
                             char *what, range in)
{
    char expected[80];
    snprintf(expected, sizeof expected, "a number from %.10g to %.10g%s%s", in.least, in.most,
             in.unit[0] ? " " : "", in.unit);
    correction_tell(run, SF_ERROR, file, line, column, what, expected);
}

void correction_refuse(correction *run, size_t line, const char *column, char *what,
                       const char *expected)
{
    correction_tell(run, SF_ERROR, "readings.csv", line, column, what, expected);
}

void correction_warn(correction *run, size_t line, const char *column, char *what,
                     const char *expected)
{
    correction_tell(run, SF_WARNING, "readings.csv", line, column, what, expected);
}

/* --- rows of one id --- */

static int compare_sizes(size_t a, size_t b)
{
    return (a > b) - (a < b);
}

static int compare_ids(const void *left, const void *right)
{
    const series_row *a = left, *b = right;
    int order = strcmp(a->id, b->id);
    return order ? order : compare_sizes(a->index, b->index);
}

/* A blank minute comes last, so that the order is total. */
static int compare_minutes(double a, double b)
{
    if (isnan(a) || isnan(b))
        return (isnan(a) != 0) - (isnan(b) != 0);
    return (a > b) - (a < b);
}

static int compare_places(const void *left, const void *right)
{
    const series_row *a = left, *b = right;
    int order = compare_sizes(a->leader, b->leader);
    if (order == 0)
        order = compare_minutes(a->minute, b->minute);
    return order ? order : compare_sizes(a->index, b->index);
}

/* All rows by id and minute, a new array of count freed with free(); NULL where memory is short. */
static series_row *series_sort(const sf_reading *readings, size_t count)
{
    series_row *rows = array_new(count, sizeof *rows);
    if (!rows)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        const char *id = readings[i].id ? readings[i].id : "";
        rows[i] = (series_row){id, readings[i].minute, i, i};
    }
    qsort(rows, count, sizeof *rows, compare_ids);
    for (size_t i = 1; i < count; i++)
        if (rows[i].id[0] && strcmp(rows[i].id, rows[i - 1].id) == 0)
            rows[i].leader = rows[i - 1].leader;
    qsort(rows, count, sizeof *rows, compare_places);
    return rows;
}

/* How many rows of the `left` from `first` on share its id; at least 1. */
static size_t series_length(const series_row *first, size_t left)
{
    size_t length = 1;
    while (length < left && first[length].leader == first->leader)
        length++;
    return length;
}

/* --- the whole run --- */

static void refuse_policy(correction *run, const char *key, char *what, const char *expected)
{
    correction_tell(run, SF_ERROR, "policy.csv", 0, key, what, expected);
}

static void check_policy(correction *run)
{
    const sf_policy *policy = &run->job->policy;
    if (!(policy->bead_bias_pct >= -50 && policy->bead_bias_pct <= 50))
        refuse_policy(run, "bead_bias_pct",
                      text_format("%g is out of range", policy->bead_bias_pct),
                      "-50 to 50 % of the rise");
    if (!(policy->bead_bias_sd_pct >= 0 && policy->bead_bias_sd_pct <= 50))
        refuse_policy(run, "bead_bias_sd_pct",
                      text_format("%g is out of range", policy->bead_bias_sd_pct),
                      "0 to 50 % of the rise");
    if (!(policy->case_offset_sd_k >= 0 && policy->case_offset_sd_k <= 50))
        refuse_policy(run, "case_offset_sd_k",
                      text_format("%g is out of range", policy->case_offset_sd_k),
                      "0 to 50 kelvins");
}

/* Once a series: the row that mirrors most. */
static void warn_of_mirror(correction *run, const series_row *rows, size_t count)
{
    const sf_reading *worst = NULL;
    for (size_t i = 0; i < count; i++) {
        const sf_reading *row = &run->job->readings[rows[i].index];
        bool mirrors = row->method == SF_METHOD_INFRARED && row->emissivity > 0 &&
                       row->emissivity < EMISSIVITY_LEAST;
        if (mirrors && (!worst || row->emissivity < worst->emissivity))
            worst = row;
    }
    if (!worst)
        return;
    const char *why = worst->emissivity < EMISSIVITY_MIRROR
                          ? "bare metal reflects the room, the surface itself hardly shows"
                          : "so shiny a surface follows the fourth power only roughly";
    correction_warn(run, worst->line, "emissivity", text_format("%g: %s", worst->emissivity, why),
                    "0.6 or more: matt tape or paint on the spot");
}

static void warn_of_cold(correction *run, const sf_observation *made)
{
    if (made->rise_k < -3 * made->sd_k)
        correction_warn(
            run, made->line, "value",
            text_format("comes to %.1f C, %.1f K below its air", made->temp_c, -made->rise_k),
            "a board at least as warm as its air: check value, unit and ambient_c");
}

/* One id: false where it made no observation, told in run->status. */
static bool correct_spot(correction *run, const series_row *rows, size_t count,
                         sf_observation *made)
{
    settled spot;
    bool good =
        count == 1 ? settle_single(run, rows, &spot) : settle_series(run, rows, count, &spot);
    warn_of_mirror(run, rows, count);
    if (!good || !observation_make(run, &spot, made))
        return false;
    warn_of_cold(run, made);
    return true;
}

/* All ids in turn, past every fault; the number of observations made. */
static size_t correct_spots(correction *run, const series_row *rows, sf_observation *made)
{
    size_t made_count = 0, row_count = run->job->reading_count;
    for (size_t i = 0; run->status != SF_ERROR_MEMORY && i < row_count;) {
        size_t length = series_length(&rows[i], row_count - i);
        if (correct_spot(run, &rows[i], length, &made[made_count]))
            made_count++;
        i += length;
    }
    return made_count;
}

sf_status sf_readings_correct(const sf_job *job, sf_observation **observations, size_t *count,
                              sf_diagnostics *diagnostics)
{
    *observations = NULL;
    *count = 0;
    correction run = {job, diagnostics, SF_OK};
    series_row *rows = series_sort(job->readings, job->reading_count);
    sf_observation *made = array_new(job->reading_count, sizeof *made);
    size_t made_count = 0;
    if (rows && made) {
        check_policy(&run);
        made_count = correct_spots(&run, rows, made);
    } else {
        run.status = SF_ERROR_MEMORY;
    }
    free(rows);
    if (run.status != SF_OK) {
        sf_observations_free(made, made_count);
        return run.status;
    }
    *observations = made;
    *count = made_count;
    return SF_OK;
}

void sf_observations_free(sf_observation *observations, size_t count)
{
    if (!observations)
        return;
    for (size_t i = 0; i < count; i++) {
        free(observations[i].id);
        free(observations[i].remark);
    }
    free(observations);
}
