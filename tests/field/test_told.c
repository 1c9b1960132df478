/* What a fit tells beside its mean: doubt of strengths and background, sources that likely stand
 * somewhere, the bound that scales are judged by, and what is expected before any reading. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "field/account.h"
#include "field/bench.h"
#include "field/doubt.h"
#include "field/expectation.h"
#include "field/few.h"
#include "field/joint.h"
#include "field/sweep.h"

enum { READINGS = 6, SOURCES = 2, UNKNOWNS = 1 + SOURCES };

/* The copper as good as even: what it adds is held elsewhere. */
static const scales held = {.white_k = 0.5,
                            .patch = 0.07,
                            .copper = 1e-6,
                            .noise = 1.2,
                            .strength_k_mm2 = 7000,
                            .loss_w_m2k = 14};
static const double length_mm = 12.3;

/* 60 x 45 mm, a source of unknown and one of known power. */
typedef struct told_board {
    sf_source sources[SOURCES];
    sf_observation seen[READINGS];
    bench on;
} told_board;

static void set_told(told_board *set)
{
    static const double rows[READINGS][4] = {{11, 9, 24, 0.5},  {29, 31, 31, 0.8},
                                             {47, 13, 17, 0.4}, {53, 39, 19, 1.1},
                                             {8, 38, 22, 0.6},  {33, 6, 21, 0.9}};
    set->sources[0] = plain_source("R1", 13, 11, 9, 5);
    set->sources[1] = plain_source("Q2", 41, 28, 6, 8);
    for (size_t i = 0; i < READINGS; i++)
        set->seen[i] = plain_observation("t", rows[i][0], rows[i][1], rows[i][2], rows[i][3]);
    bench_set(&set->on, 60, 45, 3, set->sources, SOURCES, set->seen, READINGS);
}

static void invert(double *matrix, size_t count)
{
    gsl_matrix_view view = gsl_matrix_view_array(matrix, count, count);
    assert_int_equal(gsl_linalg_cholesky_decomp1(&view.matrix), GSL_SUCCESS);
    assert_int_equal(gsl_linalg_cholesky_invert(&view.matrix), GSL_SUCCESS);
}

/* Posterior of background and strengths by their precision, P + G' V^-1 G with V all that is not
 * theirs: the other way round than the code. */
static void dense_unknowns(const told_board *set, const length_fit *fit, double *covariance)
{
    const response *answer = &fit->answer;
    double other[READINGS * READINGS], columns[UNKNOWNS][READINGS], prior_sd[UNKNOWNS];
    for (size_t i = 0; i < READINGS; i++) {
        columns[0][i] = answer->uniform_at[i];
        for (size_t j = 0; j < SOURCES; j++)
            columns[1 + j][i] = answer->source_at[i * SOURCES + j];
        for (size_t k = 0; k < READINGS; k++)
            other[i * READINGS + k] =
                held.white_k * held.white_k * answer->white[i * READINGS + k] +
                held.patch * held.patch * answer->patch[i * READINGS + k] +
                (i == k ? reading_variance_k2(&set->on.data, &held, i) : 0);
    }
    prior_sd[0] = set->on.data.background_k;
    for (size_t j = 0; j < SOURCES; j++)
        prior_sd[1 + j] = fit->under.strength_sd[j];
    invert(other, READINGS);
    for (size_t c = 0; c < UNKNOWNS; c++)
        for (size_t d = 0; d < UNKNOWNS; d++) {
            double sum = c == d ? 1 / (prior_sd[c] * prior_sd[c]) : 0;
            for (size_t i = 0; i < READINGS; i++)
                for (size_t k = 0; k < READINGS; k++)
                    sum += columns[c][i] * other[i * READINGS + k] * columns[d][k];
            covariance[c * UNKNOWNS + d] = sum;
        }
    invert(covariance, UNKNOWNS);
}

