/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A spot at steady state: read once, or extrapolated from its warm-up. */
#include "readings/settle.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/text.h"
#include "readings/correction.h"

#define SERIES_LEAST 3

static const sf_reading *reading_of(const correction *run, const series_row *row)
{
    return &run->job->readings[row->index];
}

bool settle_single(correction *run, const series_row *single, settled *spot)
{
    const sf_reading *row = reading_of(run, single);
    *spot = (settled){.row = row, .row_count = 1, .is_default = isnan(row->sd_k)};
    if (!row_convert(run, row, &spot->value))
        return false;
    double sd_k = (spot->is_default ? REPEAT_SD_K : row->sd_k) * spot->value.gain;
    spot->random_sd_k = spot->is_default ? sd_k : sqrt(1 - STATED_SHARED) * sd_k;
    spot->shared_sd_k = spot->is_default ? 0 : sqrt(STATED_SHARED) * sd_k;
    if (!isnan(row->minute))
        correction_warn(
            run, row->line, "minute",
            text_format("a single reading at %g min may not be at steady state", row->minute),
            "a blank cell once steady, or 3 readings or more under one id");
    return true;
}

static bool same_spot(const sf_reading *a, const sf_reading *b)
{
    return a->x_mm == b->x_mm && a->y_mm == b->y_mm && a->method == b->method && a->spot == b->spot;
}

/* Whether the i-th row of one id can stand in a series with the others. */
static bool check_series_row(correction *run, const series_row *rows, size_t count, size_t i)
{
    const sf_reading *row = reading_of(run, &rows[i]);
    if (isnan(row->minute)) {
        correction_refuse(run, row->line, "minute",
                          text_format("is blank, and \"%s\" is on %zu rows", rows->id, count),
                          "a minute on each row of a series, or another id");
        return false;
    }
    if (i > 0 && rows[i].minute == rows[i - 1].minute) {
        correction_refuse(run, row->line, "minute",
                          text_format("%g is on two rows of \"%s\"", row->minute, rows->id),
                          "a minute of its own on each row of a series");
        return false;
    }
    if (!same_spot(row, &run->job->readings[rows->leader])) {
        correction_refuse(
            run, row->line, "id",
            text_format("\"%s\" is on rows with another place, method or spot", rows->id),
            "one place, method and spot for a series, or another id");
        return false;
    }
    return true;
}

/* Whether rows of one id make a series at all. */
static bool check_series(correction *run, const series_row *rows, size_t count)
{
    bool good = true;
    for (size_t i = 0; i < count; i++)
        good &= check_series_row(run, rows, count, i);
    if (good && count < SERIES_LEAST) {
        correction_refuse(run, run->job->readings[rows->leader].line, "id",
                          text_format("\"%s\" is on %zu rows", rows->id, count),
                          "3 readings or more for a series, or only the last, once it is steady");
        good = false;
    }
    return good;
}

/* Why a series gives no steady temperature. */
static const char *verdict_text(warmup_verdict verdict)
{
    switch (verdict) {
    case WARMUP_STRAIGHT:
        return "does not bend towards a steady temperature yet";
    case WARMUP_OPEN:
        return "leaves its steady temperature open by more than a third of the rise";
    case WARMUP_SCATTERED:
        return "scatters around any warm-up curve by more than u_k allows";
    case WARMUP_FITTED:
        break;
    }
    return "did not settle";
}

static void refuse_series(correction *run, const series_row *rows, size_t count, const char *why)
{
    correction_refuse(run, reading_of(run, &rows[count - 1])->line, "minute",
                      text_format("series \"%s\" of %zu readings up to %g min %s", rows->id, count,
                                  rows[count - 1].minute, why),
                      "more readings, until it moves less than " STEADY_TEXT
                      "; then that last value alone is enough, with its minute blank");
}

/* Arrays for one series, in the order of its minutes. */
typedef struct column_set {
    double *minute, *rise_k;
    double mean_square_sd_k2;
    bool is_default;
} column_set;

static bool fill_columns(correction *run, const series_row *rows, size_t count, column_set *set,
                         row_value *last)
{
    bool good = true;
    for (size_t i = 0; i < count; i++) {
        const sf_reading *row = reading_of(run, &rows[i]);
        if (!row_convert(run, row, last)) {
            good = false;
            continue;
        }
        double sd_k = (isnan(row->sd_k) ? REPEAT_SD_K : row->sd_k) * last->gain;
        set->is_default = set->is_default || isnan(row->sd_k);
        set->mean_square_sd_k2 += sd_k * sd_k / (double)count;
        set->minute[i] = rows[i].minute;
        set->rise_k[i] = last->rise_k;
    }
    return good;
}

static bool judge_series(correction *run, const series_row *rows, size_t count,
                         const column_set *set, settled *spot)
{
    sf_status status = warmup_judge(set->minute, set->rise_k, count, sqrt(set->mean_square_sd_k2),
                                    0, &spot->warmup);
    warmup_verdict verdict = spot->warmup.verdict;
    if (status != SF_OK || verdict != WARMUP_FITTED) {
        refuse_series(run, rows, count,
                      status == SF_OK ? verdict_text(verdict) : "gives no warm-up curve");
        return false;
    }
    spot->value.rise_k = spot->warmup.led.steady_k;
    spot->random_sd_k = spot->warmup.led.steady_sd_k;
    spot->is_default = set->is_default;
    spot->shared_sd_k = set->is_default ? 0 : sqrt(STATED_SHARED * set->mean_square_sd_k2);
    return true;
}

bool settle_series(correction *run, const series_row *rows, size_t count, settled *spot)
{
    *spot = (settled){.row = &run->job->readings[rows->leader],
                      .row_count = count,
                      .last_minute = rows[count - 1].minute};
    column_set set = {array_new(count, sizeof(double)), array_new(count, sizeof(double)), 0, false};
    bool good = set.minute && set.rise_k;
    if (!good)
        run->status = SF_ERROR_MEMORY;
    /* both are asked in any case, so that every fault is told */
    bool is_series = check_series(run, rows, count);
    good = good && fill_columns(run, rows, count, &set, &spot->value) && is_series &&
           judge_series(run, rows, count, &set, spot);
    free(set.minute);
    free(set.rise_k);
    return good;
}
