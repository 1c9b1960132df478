/* Readings as one Gaussian: the statistics of heat that nobody listed, priors, densities and the
 * posterior, against closed forms and a dense computation. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bench.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static void white_heat_on_a_large_board_has_matern_covariance(void **state)
{
    (void)state;
    /* L 20 mm on 2 mm cells; places in the middle of 400 x 320 mm, 6 L and more from every edge */
    const double distances_mm[] = {0, 2, 10, 20, 40, 80};
    sf_observation seen[6];
    for (size_t i = 0; i < 6; i++)
        seen[i] = plain_observation("w", 161 + distances_mm[i], 161, 20, 1);
    bench set;
    bench_set(&set, 400, 320, 2, NULL, 0, seen, 6);
    response answer;
    assert_int_equal(response_make(&set.data, set.matrix, 20, &answer), SF_OK);
    /* F. Lindgren, H. Rue, J. Lindstroem, J. R. Stat. Soc. B 73 (2011) 423, and P. Whittle,
     * Biometrika 41 (1954) 434: variance tau^2/(4 pi kappa^2), here 1, correlation
     * kappa r K1(kappa r), kappa = 1/L; values from tables 9.8 of Abramowitz and Stegun */
    const double correlations[] = {1, 0.98538448, 0.82822056, 0.60190723, 0.27973176, 0.04993400};
    for (size_t i = 0; i < 6; i++) {
        double r = distances_mm[i] / 20;
        if (r > 0)
            assert_close(correlations[i], r * gsl_sf_bessel_K1(r), 1e-7, 0);
        /* waves are slower on a lattice: the variance is too large by
         * (cell/L)^2/8 (2 ln(pi L/cell) - 3/2), 0.7 % for cells of L/10 (computed from the spectral
         * density); from a spreading length on, short waves no longer matter */
        assert_close(answer.white[i], correlations[i], 0, r < 1 ? 0.01 : 0.003);
    }
    response_clear(&answer);
    bench_clear(&set);
}

static void insulated_edges_inflate_the_variance(void **state)
{
    (void)state;
    const double places[5][2] = {{50, 40}, {0, 40}, {50, 0}, {0, 0}, {20, 20}};
    /* 100 x 80 mm, L 35 mm: sum of folded images of the free correlation, free variance 1; the
     * cosine series agrees in 6 digits (computed) */
    const double variances[5] = {2.185779, 3.142670, 2.848576, 4.366237, 2.911228};
    sf_observation seen[5];
    for (size_t i = 0; i < 5; i++)
        seen[i] = plain_observation("e", places[i][0], places[i][1], 20, 1);
    bench set;
    bench_set(&set, 100, 80, 1, NULL, 0, seen, 5);
    response answer;
    assert_int_equal(response_make(&set.data, set.matrix, 35, &answer), SF_OK);
    /* cells of L/35; at an edge the outermost centre stands, half a cell in */
    for (size_t i = 0; i < 5; i++)
        assert_close(answer.white[i * 5 + i], variances[i], 0.002, 0);
    response_clear(&answer);
    bench_clear(&set);
}

/* Five places of an invented check on an endless board, moved to the middle of a large one. */
static const double gp_places[5][3] = {
    {10, 10, 12}, {50, 20, 25}, {30, 50, 18}, {80, 60, 9}, {70, 15, 20}};
#define GP_OFF_MM 151.25 /* readings at centres of cells */

static void set_gp_bench(bench *set, sf_observation seen[5])
{
    for (size_t i = 0; i < 5; i++)
        seen[i] = plain_observation("g", GP_OFF_MM + gp_places[i][0], GP_OFF_MM + gp_places[i][1],
                                    gp_places[i][2], 1);
    bench_set(set, 390, 370, 2.5, NULL, 0, seen, 5);
    set->data.background_k = 0; /* heat everywhere alone */
}

static void log_density_meets_a_process_on_the_endless_plane(void **state)
{
    (void)state;
    sf_observation seen[5];
    bench set;
    set_gp_bench(&set, seen);
    scales held = {.white_k = 10, .patch = 0, .noise = 1, .strength_k_mm2 = 1, .loss_w_m2k = 15};
    length_fit fit = bench_hold(&set, 35, &held);
    double work[5];
    /* free Matern process, nu 1, L 35 mm, deviation 10, noise 1, mean 0: log density -18.368306,
     * computed dense in NumPy; the constant in 2 pi is left out here. Cells of L/14 change the
     * covariances by 1 to 2 per mille, of 100 K2 */
    double density = gaussian_log_density(&fit.under, set.data.rise_k, work);
    assert_close(density - 2.5 * log(2 * M_PI), -18.368306, 0, 0.02);
    length_fit_clear(&fit);
    bench_clear(&set);
}