/* A result with room for what few_report fills in. */
static model_result result_new(const told_board *set)
{
    size_t nodes = set->on.laid->nodes;
    model_result made = {.rise_k = calloc(nodes, sizeof(double)),
                         .variance_k2 = calloc(nodes, sizeof(double)),
                         .own_k2 = calloc(nodes, sizeof(double)),
                         .pull_k = calloc(SF_METHOD_COUNT * nodes, sizeof(double)),
                         .readings = calloc(READINGS, sizeof(sf_reading_fit)),
                         .sources = calloc(SOURCES + SF_UNLISTED_MOST, sizeof(sf_source_fit)),
                         .summary = {.cells = nodes}};
    assert_true(made.rise_k && made.variance_k2 && made.own_k2 && made.pull_k && made.readings &&
                made.sources);
    return made;
}

static void result_clear(model_result *made)
{
    free(made->rise_k);
    free(made->variance_k2);
    free(made->own_k2);
    free(made->pull_k);
    free(made->readings);
    free(made->sources);
}

/* A sweep of one length under the scales that are held. */
static void sweep_one(told_board *set, sweep *swept)
{
    *swept = (sweep){.weights = {1}, .count = 1};
    length_fit *fit = &swept->fits[0];
    *fit = bench_hold(&set->on, length_mm, &held);
    fit->loss_sd_ln = 0.19;
    fit->rise_k = calloc(set->on.laid->nodes, sizeof(double));
    assert_non_null(fit->rise_k);
    assert_int_equal(length_fit_set_mean(&set->on.data, set->on.matrix, fit), SF_OK);
}

enum { CANDIDATES = 2 };

static const double shares[CANDIDATES] = {0.55, 0.3}, strengths[CANDIDATES] = {9000, 5000},
                    variances[CANDIDATES] = {3e6, 2e6};

static candidates two_candidates(const told_board *set)
{
    candidates made = {.count = CANDIDATES,
                       .centres = calloc(CANDIDATES, sizeof(sf_point)),
                       .sides_mm = calloc(CANDIDATES, sizeof(double)),
                       .covers = calloc(CANDIDATES, sizeof(footprint)),
                       .prior = calloc(CANDIDATES, sizeof(double))};
    assert_true(made.centres && made.sides_mm && made.covers && made.prior);
    for (size_t c = 0; c < CANDIDATES; c++) {
        made.centres[c] = (sf_point){22 + 14.3 * (double)c, 24 - 9.1 * (double)c};
        made.prior[c] = 0.5;
        assert_int_equal(grid_cover(set->on.laid, made.centres[c].x_mm, made.centres[c].y_mm, 10,
                                    10, 0, &made.covers[c]),
                         SF_OK);
    }
    return made;
}

static void strengths_and_background_are_as_unsure_as_dense_algebra_says(void **state)
{
    (void)state;
    told_board set;
    sweep swept;
    double covariance[UNKNOWNS * UNKNOWNS];
    set_told(&set);
    candidates from = two_candidates(&set); /* neither of which is found */
    sweep_one(&set, &swept);
    assert_int_equal(unlisted_start(&from, &swept.fits[0].answer, &swept.fits[0].found), SF_OK);
    model_result result = result_new(&set);
    assert_int_equal(few_report(&set.on.data, set.on.matrix, &from, &swept, &result), SF_OK);
    const length_fit *fit = &swept.fits[0];
    dense_unknowns(&set, fit, covariance);
    assert_close(result.summary.background_k.sd, sqrt(covariance[0]), 1e-9, 0);
    assert_int_equal(result.source_count, SOURCES);
    for (size_t j = 0; j < SOURCES; j++) {
        double sd = sqrt(covariance[(1 + j) * (UNKNOWNS + 1)]), own = fit->answer.own[j];
        const sf_source_fit *source = &result.sources[j];
        assert_close(source->rise_k.sd, sd * own, 1e-9, 0);
        /* watts are strength times loss: relative doubts of a product add in squares, JCGM
         * 100:2008, 5.1.6 */
        double relative = hypot(source->rise_k.sd / source->rise_k.value, 0.19);
        assert_close(source->power_w.sd, fabs(source->power_w.value) * relative, 1e-9, 0);
        assert_close(source->power_w.value, source->rise_k.value / own * 14e-6, 1e-9, 0);
    }
    result_clear(&result);
    sweep_clear(&swept);
    candidates_clear(&from);
    bench_clear(&set.on);
}

