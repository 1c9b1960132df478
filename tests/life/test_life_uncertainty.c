/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The doubt of the share used, against closed forms, brute summation and random draws. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>

#include "life/fixture.h"
#include "life/wear.h"

#define PER_K (log(2) / 10)
#define SDS_95 1.6448536269514722

static sf_period changing[] = {{9000, 24, 1, ""}, {5000, 31, 1.3, ""}, {2500, 18, 0.4, ""}};
static sf_period steady[] = {{16500, 26, 1, ""}};

/* Seven kinds of hours whose corners crowd. */
static sf_period crowded[] = {{3000, 24, 1, ""},    {2500, 25, 1, ""},   {2500, 31, 1.1, ""},
                              {2500, 26, 1.02, ""}, {2000, 21, 0.9, ""}, {2000, 19, 1.3, ""},
                              {2000, 33, 0.4, ""}};

/* A case of the table: what the part is in, and what is unsure. */
typedef struct scene {
    const char *name;
    sf_period *periods;
    size_t count;
    double rise_k, temp_sd_k, rest_sd;
} scene;

static const scene scenes[] = {
    {"hot, heat and rest", steady, 1, 44, 3.1, 0.35},
    {"hot, heat alone", steady, 1, 44, 3.1, 0},
    {"hot, rest alone", steady, 1, 44, 0, 0.27},
    {"hot, a little rest", steady, 1, 44, 4.7, 0.011},
    {"on the floor", steady, 1, 13.2, 6.3, 0.35},
    {"on the floor, heat alone", steady, 1, 16.1, 6.3, 0},
    {"under the floor", steady, 1, 5.5, 4.9, 0.43},
    {"changing air and load", changing, 3, 18.3, 5.7, 0.25},
    {"changing, heat alone", changing, 3, 21.9, 7.7, 0},
    {"crowded corners", crowded, 7, 15.1, 5.3, 0.25},
};

#define SCENES (sizeof scenes / sizeof scenes[0])

typedef struct stage {
    sf_job job;
    history lived;
    wear worn;
    doubt of;
} stage;

static void set_stage(stage *on, const scene *set)
{
    on->job = plain_job(NULL, 0);
    on->job.periods = set->periods;
    on->job.period_count = set->count;
    history_start(&on->lived, &on->job);
    on->worn = (wear){&on->lived, 16500, 3000, 85, 40, set->rise_k, 1.5, 0, 10};
    on->of = (doubt){&on->worn, set->temp_sd_k, set->rest_sd};
}

static void far_above_the_floor_the_doubt_is_log_normal(void **state)
{
    (void)state;
    stage on;
    set_stage(&on, &scenes[0]);
    /* computed from sd^2 = (ln 2 / 10 temp_sd)^2 + rest^2; the floor is 10 sd away */
    double sd = hypot(PER_K * 3.1, 0.35), median = exp(wear_log_used(&on.worn, 0));
    assert_close(doubt_low(&on.of), median * exp(-SDS_95 * sd), 1e-7, 0);
    assert_close(doubt_high(&on.of), median * exp(SDS_95 * sd), 1e-7, 0);
    for (double share = 0.3; share < 9; share *= 1.7)
        assert_close(doubt_tail(&on.of, share), gsl_cdf_lognormal_Q(share, log(median), sd), 0,
                     1e-8);
}

static void at_the_floor_a_colder_part_lives_no_longer(void **state)
{
    (void)state;
    stage on;
    set_stage(&on, &scenes[5]);
    /* the estimate is 3.6 K above the floor: offsets below, a chance of 0.28, all mean the floor */
    double at_floor = 16500 / sf_life_hours(3000, 85, 40, 40);
    assert_close(doubt_low(&on.of), at_floor, 1e-9, 0);
    assert_close(doubt_high(&on.of), exp(wear_log_used(&on.worn, SDS_95 * 6.3)), 1e-8, 0);
    assert_close(doubt_tail(&on.of, at_floor * 1.000001), gsl_cdf_ugaussian_Q(-3.6 / 6.3), 0, 1e-6);
    assert_close(doubt_tail(&on.of, at_floor * 0.999999), 1, 0, 1e-12);
}

/* P(used > share) by many narrow slices of the offset, corners and all. */
static double brute_tail(const doubt *of, double share)
{
    const int slices = 400000;
    double sum = 0, width = 17.0 / slices;
    for (int i = 0; i < slices; i++) {
        double sds = -8.5 + (i + 0.5) * width;
        double missing = log(share) - wear_log_used(of->worn, sds * of->temp_sd_k);
        sum += gsl_ran_ugaussian_pdf(sds) * gsl_cdf_ugaussian_Q(missing / of->rest_sd);
    }
    return sum * width;
}

static void tails_agree_with_brute_summation(void **state)
{
    (void)state;
    stage on;
    for (size_t i = 0; i < SCENES; i++) {
        if (scenes[i].rest_sd == 0)
            continue;
        set_stage(&on, &scenes[i]);
        double median = exp(wear_log_used(&on.worn, 0));
        for (double share = median * 0.62; share < median * 3; share *= 1.9)
            assert_close(doubt_tail(&on.of, share), brute_tail(&on.of, share), 0,
                         scenes[i].count > 3 ? 1e-4 : 1e-7);
    }
}

#define DRAWS 200000
/* Standard errors a drawn value may be off by: one in 16,000 for a single check. */
#define ERRORS_ALLOWED 4.0

