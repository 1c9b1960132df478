/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two ways to one posterior: through the covariance of few readings, and through the precision of
 * the field that many readings see. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>

#include "field/bench.h"
#include "field/sparse.h"
#include "field/sparse_seek.h"

#define READINGS 57
#define LENGTH_MM 23.7

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* Of the readings the first come in pairs, one on the same can as the other. */
#define ON_CANS 8

/* A board with a slot, two sources of unknown and one of known power, readings where a generator
 * of the sort in K&R throws them. */
typedef struct two_ways {
    bench set;
    sf_source sources[3];
    sf_observation seen[READINGS];
    hyperparameters held;
    length_fit few;
    sparse_fit many;
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
        sf_observation *seen = &on->seen[i];
        seen->method = i % 3 ? SF_METHOD_THERMOCOUPLE_K : SF_METHOD_INFRARED;
        seen->common_k[seen->method] = 0.6 * seen->sd_k;
        seen->common_k[SF_COMMON_AIR] = 0.08;
        if (i >= ON_CANS)
            continue;
        seen->spot = SF_SPOT_PART;
        seen->part = i / 2;
        seen->own_sd_k = 0.3;
        seen->x_mm = on->seen[i - i % 2].x_mm;
        seen->y_mm = on->seen[i - i % 2].y_mm;
    }
    bench_set(&on->set, 120, 75, 2.5, on->sources, 3, on->seen, READINGS);
    bench_cut(&on->set, 48, 20, 49, 60);
    peaked_field guess;
    assert_true(peaked_field_new(&on->set.data, &guess));
    for (size_t node = 0; node < on->set.laid->nodes; node++)
        guess.rise_k[node] = guess.plain_k[node] = 12 + 9 * sin(0.07 * (double)node);
    fit_data_take_field(&on->set.data, &guess, 0.8);
    peaked_field_clear(&guess);
    on->held = (hyperparameters){.white_k = 0.73,
                                 .patch = 0.083,
                                 .copper = 0.27,
                                 .noise = 1.21,
                                 .strength_k_mm2 = 6100,
                                 .loss_w_m2k = 21.4};
    on->few = bench_hold(&on->set, LENGTH_MM, &on->held);
    assert_int_equal(
        sparse_fit_make(&on->set.data, on->set.matrix, LENGTH_MM, &on->held, NULL, 0, &on->many),
        SF_OK);
}

static void clear_both(two_ways *on)
{
    length_fit_clear(&on->few);
    sparse_fit_clear(&on->many);
    bench_clear(&on->set);
}

static void both_ways_lead_to_one_field(void **state)
{
    (void)state;
    two_ways on;
    fit_both(&on);
    assert_int_equal(balance_factor(on.set.matrix, LENGTH_MM, on.set.data.loss), SF_OK);
    assert_int_equal(length_fit_set_mean(&on.set.data, on.set.matrix, &on.few), SF_OK);
    for (size_t node = 0; node < on.set.laid->nodes; node++)
        assert_close(on.many.mean.rise_k[node], on.few.mean.rise_k[node], 0, 1e-7);
    clear_both(&on);
}

static void both_ways_lead_to_one_doubt(void **state)
{
    (void)state;
    two_ways on;
    fit_both(&on);
    double *dense_sd = bench_sd(&on.set, &on.few);
    double *variance_k2 = calloc(on.set.laid->nodes, sizeof *variance_k2);
    sf_estimate left_out_k[READINGS];
    assert_non_null(variance_k2);
    assert_int_equal(sparse_fit_doubt(&on.set.data, &on.many, variance_k2, left_out_k), SF_OK);
    for (size_t node = 0; node < on.set.laid->nodes; node++)
        assert_close(sqrt(variance_k2[node]), dense_sd[node], 0, 1e-6);
    free(dense_sd);
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
    assert_int_equal(sparse_fit_doubt(&on.set.data, &on.many, variance_k2, left_out_k), SF_OK);
    for (size_t i = 0; i < READINGS; i++) {
        double inverse_ii = on.few.under.inverse[i * READINGS + i];
        assert_close(left_out_k[i].value, on.set.data.rise_k[i] - on.few.weights[i] / inverse_ii, 0,
                     1e-7);
        assert_close(left_out_k[i].sd, 1 / sqrt(inverse_ii), 1e-8, 0);
    }
    free(variance_k2);
    clear_both(&on);
}

