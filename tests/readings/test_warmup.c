/* Warm-up series against exact exponentials, and the stated error against simulated series. */
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

/* A rise of two time constants from 24.3 C, read every step_min. */
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
    assert_int_equal(warmup_judge(of->minute, of->temp_c, of->count, sd_k, &result), SF_OK);
    return result.verdict;
}

static double steady(const curve *of)
{
    double steady_c = NAN, steady_sd_k;
    assert_int_equal(fit(of, 0.1, &steady_c, &steady_sd_k), SF_OK);
    return steady_c;
}

static void three_equal_steps_give_the_textbook_asymptote(void **state)
{
    (void)state;
    /* (T1 T3 - T2^2)/(T1 + T3 - 2 T2), common practice in temperature-rise tests (Aitken) */
    curve first = {{10, 20, 30}, {40, 55, 62.5}, 3}, second = {{4, 9, 14}, {30, 45, 52.5}, 3};
    assert_close(steady(&first), 70, 0, 1e-8);
    assert_close(steady(&second), 60, 0, 1e-8);
    curve third = {{10, 20, 30}, {0}, 3};
    for (int i = 0; i < 3; i++)
        third.temp_c[i] = 80 - 55 * exp(-third.minute[i] / 20);
    assert_close(third.temp_c[0], 46.640814, 0, 1e-6);
    assert_close(steady(&third), 80, 0, 1e-8);
}

static void an_exact_exponential_is_met_at_uneven_minutes(void **state)
{
    (void)state;
    curve uneven = {{3, 5.5, 11, 17, 31.5}, {0}, 5};
    for (int i = 0; i < 5; i++)
        uneven.temp_c[i] = 68.37 - 41.9 * exp(-uneven.minute[i] / 13.1);
    assert_close(steady(&uneven), 68.37, 0, 1e-8);
}

static void a_cooling_board_settles_too(void **state)
{
    (void)state;
    curve cooling = {{2, 9, 15, 22, 40}, {0}, 5};
    for (int i = 0; i < 5; i++)
        cooling.temp_c[i] = 31.6 + 37.4 * exp(-cooling.minute[i] / 16.3);
    assert_close(steady(&cooling), 31.6, 0, 1e-8);
}

static void three_readings_multiply_their_noise_tenfold(void **state)
{
    (void)state;
    curve three = {{10, 20, 30}, {0}, 3};
    for (int i = 0; i < 3; i++)
        three.temp_c[i] = 80 - 55 * exp(-three.minute[i] / 20);
    double steady_c, steady_sd_k;
    assert_int_equal(fit(&three, 0.5, &steady_c, &steady_sd_k), SF_OK);
    /* derivatives of the three-point formula there: 2.376, -7.835, 6.459, computed; in quadrature
     * 10.43, so that 0.5 K become 5.2 K */
    double gain = sqrt(2.376 * 2.376 + 7.835 * 7.835 + 6.459 * 6.459);
    assert_close(steady_sd_k, 0.5 * gain, 2e-4, 0);
}

static void the_stated_error_is_the_true_one(void **state)
{
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20931);
    double square_sum = 0, stated_square_sum = 0, sum = 0;
    int used = 0, drawn = 1500;
    for (int i = 0; i < drawn; i++) {
        curve series = warm(8, 7.5, 38.7, 20, 0, 1);
        add_noise(&series, random, 0.3);
        double steady_c, steady_sd_k;
        if (fit(&series, 0.3, &steady_c, &steady_sd_k) != SF_OK)
            continue;
        double miss_k = steady_c - (24.3 + 38.7);
        sum += miss_k;
        square_sum += miss_k * miss_k;
        stated_square_sum += steady_sd_k * steady_sd_k;
        used++;
    }
    gsl_rng_free(random);
    /* 1,500 draws know a standard deviation to 2 %; at most 1 in 12 may be refused by chance */
    assert_true(used > drawn - drawn / 12);
    assert_close(sqrt(stated_square_sum / used), sqrt(square_sum / used), 0.15, 0);
    assert_close(sum / used, 0, 0, 0.1);
}

static void more_readings_never_raise_the_error(void **state)
{
    (void)state;
    double before_k = INFINITY;
    for (size_t count = 3; count <= 16; count++) {
        curve series = warm(count, 6, 33.1, 17, 0, 1);
        double steady_c, steady_sd_k;
        assert_int_equal(fit(&series, 0.2, &steady_c, &steady_sd_k), SF_OK);
        assert_true(steady_sd_k < before_k);
        assert_true(steady_sd_k >= 0.2 / sqrt((double)count));
        before_k = steady_sd_k;
    }
}

static void a_second_slower_warming_is_refused(void **state)
{
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 5077);
    /* a board of 6 min in a cabinet of an hour: 15 K are still to come */
    int refused = 0;
    for (int i = 0; i < 100; i++) {
        curve series = warm(12, 4, 30, 6, 15, 60);
        add_noise(&series, random, 0.1);
        refused += judge(&series, 0.3) == WARMUP_DRIFTING ? 1 : 0;
    }
    gsl_rng_free(random);
    assert_int_equal(refused, 100);
    curve exact = warm(12, 4, 30, 6, 15, 60);
    double steady_c = 12.5, steady_sd_k = 7.5;
    assert_int_equal(fit(&exact, 0.3, &steady_c, &steady_sd_k), SF_ERROR_NUMERIC);
    assert_close(steady_c, 12.5, 0, 0);
    assert_close(steady_sd_k, 7.5, 0, 0);
}