static double *draw_shares(const doubt *of, unsigned long seed)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    double *shares = malloc(DRAWS * sizeof *shares);
    assert_non_null(random);
    assert_non_null(shares);
    gsl_rng_set(random, seed);
    for (size_t i = 0; i < DRAWS; i++) {
        double offset_k = gsl_ran_gaussian_ziggurat(random, of->temp_sd_k);
        double rest = gsl_ran_gaussian_ziggurat(random, of->rest_sd);
        shares[i] = exp(wear_log_used(of->worn, offset_k) + rest);
    }
    gsl_sort(shares, 1, DRAWS);
    gsl_rng_free(random);
    return shares;
}

/* Share of the sorted draws that lie above a value. */
static double drawn_above(const double *shares, double value)
{
    size_t below = 0;
    while (below < DRAWS && shares[below] <= value)
        below++;
    return (double)(DRAWS - below) / DRAWS;
}

static double drawn_worn(const double *shares)
{
    double sum = 0;
    for (size_t i = 0; i < DRAWS; i++)
        sum += sf_wear_share(shares[i], 3, 0.1);
    return sum / DRAWS;
}

static void quantiles_tails_and_worn_shares_agree_with_random_draws(void **state)
{
    (void)state;
    stage on;
    double error = ERRORS_ALLOWED * sqrt(0.25 / DRAWS),
           error_5 = ERRORS_ALLOWED * sqrt(0.0475 / DRAWS);
    for (size_t i = 0; i < SCENES; i++) {
        set_stage(&on, &scenes[i]);
        double *shares = draw_shares(&on.of, 20210702 + i);
        /* a nudge outwards, so that draws on the floor itself count as not below it */
        assert_close(1 - drawn_above(shares, doubt_low(&on.of) * (1 - 1e-9)),
                     scenes[i].rest_sd > 0 || doubt_low(&on.of) > shares[0] * 1.0001 ? 0.05 : 0, 0,
                     error_5);
        assert_close(drawn_above(shares, doubt_high(&on.of)), 0.05, 0, error_5);
        assert_close(drawn_above(shares, 1), doubt_tail(&on.of, 1), 0, error);
        assert_close(drawn_worn(shares), doubt_worn_share(&on.of, 3, 0.1), 0, error);
        free(shares);
    }
}

static void worn_share_without_doubt_is_the_weibull_share(void **state)
{
    (void)state;
    stage on;
    const scene sure = {"sure", steady, 1, 37.7, 0, 0};
    set_stage(&on, &sure);
    double used = exp(wear_log_used(&on.worn, 0));
    assert_close(doubt_worn_share(&on.of, 3, 0.1), sf_wear_share(used, 3, 0.1), 1e-9, 0);
    assert_close(doubt_low(&on.of), used, 1e-12, 0);
    assert_close(doubt_high(&on.of), used, 1e-12, 0);
    assert_close(doubt_tail(&on.of, used * 1.01), 0, 0, 1e-12);
    assert_close(doubt_tail(&on.of, used * 0.99), 1, 0, 1e-12);
}

static void heat_counts_for_less_below_the_floor(void **state)
{
    (void)state;
    stage on;
    set_stage(&on, &scenes[0]);
    assert_close(doubt_from_heat(&on.of), PER_K * 3.1, 1e-12, 0);
    set_stage(&on, &scenes[4]);
    /* 0.7 K above the floor: up by 6.3 K, down by 0.7 only */
    assert_close(doubt_from_heat(&on.of), PER_K * (6.3 + 0.7) / 2, 1e-12, 0);
}

/* By Pythagoras: 3 K and 4 K make 5 K, of whose variance 9 of 25 are the air's. */
static void the_airs_share_is_one_of_variances(void **state)
{
    (void)state;
    stage on;
    set_stage(&on, &scenes[0]);
    doubt made = doubt_make(&on.worn, 4, 3, 0.35);
    assert_close(made.temp_sd_k, 5, 1e-12, 0);
    assert_close(on.worn.air_share, 0.36, 1e-12, 0);
    doubt_make(&on.worn, 0, 0, 0.35);
    assert_close(on.worn.air_share, 0, 0, 0);
}

static void more_doubt_of_heat_never_narrows_the_interval(void **state)
{
    (void)state;
    stage on;
    scene set = scenes[7];
    double low = 1e9, high = 0;
    for (set.temp_sd_k = 0.3; set.temp_sd_k < 14; set.temp_sd_k *= 1.6) {
        set_stage(&on, &set);
        assert_true(doubt_low(&on.of) <= low && doubt_high(&on.of) >= high);
        low = doubt_low(&on.of);
        high = doubt_high(&on.of);
    }
}

static void a_boundless_doubt_of_heat_stays_finite(void **state)
{
    (void)state;
    stage on;
    const scene lost = {"lost", changing, 3, 21, 1e5, 0.35};
    set_stage(&on, &lost);
    assert_true(isfinite(doubt_high(&on.of)));
    assert_true(isfinite(doubt_low(&on.of)));
    assert_close(doubt_tail(&on.of, 1), 0.5, 0, 0.06);
    assert_true(doubt_worn_share(&on.of, 3, 0.1) <= 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(far_above_the_floor_the_doubt_is_log_normal),
        cmocka_unit_test(at_the_floor_a_colder_part_lives_no_longer),
        cmocka_unit_test(tails_agree_with_brute_summation),
        cmocka_unit_test(quantiles_tails_and_worn_shares_agree_with_random_draws),
        cmocka_unit_test(worn_share_without_doubt_is_the_weibull_share),
        cmocka_unit_test(heat_counts_for_less_below_the_floor),
        cmocka_unit_test(the_airs_share_is_one_of_variances),
        cmocka_unit_test(more_doubt_of_heat_never_narrows_the_interval),
        cmocka_unit_test(a_boundless_doubt_of_heat_stays_finite),
    };
    return cmocka_run_group_tests_name("doubt", tests, NULL, NULL);
}