/* Of the error of a reading, its own and that of its instrument and air, all readings tell as much:
 * with e its covariances with them, e'C^-1 r, and e'C^-1 e of its variance. */
static void both_ways_tell_errors_alike(void **state)
{
    (void)state;
    two_ways on;
    fit_both(&on);
    const fit_data *data = &on.set.data;
    double *variance_k2 = calloc(data->laid->nodes, sizeof *variance_k2);
    double *room = calloc(2 * on.many.unknowns.count, sizeof *room);
    sf_estimate left_out_k[READINGS];
    assert_true(variance_k2 && room);
    assert_int_equal(sparse_fit_doubt(data, &on.many, variance_k2, left_out_k), SF_OK);
    for (size_t i = 0; i < READINGS; i++) {
        double errors[READINGS], told_k2 = 0;
        for (size_t k = 0; k < READINGS; k++)
            errors[k] = common_between_k2(data, i, k);
        errors[i] += reading_variance_k2(data, &on.held, i);
        for (size_t k = 0; k < READINGS; k++)
            told_k2 += errors[k] * dot(on.few.under.inverse + k * READINGS, errors, READINGS);
        told_error told = sparse_error(data, &on.many, i, left_out_k[i], room);
        assert_close(told.whole_k2, errors[i], 1e-12, 0);
        assert_close(told.off_k, dot(errors, on.few.weights, READINGS), 0, 1e-7);
        assert_close(told.told_k2, told_k2, 1e-8, 0);
    }
    free(variance_k2);
    free(room);
    clear_both(&on);
}

/* But for constants of the normal density, which no length changes; the prior of the length is in
 * one of the two alone. */
static void both_ways_judge_lengths_alike(void **state)
{
    (void)state;
    two_ways on;
    fit_both(&on);
    static const double lengths_mm[] = {11.9, 23.7, 38.1};
    double constant[3], residual[READINGS], work[READINGS];
    for (size_t l = 0; l < 3; l++) {
        length_fit few = bench_hold(&on.set, lengths_mm[l], &on.held);
        sparse_fit many;
        assert_int_equal(
            sparse_fit_make(&on.set.data, on.set.matrix, lengths_mm[l], &on.held, NULL, 0, &many),
            SF_OK);
        for (size_t i = 0; i < READINGS; i++)
            residual[i] = on.set.data.rise_k[i] - few.under.expected[i];
        double off = log(lengths_mm[l] / on.set.data.built.length_mm) / LENGTH_SD_LN;
        constant[l] =
            many.log_posterior + off * off / 2 - gaussian_log_density(&few.under, residual, work);
        length_fit_clear(&few);
        sparse_fit_clear(&many);
    }
    assert_close(constant[1], constant[0], 0, 1e-6);
    assert_close(constant[2], constant[0], 0, 1e-6);
    clear_both(&on);
}

/* Bayes' rule: what the data say for a source at one of many places, times the prior of that place.
 * Of a few, the one whose fit gains most is found first. */
