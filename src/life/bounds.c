/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Commonest grade, and the isotherms at which it wears out. */
#include "life/region.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "life/wear.h"

/* No board is colder or hotter. */
#define COLDEST_C (-100.0)
#define HOTTEST_C 1000.0

static int grade_compare(const void *a, const void *b)
{
    const grade *left = a, *right = b;
    int order = (left->rated_c > right->rated_c) - (left->rated_c < right->rated_c);
    if (order == 0)
        order = (left->endurance_h > right->endurance_h) - (left->endurance_h < right->endurance_h);
    if (order == 0)
        order = (left->doubling_k > right->doubling_k) - (left->doubling_k < right->doubling_k);
    return order;
}

/* The longest run of a sorted list, the first where several are. */
static grade longest_run(const grade *sorted, size_t count)
{
    size_t longest = 0, start = 0;
    grade commonest = sorted[0];
    for (size_t i = 0; i < count; i++) {
        if (grade_compare(&sorted[start], &sorted[i]) != 0)
            start = i;
        if (i - start + 1 > longest) {
            longest = i - start + 1;
            commonest = sorted[i];
        }
    }
    return commonest;
}

sf_status grade_commonest(const sf_job *job, const sf_part_result *results, grade *commonest)
{
    *commonest = (grade){85, job->policy.endurance_85_h, sf_life_doubling_k(SF_TYPE_ALUMINIUM)};
    grade *grades = array_new(job->part_count, sizeof *grades);
    if (!grades)
        return SF_ERROR_MEMORY;
    size_t worn_by_heat = 0;
    for (size_t i = 0; i < job->part_count; i++) {
        double doubling_k = sf_life_doubling_k(job->parts[i].type);
        if (!isnan(doubling_k))
            grades[worn_by_heat++] =
                (grade){job->parts[i].rated_c, results[i].endurance_h, doubling_k};
    }
    if (worn_by_heat > 0) {
        qsort(grades, worn_by_heat, sizeof *grades, grade_compare);
        *commonest = longest_run(grades, worn_by_heat);
    }
    free(grades);
    return SF_OK;
}

typedef struct search {
    wear worn;
    double log_share;
} search;

static double over_share(double rise_k, const void *context)
{
    const search *at = context;
    return wear_log_used(&at->worn, rise_k) - at->log_share;
}

double bound_temp_c(const sf_job *job, const grade *of, double share)
{
    history lived;
    history_start(&lived, job);
    run_time ran = board_run_time(job);
    if (isnan(ran.hours))
        return NAN;
    if (!(ran.hours > 0))
        return INFINITY;
    double air_c = sf_service_air_c(job);
    search at = {.worn = {.lived = &lived,
                          .stressed_h = ran.hours,
                          .life_rated_h = of->endurance_h,
                          .rated_c = of->rated_c,
                          .doubling_k = of->doubling_k,
                          .floor_c = job->policy.life_floor_c,
                          .cover_rise_k = job->policy.cover_rise_k},
                 .log_share = log(share)};
    double rise_k = rising_root(over_share, &at, COLDEST_C - air_c, HOTTEST_C - air_c);
    if (over_share(COLDEST_C - air_c, &at) >= 0)
        return -INFINITY;
    return over_share(HOTTEST_C - air_c, &at) < 0 ? (double)INFINITY : rise_k + air_c;
}
