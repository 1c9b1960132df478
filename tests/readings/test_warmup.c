/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Warm-up series with and without a slower body, exact and with noise, against where they lead.
 * tests/benchmark holds the stated interval over many more of them. */
#include "support/check.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "readings/warmup.h"
#include "spotfield/reading.h"

#define LENGTH_MAX 32

typedef struct curve {
    double minute[LENGTH_MAX], temp_c[LENGTH_MAX];
    size_t count;
} curve;

/* A board from 24.3 C and a slower body behind it, read every step_min. */
static curve warm(size_t count, double step_min, double fast_k, double fast_min, double slow_k,
                  double slow_min)
{
    curve made = {.count = count};
    for (size_t i = 0; i < count; i++) {
        double minute = step_min * (double)(i + 1);
        made.minute[i] = minute;
        made.temp_c[i] =
            24.3 - fast_k * expm1(-minute / fast_min) - slow_k * expm1(-minute / slow_min);
    }
    return made;
}

static void add_noise(curve *to, const gsl_rng *random, double sd_k)
{
    for (size_t i = 0; i < to->count; i++)
        to->temp_c[i] += gsl_ran_gaussian(random, sd_k);
}

static sf_status fit(const curve *of, double sd_k, double *steady_c, double *steady_sd_k)
{
    return sf_warmup_fit(of->minute, of->temp_c, of->count, sd_k, steady_c, steady_sd_k);
}

static warmup_verdict judge(const curve *of, double sd_k)
{
    warmup result;
    assert_int_equal(warmup_judge(of->minute, of->temp_c, of->count, sd_k, NAN, &result), SF_OK);
    return result.verdict;
}

static warmup judged(const curve *of, double sd_k, double start_c)
{
    warmup result;
    assert_int_equal(warmup_judge(of->minute, of->temp_c, of->count, sd_k, start_c, &result),
                     SF_OK);
    return result;
}

/* Whether the central 90 % interval holds the truth. */
static bool holds(const asymptote *led, double truth_c)
{
    return fabs(led->steady_k - truth_c) <= 1.6449 * led->steady_sd_k;
}

static void three_equal_steps_lead_at_least_to_the_textbook_asymptote(void **state)
{
    (void)state;
    /* (T1 T3 - T2^2)/(T1 + T3 - 2 T2), common practice in temperature-rise tests (Aitken): 70 and
     * 60 without a slower body, which can only add to it */
    curve first = {{10, 20, 30}, {40, 55, 62.5}, 3}, second = {{4, 9, 14}, {30, 45, 52.5}, 3};
    warmup one = judged(&first, 0.2, NAN), other = judged(&second, 0.1, NAN);
    assert_int_equal(one.verdict, WARMUP_FITTED);
    assert_int_equal(other.verdict, WARMUP_FITTED);
    assert_true(one.led.steady_k > 70 && holds(&one.led, 70));
    assert_true(other.led.steady_k > 60 && holds(&other.led, 60));
}

static void a_warm_up_seen_to_its_end_gives_its_end(void **state)
{
    (void)state;
    /* more than the slowest body of the prior takes, twice over */
    curve alone = warm(8, 75, 41.9, 13.1, 0, 1), slow = warm(8, 75, 26.3, 8.7, 9.4, 95);
    curve cooling = {.count = 6};
    for (int i = 0; i < 6; i++) {
        cooling.minute[i] = 7.5 * pow(2.4, i);
        cooling.temp_c[i] = 31.6 + 37.4 * exp(-cooling.minute[i] / 16.3);
    }
    double steady_c, steady_sd_k;
    assert_int_equal(fit(&alone, 0.1, &steady_c, &steady_sd_k), SF_OK);
    assert_close(steady_c, 24.3 + 41.9, 0, 0.15);
    assert_true(steady_sd_k < 0.2);
    assert_int_equal(fit(&slow, 0.1, &steady_c, &steady_sd_k), SF_OK);
    assert_close(steady_c, 24.3 + 26.3 + 9.4, 0, 0.3);
    assert_true(steady_sd_k < 0.3);
    assert_int_equal(fit(&cooling, 0.1, &steady_c, &steady_sd_k), SF_OK);
    assert_close(steady_c, 31.6, 0, 0.3);
    assert_true(steady_sd_k < 0.3);
}

static void a_slower_body_is_held_by_the_stated_interval(void **state)
{
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 5077);
    int held = 0, drawn = 200;
    double sum_k = 0;
    /* a board of 25 K in 10 min in a cabinet of 10 K in 90 min, five rows to an hour: one
     * exponential through them ends 5 K low and is sure of it */
    for (int i = 0; i < drawn; i++) {
        curve series = warm(5, 12, 25, 10, 10, 90);
        add_noise(&series, random, 0.3);
        warmup result = judged(&series, 0.3, 24.3);
        held += result.verdict == WARMUP_FITTED && holds(&result.led, 24.3 + 35);
        sum_k += result.led.steady_k - (24.3 + 35);
    }
    gsl_rng_free(random);
    /* 85 % are wanted; of 200 at 90 % fewer than 170 come in 1 % of all runs (binomial) */
    assert_true(held >= 170);
    /* the cabinet is at the middle of the prior, so the mean must not be far off either */
    assert_close(sum_k / drawn, 0, 0, 2.5);
}

