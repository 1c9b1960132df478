/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Hours and the share of life they use, against worked examples of mixed temperatures. */
#include "support/check.h"

#include <math.h>

#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_bessel.h>

#include "life/fixture.h"
#include "life/wear.h"

/* Share used by a part of 2,000 h at 85 C that just takes the air of its periods, without floor. */
static double used_in_air(const sf_job *job, double endurance_h, double rated_c)
{
    history lived;
    history_start(&lived, job);
    wear worn = {.lived = &lived,
                 .stressed_h = lived.total_h,
                 .life_rated_h = endurance_h,
                 .rated_c = rated_c,
                 .floor_c = -273,
                 .doubling_k = 10};
    return exp(wear_log_used(&worn, 0));
}

static sf_job job_of_periods(sf_period *periods, size_t count)
{
    sf_job job = plain_job(NULL, 0);
    job.periods = periods;
    job.period_count = count;
    return job;
}

static void three_shifts_wear_as_one_temperature_of_their_mean_rate(void **state)
{
    (void)state;
    /* a power-supply maker's technical Q&A on mixed ambient temperature: 8 h each at 45, 55 and
     * 65 C wear a 1,000 h part of 105 C as 57.2 C would; 27,428.57 h computed */
    sf_period shifts[] = {{8, 45, 1, ""}, {8, 55, 1, ""}, {8, 65, 1, ""}};
    sf_job job = job_of_periods(shifts, 3);
    double used = used_in_air(&job, 1000, 105);
    assert_close(24 / used, 27428.57, 1e-7, 0);
    assert_close(105 - 10 * log2(24 / used / 1000), 57.2, 0, 0.05);
    assert_close(105 - 10 * log2(24 / used / 1000), 57.224, 0, 0.0005);
}

static void periods_add_their_shares(void **state)
{
    (void)state;
    /* computed: 2,000 h at 85 C, 0.25 + 0.375 + 0.125 (Palmgren-Miner) */
    sf_period periods[] = {{4000, 55, 1, ""}, {3000, 65, 1, ""}, {500, 75, 1, ""}};
    sf_job job = job_of_periods(periods, 3);
    assert_close(used_in_air(&job, 2000, 85), 0.75, 1e-14, 0);
    assert_close((1 - used_in_air(&job, 2000, 85)) * sf_life_hours(2000, 85, 55, 40), 4000, 1e-12,
                 0);
}

static void unequal_mixtures_of_one_mean_rate_last_alike(void **state)
{
    (void)state;
    /* computed: half 45 half 65 C, and a tenth 85 with the rest 45 C, both last 12,800 h; a quarter
     * 65 with the rest 25 C lasts 26,947.4 h where no floor is held */
    sf_period halves[] = {{310, 45, 1, ""}, {310, 65, 1, ""}};
    sf_period tenth[] = {{31, 85, 1, ""}, {279, 45, 1, ""}};
    sf_period quarter[] = {{77, 65, 1, ""}, {231, 25, 1, ""}};
    sf_job job = job_of_periods(halves, 2);
    assert_close(620 / used_in_air(&job, 2000, 85), 12800, 1e-12, 0);
    job = job_of_periods(tenth, 2);
    assert_close(310 / used_in_air(&job, 2000, 85), 12800, 1e-12, 0);
    job = job_of_periods(quarter, 2);
    assert_close(308 / used_in_air(&job, 2000, 85), 26947.4, 2e-6, 0);
}

static void a_daily_swing_wears_by_the_bessel_function_of_its_height(void **state)
{
    (void)state;
    /* mean of exp(a sin) over a period is I0(a): GNU Scientific Library, gsl_sf_bessel_I0 */
    enum { HOURS = 240 };
    sf_period day[HOURS];
    const double swings_k[] = {5, 10, 20};
    for (size_t s = 0; s < 3; s++) {
        for (int hour = 0; hour < HOURS; hour++)
            day[hour] = (sf_period){1, 57 + swings_k[s] * sin(2 * M_PI * hour / HOURS), 1, ""};
        sf_job job = job_of_periods(day, HOURS);
        double steady = HOURS / sf_life_hours(2000, 85, 57, 40);
        assert_close(used_in_air(&job, 2000, 85) / steady,
                     gsl_sf_bessel_I0(swings_k[s] * log(2) / 10), 1e-12, 0);
    }
}

