/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Expectation, covariance, posterior and doubt of readings as one Gaussian, against a dense
 * computation over all nodes. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "field/bench.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* A small board that has everything: a source of known and one of unknown power, uneven loss and
 * patchiness. 30 x 25 mm in 120 cells. */
typedef struct small {
    bench set;
    sf_source sources[2];
    sf_observation seen[5];
} small;

static void small_set(small *made)
{
    made->sources[0] = plain_source("R1", 8, 7, 6, 4);
    made->sources[1] = plain_source("Q2", 21, 16, 5, 5);
    made->sources[1].power_w = 0.083;
    made->sources[1].power_sd_w = 0.012;
    made->seen[0] = plain_observation("a", 7.3, 9.1, 31.7, 0.6);
    made->seen[1] = plain_observation("b", 20.1, 14.9, 38.3, 0.9);
    made->seen[2] = plain_observation("c", 27.4, 3.3, 19.8, 0.4);
    made->seen[3] = plain_observation("d", 3.1, 22.2, 21.4, 1.3);
    made->seen[4] = plain_observation("e", 14.4, 12.6, 28.9, 0.7);
    bench_set(&made->set, 30, 25, 2.5, made->sources, 2, made->seen, 5);
    bench_without_peaks(&made->set);
    size_t nodes = made->set.laid->nodes;
    peaked_field guess;
    assert_true(peaked_field_new(&made->set.data, &guess));
    for (size_t node = 0; node < nodes; node++)
        guess.rise_k[node] = guess.plain_k[node] = 15 + 0.17 * (double)node;
    fit_data_take_field(&made->set.data, &guess, 0.8);
    peaked_field_clear(&guess);
}

/* Heat that moves with the share of each knot (test_copper.c holds it against a solution). */
static void add_copper(const fit_data *data, double copper, double length_mm, double *covariance)
{
    size_t nodes = data->laid->nodes, knots = data->copper.knots;
    double unit[COPPER_KNOTS_MOST] = {0};
    for (size_t knot = 0; knot < knots; knot++) {
        double *moved = calloc(nodes, sizeof *moved);
        assert_non_null(moved);
        unit[knot] = 1;
        copper_add_heat(&data->copper, length_mm, unit, copper, moved);
        unit[knot] = 0;
        for (size_t a = 0; a < nodes; a++)
            for (size_t c = 0; c < nodes; c++)
                covariance[a * nodes + c] += moved[a] * moved[c];
        free(moved);
    }
}

/* Prior mean and covariance of the heat of every node under held hyperparameters, straight from
 * what the header says; own rises and the field of a source come from the dense inverse. */
static void dense_prior(const small *of, const hyperparameters *held, double length_mm,
                        const double *inverse, double node_variance, double *mean,
                        double *covariance)
{
    const fit_data *data = &of->set.data;
    size_t nodes = data->laid->nodes;
    double own[2], strength[2], sd[2], cell_mm2 = data->laid->cell_mm * data->laid->cell_mm;
    double *foot = calloc(2 * nodes, sizeof *foot);
    assert_non_null(foot);
    for (size_t j = 0; j < 2; j++) {
        const footprint *cover = &data->covers[j];
        double total = 0;
        for (size_t k = 0; k < cover->count; k++)
            foot[j * nodes + (size_t)cover->shares[k].node] =
                cover->shares[k].share / cover->area_mm2;
        for (size_t a = 0; a < nodes; a++)
            for (size_t b = 0; b < nodes; b++)
                total += foot[j * nodes + a] * inverse[a * nodes + b] * foot[j * nodes + b];
        own[j] = total * cell_mm2;
    }
    strength[0] = sd[0] = held->strength_k_mm2 * sqrt((own[0] + own[1]) / 2 / own[0]);
    /* of watts whose mount is not known 0.55 +/- 0.25 enter the board */
    strength[1] = 0.55 * of->sources[1].power_w * 1e6 / held->loss_w_m2k;
    sd[1] = hypot(0.55 * 0.012, 0.25 * 0.083) * 1e6 / held->loss_w_m2k;
    /* and a slip of the pen, a fifth of a typical source */
    sd[1] = hypot(sd[1], 0.2 * held->strength_k_mm2 * sqrt((own[0] + own[1]) / 2 / own[1]));
    for (size_t a = 0; a < nodes; a++) {
        double b_a = data->background_k * data->loss[a]; /* keeps every place as warm */
        mean[a] = b_a + strength[0] * foot[a] + strength[1] * foot[nodes + a];
        for (size_t c = 0; c < nodes; c++)
            covariance[a * nodes + c] = b_a * data->background_k * data->loss[c] +
                                        sd[0] * sd[0] * foot[a] * foot[c] +
                                        sd[1] * sd[1] * foot[nodes + a] * foot[nodes + c];
        double patch_k = held->patch * data->rise_guess_k[a];
        covariance[a * nodes + a] +=
            node_variance * (held->white_k * held->white_k + patch_k * patch_k);
    }
    add_copper(data, held->copper, length_mm, covariance);
    free(foot);
}