static void an_early_series_leaves_room_for_a_body_that_it_cannot_see(void **state)
{
    (void)state;
    /* 20 min of a board alone, exact: a body of a fifth of the rise, 7.5 K beside 30, would have
     * shown less than a kelvin more bend than the board has by itself */
    curve early = warm(4, 5, 30, 10, 0, 1);
    warmup result = judged(&early, 0.05, 24.3);
    assert_int_equal(result.verdict, WARMUP_FITTED);
    assert_true(holds(&result.led, 24.3 + 30) && holds(&result.led, 24.3 + 37.5));
}

static void the_doubt_narrows_with_time(void **state)
{
    (void)state;
    double before_k = INFINITY;
    for (double step_min = 3; step_min <= 96; step_min *= 2) {
        curve series = warm(5, step_min, 27.4, 9, 8.2, 80);
        warmup result = judged(&series, 0.3, 24.3);
        assert_true(holds(&result.led, 24.3 + 35.6));
        assert_true(result.led.steady_sd_k < before_k);
        before_k = result.led.steady_sd_k;
    }
    assert_true(before_k < 0.6);
}

static void a_further_row_does_what_was_promised(void **state)
{
    (void)state;
    static const double body_k[] = {0, 6, 14}, body_min[] = {1, 60, 130};
    for (int i = 0; i < 3; i++) {
        curve series = warm(5, 12, 27.4, 9, body_k[i], body_min[i]);
        warmup result = judged(&series, 0.3, 24.3);
        double at = result.led.further_min;
        assert_true(at > 60 && at <= 60 + 24 * 15 && fmod(at, 15) == 0);
        assert_true(result.led.further_sd_k < 0.7 * result.led.steady_sd_k);
        series.minute[5] = at;
        series.temp_c[5] = 24.3 - 27.4 * expm1(-at / 9) - body_k[i] * expm1(-at / body_min[i]);
        series.count = 6;
        double after_k = judged(&series, 0.3, 24.3).led.steady_sd_k;
        /* a linear promise, made over all bodies, of which this is one */
        assert_true(after_k < 1.5 * result.led.further_sd_k);
    }
}

static void readings_that_hold_level_may_still_hide_a_slow_body(void **state)
{
    (void)state;
    /* half an hour within 0.4 K: a body of 120 min that has 2 K to come moves 0.44 K meanwhile,
     * 2 (1 - exp(-30/120)), computed */
    curve level = {{40, 50, 60, 70}, {61.2, 61.5, 61.3, 61.6}, 4};
    warmup result = judged(&level, 0.2, 24.3);
    assert_int_equal(result.verdict, WARMUP_FITTED);
    assert_true(holds(&result.led, 61.4) && holds(&result.led, 63.6));
    /* days on nothing is left to come */
    for (size_t i = 0; i < 4; i++)
        level.minute[i] += 3000;
    result = judged(&level, 0.2, 24.3);
    assert_close(result.led.steady_k, 61.4, 0, 0.02);
    assert_close(result.led.steady_sd_k, 0.2 / sqrt(4), 0.02, 0);
}

static void a_board_that_was_warm_at_switch_on_is_followed_all_the_same(void **state)
{
    (void)state;
    curve series = {.count = 6};
    for (int i = 0; i < 6; i++) {
        series.minute[i] = 20 * (i + 1);
        series.temp_c[i] = 69.3 - 28 * exp(-series.minute[i] / 14);
    }
    /* 17 K above the air at switch-on */
    warmup result = judged(&series, 0.3, 24.3);
    assert_int_equal(result.verdict, WARMUP_FITTED);
    assert_true(holds(&result.led, 69.3));
}

static void where_the_zero_lies_changes_nothing_but_the_zero(void **state)
{
    (void)state;
    curve series = warm(5, 9, 30, 8, 7, 70);
    warmup here = judged(&series, 0.3, 24.3), there, unknown = judged(&series, 0.3, NAN);
    for (size_t i = 0; i < series.count; i++)
        series.temp_c[i] -= 24.3;
    there = judged(&series, 0.3, 0);
    assert_close(there.led.steady_k + 24.3, here.led.steady_k, 0, 1e-9);
    assert_close(there.led.steady_sd_k, here.led.steady_sd_k, 0, 1e-9);
    /* what the start was is worth something */
    assert_true(here.led.steady_sd_k < unknown.led.steady_sd_k);
    double steady_c, steady_sd_k;
    assert_int_equal(fit(&series, 0.3, &steady_c, &steady_sd_k), SF_OK);
    assert_close(steady_c + 24.3, unknown.led.steady_k, 0, 1e-9);
}