static void posterior_meets_a_process_on_the_endless_plane(void **state)
{
    (void)state;
    sf_observation seen[5];
    bench set;
    set_gp_bench(&set, seen);
    scales held = {.white_k = 10, .patch = 0, .noise = 1, .strength_k_mm2 = 1, .loss_w_m2k = 15};
    length_fit fit = bench_hold(&set, 35, &held);
    double *sd_k = bench_sd(&set, &fit);
    double *mean_k = calloc(set.laid->nodes, sizeof *mean_k);
    assert_non_null(mean_k);
    for (size_t i = 0; i < 5; i++)
        for (size_t node = 0; node < set.laid->nodes; node++)
            mean_k[node] += 100 * fit.answer.node_variance * fit.weights[i] *
                            fit.answer.influence[i * set.laid->nodes + node];
    assert_int_equal(balance_solve(set.matrix, mean_k, mean_k, 1), SF_OK);
    /* the same process: posterior mean and deviation, computed dense in NumPy. Cells of L/14
     * raise the variance by 0.5 of 100 K2, the largest of these deviations by 0.07 */
    const double table[][4] = {{30, 30, 20.138277, 4.265854},
                               {50, 20, 24.784090, 0.982134},
                               {60, 40, 19.233718, 4.804520},
                               {100, 80, 4.219928, 7.267021}};
    for (size_t i = 0; i < 4; i++) {
        grid_sample sample =
            grid_sample_at(set.laid, GP_OFF_MM + table[i][0], GP_OFF_MM + table[i][1]);
        assert_close(sample_value(&sample, mean_k), table[i][2], 0, 0.05);
        assert_close(sample_value(&sample, sd_k), table[i][3], 0, 0.08);
    }
    free(mean_k);
    free(sd_k);
    length_fit_clear(&fit);
    bench_clear(&set);
}

static void log_density_of_two_is_the_bivariate_normal(void **state)
{
    (void)state;
    gaussian two;
    assert_int_equal(gaussian_new(2, 0, &two), SF_OK);
    double a = 1.7, b = 0.43, correlation = -0.61, x = 2.3, y = -0.9, work[2];
    double covariance[4] = {a * a, correlation * a * b, correlation * a * b, b * b};
    for (size_t i = 0; i < 4; i++)
        two.covariance[i] = covariance[i];
    assert_int_equal(gaussian_refactor(&two), SF_OK);
    /* bivariate normal density, any text on probability; without the factor 2 pi */
    double rest = 1 - correlation * correlation;
    double expected =
        -log(a * b * sqrt(rest)) -
        (x * x / (a * a) - 2 * correlation * x * y / (a * b) + y * y / (b * b)) / (2 * rest);
    double residual[2] = {x, y};
    assert_close(gaussian_log_density(&two, residual, work), expected, 1e-13, 0);
    assert_int_equal(gaussian_invert(&two), SF_OK);
    assert_close(two.inverse[0], 1 / (a * a * rest), 1e-12, 0);
    assert_close(two.inverse[1], -correlation / (a * b * rest), 1e-12, 0);
    assert_close(two.inverse[2], -correlation / (a * b * rest), 1e-12, 0);
    assert_close(two.inverse[3], 1 / (b * b * rest), 1e-12, 0);
    gaussian_clear(&two);
}

static void covariance_that_is_none_is_a_numeric_error(void **state)
{
    (void)state;
    gaussian two;
    assert_int_equal(gaussian_new(2, 0, &two), SF_OK);
    const double wrong[3][4] = {{1, 2, 2, 1}, {1, NAN, NAN, 3}, {-1, 0, 0, 2}};
    for (size_t w = 0; w < 3; w++) {
        for (size_t i = 0; i < 4; i++)
            two.covariance[i] = wrong[w][i];
        assert_int_equal(gaussian_refactor(&two), SF_ERROR_NUMERIC);
    }
    gaussian_clear(&two);
}

