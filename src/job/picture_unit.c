/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A picture has board or bench that is little warmer than the air, and what was read on the board
 * lies within its range: in the wrong unit neither holds. */

#include <gsl/gsl_sort_float.h>
#include <gsl/gsl_statistics_float.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/files.h"

/* The coolest twentieth of a picture, over the air. Judgements: a board that fills the picture may
 * be warm all over, but not by so much that its coolest is beyond COOLEST_MOST_K. */
#define COOLEST_SHARE 0.05
#define COOLEST_LEAST_K (-6.0)
#define COOLEST_MOST_K 20.0
#define HOTTEST_SHARE 0.995
#define RANGE_MARGIN_K 6.0
#define READINGS_LEAST 2

static double as_celsius(double fahrenheit)
{
    return (fahrenheit - 32) / 1.8;
}

/* What is asked: the cool and the hot end of a picture. */
typedef struct picture_range {
    double cool, hot;
} picture_range;

static bool find_range(struct intake *intake, picture_range *found)
{
    const sf_thermogram *of = &intake->job->thermogram;
    size_t all = of->columns * of->rows, count = 0;
    float *sorted = keep_array(intake, all, sizeof *sorted);
    for (size_t i = 0; sorted && i < all; i++)
        if (isfinite(of->shown_c[i]))
            sorted[count++] = of->shown_c[i];
    if (count > 0) {
        gsl_sort_float(sorted, 1, count);
        found->cool = gsl_stats_float_quantile_from_sorted_data(sorted, 1, count, COOLEST_SHARE);
        found->hot = gsl_stats_float_quantile_from_sorted_data(sorted, 1, count, HOTTEST_SHARE);
    }
    free(sorted);
    return count > 0;
}

static bool fits_air(double cool_c, double air_c)
{
    return cool_c >= air_c + COOLEST_LEAST_K && cool_c <= air_c + COOLEST_MOST_K;
}

/* Readings of board and cans that lie in a range, and all of them. */
static size_t count_inside(const sf_job *job, double cool_c, double hot_c, size_t *all)
{
    size_t inside = 0;
    *all = 0;
    for (size_t i = 0; i < job->reading_count; i++) {
        const sf_reading *of = &job->readings[i];
        if (of->spot == SF_SPOT_SOURCE || of->unit != SF_UNIT_CELSIUS || !isnan(of->minute))
            continue;
        ++*all;
        inside += of->value >= cool_c - RANGE_MARGIN_K && of->value <= hot_c + RANGE_MARGIN_K;
    }
    return inside;
}

static void take_as_fahrenheit(struct intake *intake, size_t readings)
{
    sf_thermogram *of = &intake->job->thermogram;
    for (size_t i = 0; i < of->columns * of->rows; i++)
        of->shown_c[i] = (float)as_celsius((double)of->shown_c[i]);
    intake->job->board.camera.unit = SF_UNIT_FAHRENHEIT;
    diagnose_warning(intake, (where){"thermogram.csv", 0, ""},
                     "camera_unit in board.csv, F or C, to say so yourself",
                     "its numbers fit the air and all %zu readings as degrees "
                     "Fahrenheit, and not as Celsius: they are taken as Fahrenheit",
                     readings);
}

void picture_unit_ask(struct intake *intake)
{
    const sf_job *job = intake->job;
    double air_c = job->board.ambient_c;
    picture_range found;
    if (job->thermogram.columns == 0 || isnan(air_c) ||
        board_place(intake, "camera_unit").line > 0 ||
        intake->diagnostics->error_count > intake->errors_before || !find_range(intake, &found))
        return;
    double cool_c = as_celsius(found.cool), hot_c = as_celsius(found.hot);
    size_t all = 0, as_typed = count_inside(job, found.cool, found.hot, &all);
    if (fits_air(found.cool, air_c) || !fits_air(cool_c, air_c))
        return;
    size_t turned = count_inside(job, cool_c, hot_c, &all);
    if (all >= READINGS_LEAST && turned == all && 2 * as_typed <= all)
        take_as_fahrenheit(intake, all);
    else
        diagnose_warning(intake, (where){"thermogram.csv", 0, ""},
                         "camera_unit,F in board.csv if it is in Fahrenheit, else camera_unit,C",
                         "its coolest is %.0f, its air %.0f C: the picture looks as if it were in "
                         "degrees Fahrenheit",
                         found.cool, air_c);
}
