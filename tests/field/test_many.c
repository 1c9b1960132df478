/* Two ways to one posterior: through the covariance of few readings, and through the precision of
 * the field that many readings see. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>

#include "field/bench.h"
#include "field/many.h"

#define READINGS 57
#define LENGTH_MM 23.7

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* A board with a slot, two sources of unknown and one of known power, readings where a generator
 * of the sort in K&R throws them. */
typedef struct two_ways {
    bench set;
    sf_source sources[3];
    sf_observation seen[READINGS];
    scales held;
    length_fit few;
    many_fit many;
} two_ways;

static void fit_both(two_ways *on)
{
    unsigned thrown = 20261;
    on->sources[0] = plain_source("H1", 31.3, 22.1, 14, 9);
    on->sources[1] = plain_source("H2", 88.4, 51.7, 11, 17);
    on->sources[2] = plain_source("H3", 64.9, 12.6, 8, 8);
    on->sources[2].power_w = 1.7;
    on->sources[2].power_sd_w = 0.25;
    for (size_t i = 0; i < READINGS; i++) {
        double place[3];
        for (size_t k = 0; k < 3; k++) {
            thrown = thrown * 1103515245u + 12345u;
            place[k] = (thrown >> 16 & 0x7fff) / 32768.0;
        }
        on->seen[i] = plain_observation("r", 120 * place[0], 75 * place[1], 9 + 37 * place[2],
                                        0.11 + 0.9 * place[2]);
    }
    bench_set(&on->set, 120, 75, 2.5, on->sources, 3, on->seen, READINGS);
    bench_cut(&on->set, 48, 20, 49, 60);
    double *guess_k = calloc(on->set.laid->nodes, sizeof *guess_k);
    assert_non_null(guess_k);
    for (size_t node = 0; node < on->set.laid->nodes; node++)
        guess_k[node] = 12 + 9 * sin(0.07 * (double)node);
    problem_take_field(&on->set.data, guess_k, 0.8);
    free(guess_k);
    on->held = (scales){
        .white_k = 0.73, .patch = 0.083, .noise = 1.21, .strength_k_mm2 = 6100, .loss_w_m2k = 21.4};
    on->few = bench_hold(&on->set, LENGTH_MM, &on->held);
    assert_int_equal(
        many_fit_make(&on->set.data, on->set.matrix, LENGTH_MM, &on->held, NULL, 0, &on->many),
        SF_OK);
}

static void clear_both(two_ways *on)
{
    length_fit_clear(&on->few);
    many_fit_clear(&on->many);
    bench_clear(&on->set);
}

static void both_ways_lead_to_one_field(void **state)
{
    (void)state;
    two_ways on;
    fit_both(&on);
    on.few.rise_k = calloc(on.set.laid->nodes, sizeof(double));
    assert_non_null(on.few.rise_k);
    assert_int_equal(balance_factor(on.set.matrix, LENGTH_MM, on.set.data.loss), SF_OK);
    assert_int_equal(length_fit_set_mean(&on.set.data, on.set.matrix, &on.few), SF_OK);
    for (size_t node = 0; node < on.set.laid->nodes; node++)
        assert_close(on.many.rise_k[node], on.few.rise_k[node], 0, 1e-7);
    clear_both(&on);
}

static void both_ways_lead_to_one_doubt(void **state)
{
    (void)state;
    two_ways on;
    fit_both(&on);
    double *few_sd = bench_sd(&on.set, &on.few);
    double *variance_k2 = calloc(on.set.laid->nodes, sizeof *variance_k2);
    sf_estimate left_out_k[READINGS];
    assert_non_null(variance_k2);
    assert_int_equal(many_fit_doubt(&on.set.data, &on.many, variance_k2, left_out_k), SF_OK);
    for (size_t node = 0; node < on.set.laid->nodes; node++)
        assert_close(sqrt(variance_k2[node]), few_sd[node], 0, 1e-6);
    free(few_sd);
    free(variance_k2);
    clear_both(&on);
}

static void both_ways_leave_readings_out_alike(void **state)
{
    (void)state;
    two_ways on;
    fit_both(&on);
    double *variance_k2 = calloc(on.set.laid->nodes, sizeof *variance_k2);
    sf_estimate left_out_k[READINGS];
    assert_non_null(variance_k2);
    assert_int_equal(many_fit_doubt(&on.set.data, &on.many, variance_k2, left_out_k), SF_OK);
    for (size_t i = 0; i < READINGS; i++) {
        double inverse_ii = on.few.under.inverse[i * READINGS + i];
        assert_close(left_out_k[i].value, on.set.data.rise_k[i] - on.few.weights[i] / inverse_ii, 0,
                     1e-7);
        assert_close(left_out_k[i].sd, 1 / sqrt(inverse_ii), 1e-8, 0);
    }
    free(variance_k2);
    clear_both(&on);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_ways_lead_to_one_field),
        cmocka_unit_test(both_ways_lead_to_one_doubt),
        cmocka_unit_test(both_ways_leave_readings_out_alike),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