/* --- sources that likely stand somewhere --- */

/* One effect that has found one of the two, or nothing; the others nothing. */
static void find_two(length_fit *fit, const candidates *from)
{
    assert_int_equal(unlisted_start(from, &fit->answer, &fit->found), SF_OK);
    effect *one = &fit->found.effects[0];
    one->nothing = 1;
    for (size_t c = 0; c < CANDIDATES; c++) {
        one->share[c] = shares[c];
        one->mean[c] = strengths[c];
        one->variance[c] = variances[c];
        one->nothing -= shares[c];
    }
}

/* What the fit's answer to a reading of one kelvin more is at every node: W(x) of each reading,
 * since the mean is linear in what is read. */
static double *answers_to_each(told_board *set)
{
    size_t nodes = set->on.laid->nodes;
    double *made = calloc(READINGS * nodes, sizeof *made);
    assert_non_null(made);
    for (size_t turn = 0; turn <= READINGS; turn++) {
        sweep swept;
        if (turn > 0)
            set->on.data.rise_k[turn - 1] += 1;
        sweep_one(set, &swept);
        for (size_t node = 0; node < nodes; node++) {
            double rise_k = swept.fits[0].rise_k[node];
            for (size_t i = 0; i < READINGS; i++)
                if (turn == 0)
                    made[i * nodes + node] -= rise_k;
            if (turn > 0)
                made[(turn - 1) * nodes + node] += rise_k;
        }
        if (turn > 0)
            set->on.data.rise_k[turn - 1] -= 1;
        sweep_clear(&swept);
    }
    return made;
}

/* Variance that one source of unsure place and strength adds: E[s^2] - E[s]^2 of what the readings
 * do not show of it. Computed from the formula. */
static double *dense_likely(told_board *set, const candidates *from, const length_fit *fit)
{
    size_t nodes = set->on.laid->nodes;
    double *answers = answers_to_each(set), *made = calloc(nodes, sizeof *made);
    double *field = calloc(CANDIDATES * nodes, sizeof *field);
    assert_true(made && field);
    for (size_t c = 0; c < CANDIDATES; c++)
        for (size_t s = 0; s < from->covers[c].count; s++)
            field[c * nodes + (size_t)from->covers[c].shares[s].node] =
                from->covers[c].shares[s].share / from->covers[c].area_mm2;
    assert_int_equal(balance_factor(set->on.matrix, fit->answer.length_mm, set->on.data.loss),
                     SF_OK);
    assert_int_equal(balance_solve(set->on.matrix, field, field, CANDIDATES), SF_OK);
    for (size_t node = 0; node < nodes; node++) {
        double square = 0, mean = 0;
        for (size_t c = 0; c < CANDIDATES; c++) {
            double unseen = field[c * nodes + node];
            for (size_t i = 0; i < READINGS; i++)
                unseen -= sample_value(&set->on.data.samples[i], field + c * nodes) *
                          answers[i * nodes + node];
            square += shares[c] * (strengths[c] * strengths[c] + variances[c]) * unseen * unseen;
            mean += shares[c] * strengths[c] * unseen;
        }
        made[node] = square - mean * mean;
    }
    free(answers);
    free(field);
    return made;
}