static void scales_pass_through_logarithms_unchanged(void **state)
{
    (void)state;
    scales from = {0.37, 0.081, 1.43, 5310, 13.7};
    double logs[SCALE_COUNT];
    scales_to_logs(&from, logs);
    scales back = scales_from_logs(logs);
    assert_close(back.white_k, 0.37, 1e-14, 0);
    assert_close(back.patch, 0.081, 1e-14, 0);
    assert_close(back.noise, 1.43, 1e-14, 0);
    assert_close(back.strength_k_mm2, 5310, 1e-14, 0);
    assert_close(back.loss_w_m2k, 13.7, 1e-14, 0);
}

static void prior_of_each_scale_is_log_normal_about_its_median(void **state)
{
    (void)state;
    sf_observation seen = plain_observation("a", 13, 17, 21.3, 0.7);
    bench set;
    bench_set(&set, 60, 50, 2.5, NULL, 0, &seen, 1);
    scales median = scales_prior(&set.data);
    double top = scales_log_prior(&set.data, &median), logs[SCALE_COUNT];
    for (int i = 0; i < SCALE_COUNT; i++) {
        double drops[3];
        const double offs[3] = {-0.3, 0.3, 0.6};
        for (int k = 0; k < 3; k++) {
            scales_to_logs(&median, logs);
            logs[i] += offs[k];
            scales off = scales_from_logs(logs);
            drops[k] = top - scales_log_prior(&set.data, &off);
        }
        assert_true(drops[0] > 0);
        assert_close(drops[1], drops[0], 1e-9, 0);
        assert_close(drops[2], 4 * drops[0], 1e-9, 0);
    }
    scales one_off = median;
    one_off.loss_w_m2k *= exp(LOSS_SD_LN);
    assert_close(top - scales_log_prior(&set.data, &one_off), 0.5, 1e-12, 0);
    bench_clear(&set);
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
    size_t nodes = made->set.laid->nodes;
    double *guess_k = calloc(nodes, sizeof *guess_k);
    assert_non_null(guess_k);
    for (size_t node = 0; node < nodes; node++)
        guess_k[node] = 15 + 0.17 * (double)node;
    problem_take_field(&made->set.data, guess_k, 0.8);
    free(guess_k);
}

/* Prior mean and covariance of the heat of every node under held scales, straight from what the
 * header says; own rises and the field of a source come from the dense inverse. */