static void load_scales_the_rise_and_not_the_air(void **state)
{
    (void)state;
    sf_period periods[] = {{700, 25, 1.5, ""}, {1300, 31, 0, ""}};
    sf_job job = job_of_periods(periods, 2);
    history lived;
    history_start(&lived, &job);
    wear worn = {.lived = &lived,
                 .stressed_h = 2000,
                 .life_rated_h = 1500,
                 .rated_c = 105,
                 .floor_c = -273,
                 .rise_k = 24,
                 .cover_rise_k = 3,
                 .doubling_k = 10};
    double expected = 700 / sf_life_hours(1500, 105, 25 + 36 + 3, -273) +
                      1300 / sf_life_hours(1500, 105, 31 + 3, -273);
    assert_close(exp(wear_log_used(&worn, 0)), expected, 1e-13, 0);
    double warmer = 700 / sf_life_hours(1500, 105, 25 + 1.5 * 28 + 3, -273) +
                    1300 / sf_life_hours(1500, 105, 31 + 3, -273);
    assert_close(exp(wear_log_used(&worn, 4)), warmer, 1e-13, 0);
}

static void extreme_temperatures_do_not_overflow(void **state)
{
    (void)state;
    sf_period periods[] = {{700, 25, 1, ""}, {0, 1e7, 1, ""}};
    sf_job job = job_of_periods(periods, 2);
    assert_close(used_in_air(&job, 2000, 85), 700 / sf_life_hours(2000, 85, 25, -273), 1e-12, 0);
    history lived;
    history_start(&lived, &job);
    wear worn = {&lived, 700, 2000, 85, 40, 0, 0, 0, 10};
    assert_close(wear_log_used(&worn, 1e6), log(700.0 / 2000) + (1e6 + 25 - 85) * log(2) / 10,
                 1e-12, 0);
}

static void corners_lie_where_a_period_leaves_the_floor(void **state)
{
    (void)state;
    sf_period periods[] = {{700, 25, 1, ""}, {300, 30, 2, ""}, {90, 60, 0, ""}};
    sf_job job = job_of_periods(periods, 3);
    history lived;
    history_start(&lived, &job);
    wear worn = {&lived, 1090, 2000, 85, 40, 11, 1, 0, 10};
    assert_close(wear_next_corner(&worn, -100), 4.5 - 11, 1e-14, 0);
    assert_close(wear_next_corner(&worn, -6), 14 - 11, 1e-14, 0);
    assert_true(isinf(wear_next_corner(&worn, 3)));
    assert_close(wear_log_used(&worn, -50), wear_log_used(&worn, -7), 0, 0);
}

/* In a period without load the rise and its doubt are gone, and the air's doubt stays. */
static void the_air_is_off_by_as_much_at_every_load(void **state)
{
    (void)state;
    sf_period periods[] = {{3000, 47, 1, ""}, {5000, 62, 0, ""}, {2000, 51, 0.5, ""}};
    history lived = {.periods = periods, .count = 3, .total_h = 10000, .told = true};
    wear worn = {.lived = &lived,
                 .stressed_h = 10000,
                 .life_rated_h = 2000,
                 .rated_c = 85,
                 .floor_c = 40,
                 .rise_k = 18,
                 .air_share = 0.36,
                 .doubling_k = 10};
    /* computed: sd of the rise 0.8, of the air 0.6 of the whole offset of 7 K; each period's is the
     * root of the sum of squares at its load */
    double used = 3000 / (2000 * exp2((85 - (65 + 7)) / 10.)) +
                  5000 / (2000 * exp2((85 - (62 + 0.6 * 7)) / 10.)) +
                  2000 / (2000 * exp2((85 - (60 + hypot(0.4, 0.6) * 7)) / 10.));
    assert_close(wear_log_used(&worn, 7), log(used), 1e-13, 0);
    /* the second period reaches the floor of 40 C at -22/0.6 K, the third at -20/0.7211, the first
     * at -25 */
    assert_close(wear_next_corner(&worn, -90), -22 / 0.6, 1e-13, 0);
    assert_close(wear_next_corner(&worn, -36), -20 / hypot(0.4, 0.6), 1e-13, 0);
    assert_close(wear_next_corner(&worn, -27), -25, 1e-13, 0);
    assert_true(isinf(wear_next_corner(&worn, -24)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_shifts_wear_as_one_temperature_of_their_mean_rate),
        cmocka_unit_test(periods_add_their_shares),
        cmocka_unit_test(unequal_mixtures_of_one_mean_rate_last_alike),
        cmocka_unit_test(a_daily_swing_wears_by_the_bessel_function_of_its_height),
        cmocka_unit_test(load_scales_the_rise_and_not_the_air),
        cmocka_unit_test(extreme_temperatures_do_not_overflow),
        cmocka_unit_test(corners_lie_where_a_period_leaves_the_floor),
        cmocka_unit_test(the_air_is_off_by_as_much_at_every_load),
    };
    return cmocka_run_group_tests_name("wear", tests, NULL, NULL);
}