static void a_likely_source_adds_the_doubt_of_its_place_and_strength(void **state)
{
    (void)state;
    told_board set;
    set_told(&set);
    candidates from = two_candidates(&set);
    length_fit fit = bench_hold(&set.on, length_mm, &held);
    size_t nodes = set.on.laid->nodes;
    double own_k[CANDIDATES], *without = calloc(nodes, sizeof *without);
    double *with = calloc(nodes, sizeof *with);
    assert_true(with && without);
    assert_int_equal(doubt_add(&set.on.data, set.on.matrix, &fit, without, own_k, NULL), SF_OK);
    find_two(&fit, &from);
    assert_int_equal(doubt_add(&set.on.data, set.on.matrix, &fit, with, own_k, NULL), SF_OK);
    double *expected = dense_likely(&set, &from, &fit), most = 0;
    for (size_t node = 0; node < nodes; node++) {
        most = fmax(most, expected[node] / without[node]);
        assert_close(with[node] - without[node], expected[node], 1e-7, 1e-7);
    }
    assert_true(most > 1); /* it is not little that is compared */
    free(with);
    free(without);
    free(expected);
    length_fit_clear(&fit);
    candidates_clear(&from);
    bench_clear(&set.on);
}

/* Places in the middle of cells, so that the variance of each is that of its node. */
static void a_likely_source_is_in_the_joint_doubt_as_in_that_of_each_place(void **state)
{
    (void)state;
    enum { PLACES = 4 };
    static const sf_point places[PLACES] = {{22.5, 22.5}, {37.5, 16.5}, {4.5, 40.5}, {31.5, 19.5}};
    told_board set;
    sweep swept;
    set_told(&set);
    candidates from = two_candidates(&set);
    sweep_one(&set, &swept);
    find_two(&swept.fits[0], &from);
    model_result result = result_new(&set);
    result.places = places;
    result.joint = joint_new(PLACES);
    assert_non_null(result.joint);
    assert_int_equal(few_report(&set.on.data, set.on.matrix, &from, &swept, &result), SF_OK);
    for (size_t p = 0; p < PLACES; p++) {
        int node = grid_nearest_node(set.on.laid, places[p].x_mm, places[p].y_mm);
        /* the variance of a node is a difference quotient */
        assert_close(result.joint->covariance_k2[p * PLACES + p], result.variance_k2[node], 1e-5,
                     0);
    }
    sf_joint_rise_free(result.joint);
    result_clear(&result);
    sweep_clear(&swept);
    candidates_clear(&from);
    bench_clear(&set.on);
}

/* --- what scales are judged by --- */

/* Lower bound of the log evidence times the prior: the expectation of the Gaussian's log density
 * over sources that are unsure (half a trace below that at their mean), and what the effects add.
 * Textbook variational inference, computed from the formula. */
static double bound_at(told_board *set, const length_fit *fit, const scales *at)
{
    length_fit other = bench_hold(&set->on, length_mm, at);
    double mean_at[READINGS], residual[READINGS], work[READINGS];
    unlisted_mean_at(&fit->found, mean_at);
    for (size_t i = 0; i < READINGS; i++)
        residual[i] = set->on.data.rise_k[i] - other.under.expected[i] - mean_at[i];
    double trace = 0;
    for (int k = 0; k < EFFECT_COUNT; k++) {
        const effect *one = &fit->found.effects[k];
        for (size_t i = 0; i < READINGS; i++)
            for (size_t j = 0; j < READINGS; j++)
                trace += other.under.inverse[i * READINGS + j] *
                         (one->second_at[j * READINGS + i] - one->mean_at[i] * one->mean_at[j]);
    }
    double bound = gaussian_log_density(&other.under, residual, work) - trace / 2 +
                   fit->found.bound + scales_log_prior(&set->on.data, at);
    length_fit_clear(&other);
    return bound;
}