static void invert(double *matrix, size_t count)
{
    gsl_matrix_view view = gsl_matrix_view_array(matrix, count, count);
    assert_int_equal(gsl_linalg_cholesky_decomp1(&view.matrix), GSL_SUCCESS);
    assert_int_equal(gsl_linalg_cholesky_invert(&view.matrix), GSL_SUCCESS);
}

/* product = a b, all count x count. */
static void multiply(const double *a, const double *b, double *product, size_t count)
{
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++) {
            double sum = 0;
            for (size_t m = 0; m < count; m++)
                sum += a[i * count + m] * b[m * count + k];
            product[i * count + k] = sum;
        }
}

/* The posterior by its precision, A S^-1 A + H' R^-1 H, written out over all nodes. */
typedef struct dense {
    double *mean_k, *variance_k2;
    double *prior_k, *prior_k2; /* mean and covariance of the field before any reading */
} dense;

static dense dense_posterior(const small *of, const hyperparameters *held, double length_mm)
{
    const fit_data *data = &of->set.data;
    size_t nodes = data->laid->nodes;
    double steps = length_mm / data->laid->cell_mm;
    dense made = {calloc(nodes, sizeof(double)), calloc(nodes, sizeof(double)),
                  calloc(nodes, sizeof(double)), calloc(nodes * nodes, sizeof(double))};
    double *balance_matrix = dense_balance(data->laid, length_mm, data->loss);
    double *inverse = dense_balance(data->laid, length_mm, data->loss);
    double *heat = calloc(nodes, sizeof(double)), *heat_k2 = calloc(nodes * nodes, sizeof(double));
    double *work = calloc(nodes * nodes, sizeof(double));
    double *precision = calloc(nodes * nodes, sizeof(double)),
           *right = calloc(nodes, sizeof(double));
    assert_true(made.mean_k && made.variance_k2 && made.prior_k && made.prior_k2 && heat &&
                heat_k2 && work && precision && right);
    invert(inverse, nodes);
    dense_prior(of, held, length_mm, inverse, 4 * M_PI * steps * steps, heat, heat_k2);
    multiply(inverse, heat_k2, work, nodes);
    multiply(work, inverse, made.prior_k2, nodes);
    for (size_t a = 0; a < nodes; a++)
        for (size_t b = 0; b < nodes; b++)
            made.prior_k[a] += inverse[a * nodes + b] * heat[b];
    invert(heat_k2, nodes);
    multiply(balance_matrix, heat_k2, work, nodes);
    multiply(work, balance_matrix, precision, nodes);
    for (size_t a = 0; a < nodes; a++)
        for (size_t b = 0; b < nodes; b++)
            right[a] += precision[a * nodes + b] * made.prior_k[b];
    for (size_t i = 0; i < data->readings; i++) {
        const grid_sample *sample = &data->samples[i];
        double noise_k2 = held->noise * held->noise * data->variance_k2[i] + data->position_k2[i];
        for (size_t a = 0; a < sample->count; a++) {
            right[sample->nodes[a]] += sample->weights[a] * data->rise_k[i] / noise_k2;
            for (size_t b = 0; b < sample->count; b++)
                precision[(size_t)sample->nodes[a] * nodes + (size_t)sample->nodes[b]] +=
                    sample->weights[a] * sample->weights[b] / noise_k2;
        }
    }
    invert(precision, nodes);
    for (size_t a = 0; a < nodes; a++) {
        made.variance_k2[a] = precision[a * nodes + a];
        for (size_t b = 0; b < nodes; b++)
            made.mean_k[a] += precision[a * nodes + b] * right[b];
    }
    free(balance_matrix);
    free(inverse);
    free(heat);
    free(heat_k2);
    free(work);
    free(precision);
    free(right);
    return made;
}