static void readings_without_curvature_are_refused(void **state)
{
    (void)state;
    curve straight = {{5, 10, 15, 20}, {30.1, 35.2, 40.3, 45.4}, 4};
    assert_int_equal(judge(&straight, 0.2), WARMUP_STRAIGHT);
    double steady_c = 12.5, steady_sd_k = 7.5;
    assert_int_equal(fit(&straight, 0.2, &steady_c, &steady_sd_k), SF_ERROR_NUMERIC);
    assert_close(steady_c, 12.5, 0, 0);
    assert_close(steady_sd_k, 7.5, 0, 0);
}

static void a_beginning_is_not_extrapolated_however_exact(void **state)
{
    (void)state;
    /* 16 min of a rise whose time constant is an hour: three quarters are still to come */
    curve beginning = warm(4, 4, 40, 60, 0, 1);
    assert_int_equal(judge(&beginning, 1e-6), WARMUP_STRAIGHT);
}

static void an_asymptote_more_doubtful_than_a_third_of_the_rise_is_refused(void **state)
{
    (void)state;
    curve slight = {{10, 20, 30}, {28, 29, 29.4}, 3};
    assert_int_equal(judged(&slight, 6, 24.3).verdict, WARMUP_OPEN);
    assert_int_equal(judged(&slight, 0.1, 24.3).verdict, WARMUP_FITTED);
}

static void scatter_beyond_the_stated_noise_is_refused(void **state)
{
    (void)state;
    curve wild = {{4, 8, 12, 16, 20}, {40, 57, 52, 66, 59}, 5};
    curve bent_up = {{5, 10, 15, 20}, {30.1, 33.2, 39.3, 51.4}, 4};
    assert_int_equal(judge(&wild, 0.2), WARMUP_SCATTERED);
    assert_int_equal(judge(&bent_up, 0.2), WARMUP_SCATTERED);
}

static void sound_series_are_seldom_refused(void **state)
{
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20931);
    int refused = 0;
    for (int i = 0; i < 200; i++) {
        curve series = warm(3 + (size_t)i % 6, 7.5, 38.7, 20, 4.1, 100);
        add_noise(&series, random, 0.3);
        refused += judged(&series, 0.3, 24.3).verdict != WARMUP_FITTED;
    }
    gsl_rng_free(random);
    assert_true(refused <= 2);
}

static void minutes_that_do_not_rise_are_refused(void **state)
{
    (void)state;
    double steady_c = 12.5, steady_sd_k = 7.5;
    curve equal = {{10, 20, 20}, {40, 55, 62.5}, 3}, falling = {{10, 30, 20}, {40, 55, 62.5}, 3};
    curve unknown = {{10, NAN, 30}, {40, 55, 62.5}, 3}, lost = {{10, 20, 30}, {40, NAN, 62.5}, 3};
    curve before = {{-2, 20, 30}, {40, 55, 62.5}, 3};
    curve two = {{10, 20}, {40, 55}, 2}, good = {{10, 20, 30}, {40, 55, 62.5}, 3};
    assert_int_equal(fit(&equal, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&falling, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&unknown, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&before, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&lost, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&two, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&good, 0, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&good, NAN, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_close(steady_c, 12.5, 0, 0);
    assert_close(steady_sd_k, 7.5, 0, 0);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_equal_steps_lead_at_least_to_the_textbook_asymptote),
        cmocka_unit_test(a_warm_up_seen_to_its_end_gives_its_end),
        cmocka_unit_test(a_slower_body_is_held_by_the_stated_interval),
        cmocka_unit_test(an_early_series_leaves_room_for_a_body_that_it_cannot_see),
        cmocka_unit_test(the_doubt_narrows_with_time),
        cmocka_unit_test(a_further_row_does_what_was_promised),
        cmocka_unit_test(readings_that_hold_level_may_still_hide_a_slow_body),
        cmocka_unit_test(a_board_that_was_warm_at_switch_on_is_followed_all_the_same),
        cmocka_unit_test(where_the_zero_lies_changes_nothing_but_the_zero),
        cmocka_unit_test(readings_without_curvature_are_refused),
        cmocka_unit_test(a_beginning_is_not_extrapolated_however_exact),
        cmocka_unit_test(an_asymptote_more_doubtful_than_a_third_of_the_rise_is_refused),
        cmocka_unit_test(scatter_beyond_the_stated_noise_is_refused),
        cmocka_unit_test(sound_series_are_seldom_refused),
        cmocka_unit_test(minutes_that_do_not_rise_are_refused),
    };
    return cmocka_run_group_tests_name("readings warmup", tests, NULL, NULL);
}