static void a_fit_is_judged_by_its_bound_and_doubts_the_loss_by_its_bend(void **state)
{
    (void)state;
    told_board set;
    candidates from;
    length_fit fit;
    set_told(&set);
    set.sources[0].power_w = 0.31;                   /* known watts tell the loss */
    set.seen[1].rise_k = set.on.data.rise_k[1] = 71; /* something is there that nobody listed */
    assert_int_equal(candidates_make(&set.on.data, &from), SF_OK);
    scales start = scales_prior(&set.on.data);
    assert_int_equal(length_fit_make(&set.on.data, set.on.matrix, length_mm, &start, &from, &fit),
                     SF_OK);
    assert_true(fit.found.effects[0].nothing < 0.9);
    double off = log(length_mm / set.on.data.built.length_mm) / LENGTH_SD_LN, values[3];
    for (int i = 0; i < 3; i++) {
        scales at = fit.fitted;
        at.loss_w_m2k *= exp((i - 1) * 0.1);
        values[i] = bound_at(&set, &fit, &at);
    }
    assert_close(fit.log_posterior, values[1] - off * off / 2, 1e-9, 0);
    /* a normal posterior of variance v bends by 1 / v */
    double sd_ln = 0.1 / sqrt(2 * values[1] - values[0] - values[2]);
    assert_true(sd_ln < 0.95 * LOSS_SD_LN);
    assert_close(fit.loss_sd_ln, sd_ln, 1e-6, 0);
    length_fit_clear(&fit);
    candidates_clear(&from);
    bench_clear(&set.on);
}

/* --- before any reading --- */

/* Strength that is expected of a typical source, and ln of what a doubt of it stands for. */
static double expect(told_board *set, double *spread_ln)
{
    candidates from;
    sweep swept;
    assert_int_equal(candidates_make(&set->on.data, &from), SF_OK);
    assert_int_equal(sweep_expect(&set->on.data, set->on.matrix, &from, &swept), SF_OK);
    double strength = swept.fits[0].fitted.strength_k_mm2;
    double high = 0, low = INFINITY;
    for (size_t i = 0; i < swept.count; i++) {
        const scales *at = &swept.fits[i].fitted;
        high = fmax(high, at->strength_k_mm2);
        low = fmin(low, at->strength_k_mm2);
        /* a board that runs warmer has more heat or loses less of it */
        assert_true((at->strength_k_mm2 - strength) *
                        (at->loss_w_m2k - swept.fits[0].fitted.loss_w_m2k) <=
                    0);
    }
    *spread_ln = log(high / low);
    sweep_clear(&swept);
    candidates_clear(&from);
    return strength;
}

/* Watts of a small and of a large source that both say what is expected anyway change nothing but
 * how surely: a mean of three has a third of the variance of one. */
static void watts_that_agree_make_what_is_expected_surer(void **state)
{
    (void)state;
    told_board set;
    double spread_ln, surer_ln;
    set_told(&set);
    set.sources[0].width_mm = set.sources[0].height_mm = 3;
    set.sources[1].width_mm = set.sources[1].height_mm = 17;
    problem_clear(&set.on.data);
    set.on.input.observation_count = 0;
    assert_int_equal(problem_gather(&set.on.input, set.on.laid, &set.on.data), SF_ERROR_DATA);
    double strength = expect(&set, &spread_ln);
    response answer;
    for (size_t node = 0; node < set.on.laid->nodes; node++)
        set.on.data.loss[node] = 1; /* as at a first look */
    assert_int_equal(
        response_make(&set.on.data, set.on.matrix, set.on.data.built.length_mm, &answer), SF_OK);
    assert_true(answer.own[0] > 1.5 * answer.own[1]);
    for (size_t j = 0; j < SOURCES; j++)
        set.sources[j].power_w = strength * sqrt(answer.own_median / answer.own[j]) *
                                 set.on.data.built.loss_w_m2k * 1e-6;
    assert_close(expect(&set, &surer_ln), strength, 1e-9, 0);
    assert_close(surer_ln, spread_ln / sqrt(3), 1e-9, 0);
    response_clear(&answer);
    bench_clear(&set.on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strengths_and_background_are_as_unsure_as_dense_algebra_says),
        cmocka_unit_test(a_likely_source_adds_the_doubt_of_its_place_and_strength),
        cmocka_unit_test(a_likely_source_is_in_the_joint_doubt_as_in_that_of_each_place),
        cmocka_unit_test(a_fit_is_judged_by_its_bound_and_doubts_the_loss_by_its_bend),
        cmocka_unit_test(watts_that_agree_make_what_is_expected_surer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