static void dense_clear(dense *made)
{
    free(made->mean_k);
    free(made->variance_k2);
    free(made->prior_k);
    free(made->prior_k2);
}

static const hyperparameters held = {.white_k = 0.47,
                                     .patch = 0.09,
                                     .copper = 0.26,
                                     .noise = 1.3,
                                     .strength_k_mm2 = 3100,
                                     .loss_w_m2k = 13.2};

static void expectation_and_covariance_are_those_of_a_dense_computation(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    length_fit fit = bench_hold(&of.set, 11.7, &held);
    dense made = dense_posterior(&of, &held, 11.7);
    size_t nodes = of.set.laid->nodes;
    for (size_t i = 0; i < 5; i++) {
        const grid_sample *row = &of.set.data.samples[i];
        assert_close(fit.under.expected[i], sample_value(row, made.prior_k), 1e-10, 0);
        for (size_t k = 0; k < 5; k++) {
            const grid_sample *column = &of.set.data.samples[k];
            double sum =
                i == k ? 1.69 * of.seen[i].sd_k * of.seen[i].sd_k + of.set.data.position_k2[i] : 0;
            for (size_t a = 0; a < row->count; a++)
                sum += row->weights[a] *
                       sample_value(column, made.prior_k2 + (size_t)row->nodes[a] * nodes);
            assert_close(fit.under.covariance[i * 5 + k], sum, 1e-10, 0);
        }
    }
    dense_clear(&made);
    length_fit_clear(&fit);
    bench_clear(&of.set);
}

/* Discrepancy of two places of expected rise: d^2 m m' (1 + a) exp(-a), a = sqrt(3) r / l. */
static double off_k2(const hyperparameters *at, sf_point one, double one_k, sf_point other,
                     double other_k)
{
    double away = sqrt(3) * hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm) / at->off_mm;
    return at->off_share * at->off_share * one_k * other_k * (1 + away) * exp(-away);
}

/* The posterior mean by the covariance, the model's discrepancy included: prior + C(x, r) C(r,
 * r)^-1 (z - H prior), computed from the formula. */
static double *mean_by_covariance(const small *of, const hyperparameters *at, const dense *prior)
{
    const fit_data *data = &of->set.data;
    const grid *laid = data->laid;
    size_t nodes = laid->nodes, count = data->readings;
    double *mean_k = calloc(nodes, sizeof *mean_k), between[25], off[5], pull[5] = {0};
    assert_non_null(mean_k);
    for (size_t i = 0; i < count; i++) {
        off[i] = data->rise_k[i] - sample_value(&data->samples[i], prior->prior_k);
        for (size_t k = 0; k < count; k++) {
            double sum = off_k2(at, data->points[i], data->at_k[i], data->points[k], data->at_k[k]);
            for (size_t a = 0; a < data->samples[i].count; a++)
                sum += data->samples[i].weights[a] *
                       sample_value(&data->samples[k],
                                    prior->prior_k2 + (size_t)data->samples[i].nodes[a] * nodes);
            if (i == k)
                sum += at->noise * at->noise * data->variance_k2[i] + data->position_k2[i];
            between[i * count + k] = sum;
        }
    }
    invert(between, count);
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            pull[i] += between[i * count + k] * off[k];
    for (size_t node = 0; node < nodes; node++) {
        size_t cell = laid->cell_of_node[node];
        sf_point here = {cell_x_mm(laid, cell), cell_y_mm(laid, cell)};
        mean_k[node] = prior->prior_k[node];
        for (size_t i = 0; i < count; i++)
            mean_k[node] +=
                pull[i] *
                (sample_value(&data->samples[i], prior->prior_k2 + node * nodes) +
                 off_k2(at, here, data->rise_guess_k[node], data->points[i], data->at_k[i]));
    }
    return mean_k;
}