static void a_slower_warming_that_does_not_matter_is_no_reason(void **state)
{
    (void)state;
    curve series = warm(12, 4, 30, 6, 0.4, 60);
    assert_int_equal(judge(&series, 0.3), WARMUP_FITTED);
}

static void readings_without_curvature_are_refused(void **state)
{
    (void)state;
    curve straight = {{5, 10, 15, 20}, {30.1, 35.2, 40.3, 45.4}, 4};
    curve bent_up = {{5, 10, 15, 20}, {30.1, 33.2, 39.3, 51.4}, 4};
    assert_int_equal(judge(&straight, 0.2), WARMUP_STRAIGHT);
    assert_true(judge(&bent_up, 5) == WARMUP_STRAIGHT);
    double steady_c, steady_sd_k;
    assert_int_equal(fit(&straight, 0.2, &steady_c, &steady_sd_k), SF_ERROR_NUMERIC);
    assert_int_equal(fit(&bent_up, 5, &steady_c, &steady_sd_k), SF_ERROR_NUMERIC);
}

static void a_beginning_is_not_extrapolated_however_exact(void **state)
{
    (void)state;
    /* 12 min of a rise whose time constant is an hour: three quarters are still to come */
    curve beginning = warm(4, 4, 40, 60, 0, 1);
    assert_int_equal(judge(&beginning, 1e-6), WARMUP_STRAIGHT);
}

static void an_asymptote_more_doubtful_than_the_rise_is_refused(void **state)
{
    (void)state;
    curve slight = {{10, 20, 30}, {40, 43, 45.1}, 3};
    assert_int_equal(judge(&slight, 2), WARMUP_OPEN);
    assert_int_equal(judge(&slight, 0.02), WARMUP_FITTED);
}

static void scatter_beyond_the_stated_noise_is_refused(void **state)
{
    (void)state;
    curve wild = {{4, 8, 12, 16, 20}, {40, 57, 52, 66, 59}, 5};
    assert_int_equal(judge(&wild, 0.2), WARMUP_SCATTERED);
}

static void readings_that_are_level_already_give_their_mean(void **state)
{
    (void)state;
    curve level = {{40, 50, 60, 70}, {61.2, 61.5, 61.3, 61.6}, 4};
    double steady_c, steady_sd_k;
    assert_int_equal(fit(&level, 0.2, &steady_c, &steady_sd_k), SF_OK);
    assert_close(steady_c, 61.4, 0, 1e-9);
    /* least-squares slope 0.01 K/min over 30 min, beside 0.2/sqrt(4) */
    assert_close(steady_sd_k, hypot(0.1, 0.3), 1e-9, 0);
    curve late_level = {{5, 20, 25, 40, 55}, {38, 61.5, 61.9, 61.6, 61.8}, 5};
    warmup result;
    assert_int_equal(warmup_judge(late_level.minute, late_level.temp_c, 5, 0.05, &result), SF_OK);
    assert_int_equal(result.verdict, WARMUP_LEVEL);
    assert_int_equal(result.used, 3);
    assert_close(result.steady_k, (61.9 + 61.6 + 61.8) / 3, 1e-12, 0);
}

static void minutes_that_do_not_rise_are_refused(void **state)
{
    (void)state;
    double steady_c = 12.5, steady_sd_k = 7.5;
    curve equal = {{10, 20, 20}, {40, 55, 62.5}, 3}, falling = {{10, 30, 20}, {40, 55, 62.5}, 3};
    curve unknown = {{10, NAN, 30}, {40, 55, 62.5}, 3}, lost = {{10, 20, 30}, {40, NAN, 62.5}, 3};
    curve two = {{10, 20}, {40, 55}, 2}, good = {{10, 20, 30}, {40, 55, 62.5}, 3};
    assert_int_equal(fit(&equal, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&falling, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
    assert_int_equal(fit(&unknown, 0.5, &steady_c, &steady_sd_k), SF_ERROR_ARGUMENT);
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
        cmocka_unit_test(three_equal_steps_give_the_textbook_asymptote),
        cmocka_unit_test(an_exact_exponential_is_met_at_uneven_minutes),
        cmocka_unit_test(a_cooling_board_settles_too),
        cmocka_unit_test(three_readings_multiply_their_noise_tenfold),
        cmocka_unit_test(the_stated_error_is_the_true_one),
        cmocka_unit_test(more_readings_never_raise_the_error),
        cmocka_unit_test(a_second_slower_warming_is_refused),
        cmocka_unit_test(a_slower_warming_that_does_not_matter_is_no_reason),
        cmocka_unit_test(readings_without_curvature_are_refused),
        cmocka_unit_test(a_beginning_is_not_extrapolated_however_exact),
        cmocka_unit_test(an_asymptote_more_doubtful_than_the_rise_is_refused),
        cmocka_unit_test(scatter_beyond_the_stated_noise_is_refused),
        cmocka_unit_test(readings_that_are_level_already_give_their_mean),
        cmocka_unit_test(minutes_that_do_not_rise_are_refused),
    };
    return cmocka_run_group_tests_name("readings warmup", tests, NULL, NULL);
}
