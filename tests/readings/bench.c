/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays the bench, and corrects what was read on it. */
#include "readings/bench.h"

#include <math.h>
#include <string.h>

void lay_bench(bench *on, size_t count)
{
    static char *const ids[ROWS_MAX] = {"t1", "t2",  "t3",  "t4",  "t5",  "t6",  "t7",  "t8",
                                        "t9", "t10", "t11", "t12", "t13", "t14", "t15", "t16"};
    memset(on, 0, sizeof *on);
    for (size_t i = 0; i < count; i++)
        on->rows[i] = (sf_reading){.id = ids[i],
                                   .x_mm = 31.7,
                                   .y_mm = 84.2,
                                   .value = 61.3,
                                   .unit = SF_UNIT_CELSIUS,
                                   .method = SF_METHOD_THERMOCOUPLE_K,
                                   .spot = SF_SPOT_BOARD,
                                   .sd_k = 0.7,
                                   .emissivity = NAN,
                                   .reflected_c = NAN,
                                   .ambient_c = NAN,
                                   .junction_c = NAN,
                                   .minute = NAN,
                                   .note = "",
                                   .line = i + 2};
    on->job.board.ambient_c = 23.6;
    on->job.reading_count = count;
}

void correct(bench *on)
{
    on->job.readings = on->rows;
    on->status = sf_readings_correct(&on->job, &on->observations, &on->count, &on->diagnostics);
}

void clear_bench(bench *on)
{
    sf_observations_free(on->observations, on->count);
    sf_diagnostics_clear(&on->diagnostics);
}

double common_k(const sf_observation *made)
{
    double sum_k2 = 0;
    for (int common = 0; common < SF_COMMON_COUNT; common++)
        sum_k2 += made->common_k[common] * made->common_k[common];
    return sqrt(sum_k2);
}

double sd_of(bench *on)
{
    correct(on);
    assert_int_equal(on->status, SF_OK);
    double sd_k = on->observations[0].sd_k;
    clear_bench(on);
    return sd_k;
}