static void fitted_field_is_the_posterior_of_a_dense_computation(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    hyperparameters start = hyperparameters_prior(&of.set.data);
    length_fit fit;
    assert_int_equal(length_fit_make(&of.set.data, of.set.matrix, 11.7, &start, NULL, &fit), SF_OK);
    dense made = dense_posterior(&of, &fit.fitted, 11.7);
    assert_true(fit.fitted.off_share > 0.01);
    double *mean_k = mean_by_covariance(&of, &fit.fitted, &made);
    for (size_t node = 0; node < of.set.laid->nodes; node++)
        assert_close(fit.mean.rise_k[node], mean_k[node], 0, 1e-6);
    free(mean_k);
    dense_clear(&made);
    length_fit_clear(&fit);
    bench_clear(&of.set);
}

static void uncertainty_is_the_posterior_variance_of_a_dense_computation(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    /* so short a length that the prior's variance is computed at every cell */
    length_fit fit = bench_hold(&of.set, 5.3, &held);
    double *sd_k = bench_sd(&of.set, &fit);
    dense made = dense_posterior(&of, &held, 5.3);
    for (size_t node = 0; node < of.set.laid->nodes; node++)
        assert_close(sd_k[node], sqrt(made.variance_k2[node]), 1e-6, 0);
    dense_clear(&made);
    free(sd_k);
    length_fit_clear(&fit);
    bench_clear(&of.set);
}

static void fitted_scales_are_a_maximum(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    hyperparameters start = hyperparameters_prior(&of.set.data);
    length_fit fit;
    assert_int_equal(length_fit_make(&of.set.data, of.set.matrix, 11.7, &start, NULL, &fit), SF_OK);
    double best = 0, work[5], residual[5];
    for (int trial = -1; trial < 2 * HYPERPARAMETER_COUNT; trial++) {
        double logs[HYPERPARAMETER_COUNT];
        hyperparameters_to_logs(&fit.fitted, logs);
        if (trial >= 0)
            logs[trial / 2] += trial % 2 ? 0.8 : -0.8; /* far beyond the search's own step */
        hyperparameters at = hyperparameters_from_logs(logs);
        length_fit other = bench_hold(&of.set, 11.7, &at);
        for (size_t i = 0; i < 5; i++)
            residual[i] = of.set.data.rise_k[i] - other.under.expected[i];
        double density = gaussian_log_density(&other.under, residual, work) +
                         hyperparameters_log_prior(&of.set.data, &at);
        length_fit_clear(&other);
        if (trial < 0)
            best = density;
        else
            assert_true(density < best);
    }
    /* the length's own prior: log-normal about the construction */
    double off = log(11.7 / of.set.data.built.length_mm) / LENGTH_SD_LN;
    assert_close(fit.log_posterior, best - off * off / 2, 1e-9, 0);
    length_fit_clear(&fit);
    bench_clear(&of.set);
}

static void source_answers_with_its_heat_and_the_same_both_ways(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    green_functions green;
    assert_int_equal(green_functions_make(&of.set.data, of.set.matrix, 11.7, &green), SF_OK);
    size_t nodes = of.set.laid->nodes;
    for (size_t j = 0; j < 2; j++) {
        double lost = 0;
        for (size_t node = 0; node < nodes; node++)
            lost += of.set.data.loss[node] * green.fields[j * nodes + node] * 2.5 * 2.5;
        assert_close(lost, 1, 1e-10, 0); /* 1 K mm2 */
        for (size_t i = 0; i < 5; i++) {
            const footprint *cover = &of.set.data.covers[j];
            double sum = 0;
            for (size_t k = 0; k < cover->count; k++)
                sum += cover->shares[k].share / cover->area_mm2 *
                       green.adjoint[i * nodes + (size_t)cover->shares[k].node];
            assert_close(green.source_at[i * 2 + j], sum, 1e-11, 0);
        }
    }
    green_functions_clear(&green);
    bench_clear(&of.set);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(expectation_and_covariance_are_those_of_a_dense_computation),
        cmocka_unit_test(fitted_field_is_the_posterior_of_a_dense_computation),
        cmocka_unit_test(uncertainty_is_the_posterior_variance_of_a_dense_computation),
        cmocka_unit_test(fitted_scales_are_a_maximum),
        cmocka_unit_test(source_answers_with_its_heat_and_the_same_both_ways),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