static void dense_prior(const small *of, const scales *held, const double *inverse,
                        double node_variance, double *mean, double *covariance)
{
    const problem *data = &of->set.data;
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
    strength[1] = of->sources[1].power_w * 1e6 / held->loss_w_m2k;
    sd[1] = hypot(0.012, 0.1 * 0.083) * 1e6 / held->loss_w_m2k;
    double b = data->background_k;
    for (size_t a = 0; a < nodes; a++) {
        mean[a] = b + strength[0] * foot[a] + strength[1] * foot[nodes + a];
        for (size_t c = 0; c < nodes; c++)
            covariance[a * nodes + c] = b * b + sd[0] * sd[0] * foot[a] * foot[c] +
                                        sd[1] * sd[1] * foot[nodes + a] * foot[nodes + c];
        double patch_k = held->patch * data->rise_guess_k[a];
        covariance[a * nodes + a] +=
            node_variance * (held->white_k * held->white_k + patch_k * patch_k);
    }
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

static dense dense_posterior(const small *of, const scales *held, double length_mm)
{
    const problem *data = &of->set.data;
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
    dense_prior(of, held, inverse, 4 * M_PI * steps * steps, heat, heat_k2);
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

static void expectation_and_covariance_are_those_of_a_dense_computation(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    scales held = {
        .white_k = 0.47, .patch = 0.09, .noise = 1.3, .strength_k_mm2 = 3100, .loss_w_m2k = 13.2};
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

static void fitted_field_is_the_posterior_of_a_dense_computation(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    scales start = scales_prior(&of.set.data);
    length_fit fit;
    assert_int_equal(length_fit_make(&of.set.data, of.set.matrix, 11.7, &start, NULL, NULL, &fit),
                     SF_OK);
    dense made = dense_posterior(&of, &fit.fitted, 11.7);
    /* influence of each reading against precision of each node: two routes, one answer */
    for (size_t node = 0; node < of.set.laid->nodes; node++)
        assert_close(fit.rise_k[node], made.mean_k[node], 0, 1e-6);
    dense_clear(&made);
    length_fit_clear(&fit);
    bench_clear(&of.set);
}

static void doubt_is_the_posterior_variance_of_a_dense_computation(void **state)
{
    (void)state;
    small of;
    small_set(&of);
    scales held = {
        .white_k = 0.47, .patch = 0.09, .noise = 1.3, .strength_k_mm2 = 3100, .loss_w_m2k = 13.2};
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
    scales start = scales_prior(&of.set.data);
    length_fit fit;
    assert_int_equal(length_fit_make(&of.set.data, of.set.matrix, 11.7, &start, NULL, NULL, &fit),
                     SF_OK);
    double best = 0, work[5], residual[5];
    for (int trial = -1; trial < 2 * SCALE_COUNT; trial++) {
        double logs[SCALE_COUNT];
        scales_to_logs(&fit.fitted, logs);
        if (trial >= 0)
            logs[trial / 2] += trial % 2 ? 0.8 : -0.8; /* far beyond the search's own step */
        scales at = scales_from_logs(logs);
        length_fit other = bench_hold(&of.set, 11.7, &at);
        for (size_t i = 0; i < 5; i++)
            residual[i] = of.set.data.rise_k[i] - other.under.expected[i];
        double density = gaussian_log_density(&other.under, residual, work) +
                         scales_log_prior(&of.set.data, &at);
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
    response answer;
    assert_int_equal(response_make(&of.set.data, of.set.matrix, 11.7, &answer), SF_OK);
    size_t nodes = of.set.laid->nodes;
    for (size_t j = 0; j < 2; j++) {
        double lost = 0;
        for (size_t node = 0; node < nodes; node++)
            lost += of.set.data.loss[node] * answer.fields[j * nodes + node] * 2.5 * 2.5;
        assert_close(lost, 1, 1e-10, 0); /* 1 K mm2 */
        for (size_t i = 0; i < 5; i++) {
            const footprint *cover = &of.set.data.covers[j];
            double sum = 0;
            for (size_t k = 0; k < cover->count; k++)
                sum += cover->shares[k].share / cover->area_mm2 *
                       answer.influence[i * nodes + (size_t)cover->shares[k].node];
            assert_close(answer.source_at[i * 2 + j], sum, 1e-11, 0);
        }
    }
    response_clear(&answer);
    bench_clear(&of.set);
}

/* Twelve places on a board of 100 x 80 mm, read at a fit's own expectations and a little off. */
static void scatter(sf_observation *seen, size_t count, unsigned long seed)
{
    for (size_t i = 0; i < count; i++)
        seen[i] = plain_observation("s", 4 + 92 * next_uniform(&seed), 4 + 72 * next_uniform(&seed),
                                    18 + 9 * next_uniform(&seed), 0.4 + next_uniform(&seed));
}

static void one_more_reading_never_raises_the_doubt(void **state)
{
    (void)state;
    sf_source sources[2] = {plain_source("R1", 31, 27, 14, 6), plain_source("Q2", 71, 55, 9, 9)};
    sf_observation seen[13];
    scatter(seen, 13, 2024);
    scales held = {
        .white_k = 0.6, .patch = 0.08, .noise = 1.1, .strength_k_mm2 = 9000, .loss_w_m2k = 15};
    double *before = NULL;
    for (size_t count = 1; count <= 13; count += 3) {
        bench set;
        bench_set(&set, 100, 80, 2.5, sources, 2, seen, count);
        set.data.background_k = 11.3; /* the same for any number of readings */
        for (size_t node = 0; node < set.laid->nodes; node++)
            set.data.rise_guess_k[node] = 21.9;
        length_fit fit = bench_hold(&set, 28, &held);
        double *sd_k = bench_sd(&set, &fit);
        for (size_t node = 0; before && node < set.laid->nodes; node++)
            assert_true(sd_k[node] <= before[node] * (1 + 1e-9));
        free(before);
        before = sd_k;
        length_fit_clear(&fit);
        bench_clear(&set);
    }
    free(before);
}

static void doubt_does_not_depend_on_what_was_read(void **state)
{
    (void)state;
    sf_observation seen[6];
    scatter(seen, 6, 17);
    scales held = {
        .white_k = 0.6, .patch = 0, .noise = 1.1, .strength_k_mm2 = 9000, .loss_w_m2k = 15};
    double *sds_k[2];
    for (int turn = 0; turn < 2; turn++) {
        bench set;
        bench_set(&set, 100, 80, 2.5, NULL, 0, seen, 6);
        set.data.background_k = 11.3;
        length_fit fit = bench_hold(&set, 28, &held);
        sds_k[turn] = bench_sd(&set, &fit);
        length_fit_clear(&fit);
        for (size_t i = 0; i < 6; i++)
            seen[i].rise_k = 60 - 1.7 * seen[i].rise_k;
        if (turn == 1)
            for (size_t node = 0; node < set.laid->nodes; node++)
                assert_close(sds_k[1][node], sds_k[0][node], 1e-12, 0);
        bench_clear(&set);
    }
    free(sds_k[0]);
    free(sds_k[1]);
}

/* Largest and least ratio of a deviation to that by one solution for every cell, without a lattice:
 * C(x,x) - C(x,r) C(r,r)^-1 C(r,x) of heat everywhere alone. */
static void ratios_to_every_cell(bench *set, double length_mm, double *least, double *most)
{
    scales held = {.white_k = 2, .patch = 0, .noise = 1, .strength_k_mm2 = 1, .loss_w_m2k = 15};
    length_fit fit = bench_hold(set, length_mm, &held);
    size_t nodes = set->laid->nodes, readings = set->data.readings;
    double *sd_k = bench_sd(set, &fit), *field = calloc(nodes, sizeof *field);
    assert_non_null(field);
    double heat_k2 = 4 * fit.answer.node_variance, with[8];
    assert_int_equal(balance_factor(set->matrix, length_mm, set->data.loss), SF_OK);
    *least = INFINITY;
    *most = 0;
    for (size_t node = 0; node < nodes; node++) {
        memset(field, 0, nodes * sizeof *field);
        field[node] = 1;
        assert_int_equal(balance_solve(set->matrix, field, field, 1), SF_OK);
        double variance = heat_k2 * dot(field, field, nodes);
        for (size_t i = 0; i < readings; i++)
            with[i] = heat_k2 * dot(field, fit.answer.influence + i * nodes, nodes);
        for (size_t i = 0; i < readings; i++)
            variance -= with[i] * dot(fit.under.inverse + i * readings, with, readings);
        *least = fmin(*least, sd_k[node] / sqrt(variance));
        *most = fmax(*most, sd_k[node] / sqrt(variance));
    }
    free(field);
    free(sd_k);
    length_fit_clear(&fit);
}

static void doubt_is_that_of_every_cell_alone(void **state)
{
    (void)state;
    sf_observation seen[5];
    scatter(seen, 5, 404);
    bench set;
    bench_set(&set, 80, 60, 2.5, NULL, 0, seen, 5);
    set.data.background_k = 0;
    double least, most;
    ratios_to_every_cell(&set, 21, &least, &most);
    /* if the prior's variance is interpolated, then so finely that a doubt is true to 3 % */
    assert_true(least > 0.97 && most < 1.03);
    bench_cut(&set, 38, -1, 38.3, 47);
    set.data.background_k = 0;
    ratios_to_every_cell(&set, 21, &least, &most);
    assert_true(least > 0.97 && most < 1.03);
    bench_clear(&set);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(white_heat_on_a_large_board_has_matern_covariance),
        cmocka_unit_test(insulated_edges_inflate_the_variance),
        cmocka_unit_test(log_density_meets_a_process_on_the_endless_plane),
        cmocka_unit_test(posterior_meets_a_process_on_the_endless_plane),
        cmocka_unit_test(log_density_of_two_is_the_bivariate_normal),
        cmocka_unit_test(covariance_that_is_none_is_a_numeric_error),
        cmocka_unit_test(scales_pass_through_logarithms_unchanged),
        cmocka_unit_test(prior_of_each_scale_is_log_normal_about_its_median),
        cmocka_unit_test(expectation_and_covariance_are_those_of_a_dense_computation),
        cmocka_unit_test(fitted_field_is_the_posterior_of_a_dense_computation),
        cmocka_unit_test(doubt_is_the_posterior_variance_of_a_dense_computation),
        cmocka_unit_test(fitted_scales_are_a_maximum),
        cmocka_unit_test(source_answers_with_its_heat_and_the_same_both_ways),
        cmocka_unit_test(one_more_reading_never_raises_the_doubt),
        cmocka_unit_test(doubt_does_not_depend_on_what_was_read),
        cmocka_unit_test(doubt_is_that_of_every_cell_alone),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
