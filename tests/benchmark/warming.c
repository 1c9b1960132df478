/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Plays series and has them corrected as any reading is. */
#include "benchmark/warming.h"

#include <math.h>
#include <string.h>

#include "spotfield/reading.h"
#include "support/chance.h"

enum { ROWS_MOST = 16 };

#define HALF_WIDTH_SD 1.6449 /* of a central normal interval of 90 % */

/* Box and Muller */
static double normal(unsigned long *seed)
{
    double radius = sqrt(-2 * log(1 - next_uniform(seed)));
    return radius * cos(2 * 3.14159265358979 * next_uniform(seed));
}

static void draw_body(unsigned long *seed, double *body_k, double *body_min)
{
    static const double kinds_k[] = {0, 6, 10, 15};
    *body_k = kinds_k[whole_between(0, 3, seed)];
    *body_min = next_between(45, 180, seed);
}

/* Fills the rows; the steady rise that they lead to. */
static double play(const warming *of, size_t rows, unsigned long *seed, sf_reading *readings)
{
    double board_k = next_between(20, 40, seed);
    double board_min = 6 * pow(3, next_uniform(seed));
    double body_k = of->body_k, body_min = of->body_min;
    if (of->any_body)
        draw_body(seed, &body_k, &body_min);
    for (size_t i = 0; i < rows; i++) {
        double minute = of->last_min * (double)(i + 1) / (double)rows;
        double rise_k = -board_k * expm1(-minute / board_min);
        if (body_k > 0)
            rise_k -= body_k * expm1(-minute / body_min);
        readings[i] = (sf_reading){.id = (char *)"s",
                                   .x_mm = 10,
                                   .y_mm = 10,
                                   .value = 23 + rise_k + of->sd_k * normal(seed),
                                   .unit = SF_UNIT_CELSIUS,
                                   .method = SF_METHOD_INFRARED,
                                   .spot = SF_SPOT_BOARD,
                                   .sd_k = of->sd_k,
                                   .emissivity = NAN,
                                   .reflected_c = NAN,
                                   .ambient_c = NAN,
                                   .junction_c = NAN,
                                   .minute = minute,
                                   .note = (char *)"",
                                   .line = i + 2};
    }
    return board_k + body_k;
}

static bool tally_one(const warming *of, size_t rows, unsigned long *seed, warming_tally *tally)
{
    sf_reading readings[ROWS_MOST];
    double truth_k = play(of, rows, seed, readings);
    sf_job job = {.board = {.ambient_c = 23}, .readings = readings, .reading_count = rows};
    job.policy = sf_policy_default();
    sf_diagnostics diagnostics = {0};
    sf_observation *made = NULL;
    size_t count = 0;
    sf_status status = sf_readings_correct(&job, &made, &count, &diagnostics);
    tally->drawn++;
    if (status == SF_OK && count == 1) {
        double error_k = made[0].rise_k - truth_k, half_k = HALF_WIDTH_SD * made[0].steady_sd_k;
        tally->held += fabs(error_k) <= half_k;
        tally->error_sum_k += error_k;
        tally->width_sum_k += 2 * half_k;
    } else {
        tally->refused++;
    }
    sf_observations_free(made, count);
    sf_diagnostics_clear(&diagnostics);
    return (status == SF_OK && count == 1) || status == SF_ERROR_DATA;
}

bool warming_tally_make(const warming *of, size_t count, unsigned long *seed, warming_tally *tally)
{
    memset(tally, 0, sizeof *tally);
    if (of->rows_least < 1 || of->rows_most < of->rows_least || of->rows_most > ROWS_MOST)
        return false;
    size_t kinds = of->rows_most - of->rows_least + 1;
    for (size_t i = 0; i < count; i++)
        if (!tally_one(of, of->rows_least + i % kinds, seed, tally))
            return false;
    return true;
}