static void a_source_is_found_where_the_evidence_gains_most(void **state)
{
    (void)state;
    two_ways on;
    sparse_found found;
    fit_both(&on);
    static const sf_point places[] = {{70, 40}, {100, 20}, {70, 40}, {15, 10}};
    size_t nodes = on.set.laid->nodes, best = 0;
    candidates from = {.count = 4,
                       .centres = calloc(4, sizeof(sf_point)),
                       .sides_mm = calloc(4, sizeof(double)),
                       .covers = calloc(4, sizeof(footprint)),
                       .prior = calloc(4, sizeof(double))};
    double gains[4], *heat = calloc(nodes, sizeof *heat);
    assert_true(from.centres && from.sides_mm && from.covers && from.prior && heat);
    on.held.strength_k_mm2 = 60000; /* so that its prior does not take sides */
    length_fit_clear(&on.few);
    on.few = bench_hold(&on.set, LENGTH_MM, &on.held);
    /* readings of a board on which the third is there */
    assert_int_equal(
        grid_cover(on.set.laid, places[2].x_mm, places[2].y_mm, 30, 30, 0, &from.covers[0]), SF_OK);
    for (size_t s = 0; s < from.covers[0].count; s++)
        heat[from.covers[0].shares[s].node] =
            60000 * from.covers[0].shares[s].share / from.covers[0].area_mm2;
    free(from.covers[0].shares);
    assert_int_equal(balance_factor(on.set.matrix, LENGTH_MM, on.set.data.loss), SF_OK);
    assert_int_equal(balance_solve(on.set.matrix, heat, heat, 1), SF_OK);
    for (size_t i = 0; i < READINGS; i++)
        on.set.data.rise_k[i] =
            on.few.under.expected[i] + sample_value(&on.set.data.samples[i], heat);
    sparse_fit_clear(&on.many);
    assert_int_equal(
        sparse_fit_make(&on.set.data, on.set.matrix, LENGTH_MM, &on.held, NULL, 0, &on.many),
        SF_OK);
    for (size_t c = 0; c < 4; c++) {
        sparse_fit trial;
        from.centres[c] = places[c];
        from.sides_mm[c] = c == 2 ? 30 : 6; /* the true size against a hot spot within it */
        from.prior[c] = 0.1 * (double)(c + 1);
        assert_int_equal(grid_cover(on.set.laid, places[c].x_mm, places[c].y_mm, from.sides_mm[c],
                                    from.sides_mm[c], 0, &from.covers[c]),
                         SF_OK);
        for (size_t node = 0; node < nodes; node++)
            heat[node] = 0;
        for (size_t s = 0; s < from.covers[c].count; s++)
            heat[from.covers[c].shares[s].node] =
                from.covers[c].shares[s].share / from.covers[c].area_mm2;
        assert_int_equal(
            sparse_fit_make(&on.set.data, on.set.matrix, LENGTH_MM, &on.held, heat, 1, &trial),
            SF_OK);
        gains[c] = trial.log_posterior - on.many.log_posterior;
        best = gains[c] > gains[best] ? c : best;
        sparse_fit_clear(&trial);
    }
    assert_int_equal(sparse_seek(&on.set.data, on.set.matrix, &from, &on.many, &found), SF_OK);
    assert_true(found.count > 0);
    assert_int_equal(found.candidate[0], best);
    assert_close(found.evidence[0], gains[best] + log(from.prior[best]), 1e-6, 0);
    /* what was tried last and not kept has left no trace */
    sparse_fit anew;
    assert_int_equal(sparse_fit_make(&on.set.data, on.set.matrix, LENGTH_MM, &on.held, found.heat,
                                     found.count, &anew),
                     SF_OK);
    assert_int_equal(on.many.unknowns.count, anew.unknowns.count);
    assert_close(on.many.log_posterior, anew.log_posterior, 1e-10, 0);
    for (size_t node = 0; node < nodes; node++)
        assert_close(on.many.mean.rise_k[node], anew.mean.rise_k[node], 1e-9, 1e-9);
    sparse_fit_clear(&anew);
    free(heat);
    sparse_found_clear(&found);
    candidates_clear(&from);
    clear_both(&on);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_ways_lead_to_one_field),
        cmocka_unit_test(both_ways_lead_to_one_doubt),
        cmocka_unit_test(both_ways_leave_readings_out_alike),
        cmocka_unit_test(both_ways_tell_errors_alike),
        cmocka_unit_test(both_ways_judge_lengths_alike),
        cmocka_unit_test(a_source_is_found_where_the_evidence_gains_most),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
