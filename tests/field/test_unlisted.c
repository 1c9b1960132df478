/* Heat that nobody listed: found where it is, not found where all is explained, and every share and
 * strength held against numerical integration. */
#include "support/check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

#include "core/geometry.h"
#include "field/bench.h"

#define LENGTH_MM 26.0
#define READINGS 12

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* A board of 100 x 80 mm with two listed sources and one that is not: 11 x 11 mm at (27, 53). */
typedef struct hunt {
    sf_source sources[2];
    sf_observation seen[READINGS];
    bench set;
    candidates from;
    length_fit fit;
} hunt;

#define HIDDEN_X_MM 27.0
#define HIDDEN_Y_MM 53.0
#define HIDDEN 2 /* the reading above it */

static const double places[READINGS][2] = {{12, 11}, {49, 9},  {28, 52}, {90, 14},
                                           {9, 71},  {55, 73}, {92, 70}, {51, 40},
                                           {72, 33}, {8, 34},  {78, 58}, {33, 30}};

/* Readings of a field of heat over loss per area, the hidden one scaled by `hidden`. */
static void read_field(hunt *made, double hidden)
{
    static const double strengths_k_mm2[3] = {38800, 29200, 34400};
    const sf_source all[3] = {made->sources[0], made->sources[1],
                              plain_source("hidden", HIDDEN_X_MM, HIDDEN_Y_MM, 11, 11)};
    grid *laid = made->set.laid;
    double *field = calloc(laid->nodes, sizeof *field);
    assert_non_null(field);
    for (size_t node = 0; node < laid->nodes; node++)
        field[node] = 9.3;
    for (size_t j = 0; j < 3; j++) {
        footprint cover;
        assert_int_equal(grid_cover(laid, all[j].x_mm, all[j].y_mm, all[j].width_mm,
                                    all[j].height_mm, 0, &cover),
                         SF_OK);
        for (size_t i = 0; i < cover.count; i++)
            field[cover.shares[i].node] +=
                (j == 2 ? hidden : 1) * strengths_k_mm2[j] * cover.shares[i].share / cover.area_mm2;
        free(cover.shares);
    }
    assert_int_equal(balance_factor(made->set.matrix, LENGTH_MM, NULL), SF_OK);
    assert_int_equal(balance_solve(made->set.matrix, field, field, 1), SF_OK);
    unsigned long seed = 606;
    for (size_t i = 0; i < READINGS; i++)
        made->set.data.rise_k[i] =
            sample_value(&made->set.data.samples[i], field) + 0.4 * next_normal(&seed);
    free(field);
}

/* Starts the search under scales that are held. */
static void hunt_set(hunt *made, double hidden)
{
    made->sources[0] = plain_source("R1", 70, 20, 12, 8);
    made->sources[1] = plain_source("Q2", 75, 62, 8, 8);
    for (size_t i = 0; i < READINGS; i++)
        made->seen[i] = plain_observation("h", places[i][0], places[i][1], 17, 0.5);
    bench_set(&made->set, 100, 80, 2.5, made->sources, 2, made->seen, READINGS);
    read_field(made, hidden);
    made->set.data.background_k = 9;
    scales held = {
        .white_k = 0.3, .patch = 0.05, .noise = 1, .strength_k_mm2 = 31000, .loss_w_m2k = 15};
    assert_int_equal(candidates_make(&made->set.data, &made->from), SF_OK);
    made->fit = bench_hold(&made->set, LENGTH_MM, &held);
    assert_int_equal(unlisted_start(&made->from, &made->fit.answer, &made->fit.found), SF_OK);
}

static void hunt_clear(hunt *made)
{
    length_fit_clear(&made->fit);
    candidates_clear(&made->from);
    bench_clear(&made->set);
}

static void update(hunt *made)
{
    assert_int_equal(unlisted_update(&made->fit.found, &made->fit.under, made->set.data.rise_k,
                                     made->fit.fitted.strength_k_mm2),
                     SF_OK);
}

/* The bound of the log evidence of all readings, as its parts are meant to add up. */
static double whole_bound(const unlisted *found, const gaussian *under, const double *rise_k)
{
    double mean_at[READINGS], residual[READINGS], work[READINGS];
    unlisted_mean_at(found, mean_at);
    for (size_t i = 0; i < under->readings; i++)
        residual[i] = rise_k[i] - under->expected[i] - mean_at[i];
    return found->bound - unlisted_doubt(found, under) +
           gaussian_log_density(under, residual, work);
}

static const effect *likeliest(const unlisted *found)
{
    const effect *best = &found->effects[0];
    for (int k = 1; k < EFFECT_COUNT; k++)
        if (found->effects[k].nothing < best->nothing)
            best = &found->effects[k];
    return best;
}

static void candidates_stand_on_the_board_and_share_one_prior(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    double sum = 0;
    for (size_t c = 0; c < made.from.count; c++) {
        assert_true(board_contains(made.set.rings, 1, made.from.centres[c].x_mm,
                                   made.from.centres[c].y_mm));
        assert_true(made.from.sides_mm[c] >= 2 && made.from.sides_mm[c] <= 40);
        assert_true(made.from.covers[c].count > 0 && made.from.prior[c] > 0);
        sum += made.from.prior[c];
    }
    assert_close(sum, 1, 1e-12, 0);
    hunt_clear(&made);
}

static void every_place_has_a_candidate_near_and_readings_have_their_own(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    for (double y = 1; y < 80; y += 3.1)
        for (double x = 1; x < 100; x += 3.1) {
            double nearest = INFINITY;
            for (size_t c = 0; c < made.from.count; c++)
                nearest = fmin(nearest,
                               hypot(made.from.centres[c].x_mm - x, made.from.centres[c].y_mm - y));
            assert_true(nearest < 10);
        }
    for (size_t i = 0; i < READINGS; i++) {
        bool listed = i == 10; /* (78, 58) is on Q2 */
        size_t own = 0;
        for (size_t c = 0; c < made.from.count; c++)
            own += made.from.centres[c].x_mm == places[i][0] &&
                   made.from.centres[c].y_mm == places[i][1];
        assert_true(listed ? own == 0 : own >= 1);
    }
    hunt_clear(&made);
}

static void hidden_source_under_a_reading_is_found_there(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    update(&made);
    const effect *found = likeliest(&made.fit.found);
    assert_true(1 - found->nothing > 0.9);
    double x = 0, y = 0, strength = 0, likely = 1 - found->nothing;
    for (size_t c = 0; c < made.from.count; c++) {
        x += found->share[c] / likely * made.from.centres[c].x_mm;
        y += found->share[c] / likely * made.from.centres[c].y_mm;
        strength += found->share[c] / likely * found->mean[c];
    }
    assert_true(hypot(x - HIDDEN_X_MM, y - HIDDEN_Y_MM) < 6);
    assert_close(strength, 34400, 0.25, 0);
    assert_true(found->log_factor > 3);
    hunt_clear(&made);
}

static void found_source_explains_its_reading(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    double before = made.set.data.rise_k[HIDDEN] - made.fit.under.expected[HIDDEN];
    update(&made);
    double mean_at[READINGS];
    unlisted_mean_at(&made.fit.found, mean_at);
    assert_true(before > 10);
    assert_true(fabs(before - mean_at[HIDDEN]) < 0.3 * before);
    /* far away it says little */
    assert_true(mean_at[3] < 0.1 * mean_at[HIDDEN]);
    hunt_clear(&made);
}

static void nothing_is_found_where_all_is_explained(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 0);
    update(&made);
    for (int k = 0; k < EFFECT_COUNT; k++)
        assert_true(made.fit.found.effects[k].nothing > 0.7);
    hunt_clear(&made);
}

static void shares_sum_to_one(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    update(&made);
    for (int k = 0; k < EFFECT_COUNT; k++) {
        const effect *one = &made.fit.found.effects[k];
        double sum = one->nothing;
        for (size_t c = 0; c < made.from.count; c++) {
            assert_true(one->share[c] >= 0 && one->mean[c] >= 0 && one->variance[c] >= 0);
            sum += one->share[c];
        }
        assert_close(sum, 1, 1e-12, 0);
    }
    hunt_clear(&made);
}

static void contributions_are_the_moments_of_the_shares(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    update(&made);
    const unlisted *found = &made.fit.found;
    for (int k = 0; k < EFFECT_COUNT; k++) {
        const effect *one = &found->effects[k];
        for (size_t i = 0; i < READINGS; i++) {
            double first = 0, second = 0;
            size_t other = (i * 5 + 1) % READINGS;
            for (size_t c = 0; c < made.from.count; c++) {
                const double *at = found->at_readings + c * READINGS;
                first += one->share[c] * one->mean[c] * at[i];
                second += one->share[c] * (one->mean[c] * one->mean[c] + one->variance[c]) * at[i] *
                          at[other];
            }
            /* shares below a billionth may be left out */
            assert_close(one->mean_at[i], first, 1e-5, 1e-5);
            assert_close(one->second_at[i * READINGS + other], second, 1e-5, 1e-5);
        }
    }
    hunt_clear(&made);
}

static void bound_rises_from_update_to_update(void **state)
{
    (void)state;
    for (int turn = 0; turn < 2; turn++) {
        hunt made;
        hunt_set(&made, turn);
        double work[READINGS], residual[READINGS];
        for (size_t i = 0; i < READINGS; i++)
            residual[i] = made.set.data.rise_k[i] - made.fit.under.expected[i];
        double bare = gaussian_log_density(&made.fit.under, residual, work);
        update(&made);
        double bound = whole_bound(&made.fit.found, &made.fit.under, made.set.data.rise_k);
        /* without any source it cannot be below the prior chance of none */
        assert_true(bound > bare - 1);
        if (turn == 1)
            assert_true(bound > bare + 3);
        for (int again = 0; again < 4; again++) {
            update(&made);
            double next = whole_bound(&made.fit.found, &made.fit.under, made.set.data.rise_k);
            assert_true(next >= bound - 1e-9);
            bound = next;
        }
        hunt_clear(&made);
    }
}

/* A strength's density with the likelihood over that of nothing, and its moments. */
typedef struct integrand {
    double prior_mean, projection, precision;
    double at_peak; /* log of the density at its highest, to keep numbers small */
    int power;
} integrand;

static double density(double strength, void *parameters)
{
    const integrand *of = parameters;
    double log_value = -log(of->prior_mean) - strength / of->prior_mean +
                       of->projection * strength - of->precision * strength * strength / 2;
    return pow(strength, of->power) * exp(log_value - of->at_peak);
}

static double integrate(integrand of, int power, gsl_integration_workspace *space)
{
    double value, error, spread = 1 / sqrt(of.precision);
    double centre = fmax((of.projection - 1 / of.prior_mean) / of.precision, 0);
    of.power = power;
    gsl_function function = {density, &of};
    double low = fmax(centre - 14 * spread, 0);
    double high = centre + fmin(14 * spread, 60 * of.prior_mean);
    assert_int_equal(gsl_integration_qag(&function, low, high, 0, 1e-10, 1000, GSL_INTEG_GAUSS61,
                                         space, &value, &error),
                     GSL_SUCCESS);
    return value;
}

static void strengths_and_shares_are_those_of_numerical_integration(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    for (int again = 0; again < 6; again++)
        update(&made); /* until nothing moves */
    const unlisted *found = &made.fit.found;
    const effect *one = likeliest(found);
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(1000);
    double mean_at[READINGS], log_ratio_of_first = NAN;
    size_t checked = 0;
    unlisted_mean_at(found, mean_at);
    for (size_t c = 0; c < made.from.count; c++) {
        if (one->share[c] < 1e-4 && c % 37 != 5)
            continue;
        const double *at = found->at_readings + c * READINGS;
        integrand of = {.prior_mean = made.fit.fitted.strength_k_mm2};
        for (size_t i = 0; i < READINGS; i++)
            for (size_t k = 0; k < READINGS; k++) {
                double weight = made.fit.under.inverse[i * READINGS + k];
                double left = made.set.data.rise_k[k] - made.fit.under.expected[k] - mean_at[k] +
                              one->mean_at[k];
                of.projection += at[i] * weight * left;
                of.precision += at[i] * weight * at[k];
            }
        double centre = fmax((of.projection - 1 / of.prior_mean) / of.precision, 0);
        of.at_peak = of.projection * centre - of.precision * centre * centre / 2 -
                     centre / of.prior_mean - log(of.prior_mean);
        double total = integrate(of, 0, space), first = integrate(of, 1, space) / total;
        double second = integrate(of, 2, space) / total;
        assert_close(one->mean[c], first, 1e-4, 0);
        assert_close(one->variance[c], second - first * first, 1e-3, 0);
        /* shares stand as prior times evidence */
        double log_ratio = log(one->share[c] / made.from.prior[c]) - log(total) - of.at_peak;
        if (checked++ == 0)
            log_ratio_of_first = log_ratio;
        assert_close(log_ratio, log_ratio_of_first, 0, 0.01);
    }
    assert_true(checked > 10);
    gsl_integration_workspace_free(space);
    hunt_clear(&made);
}

/* One reading and one candidate, so that all can be summed and integrated. */
typedef struct lone {
    sf_point centre;
    double side_mm, prior, contribution, rise_k;
    candidates from;
    gaussian under;
    unlisted found;
} lone;

static void lone_set(lone *made, double rise_k, double sd_k)
{
    *made =
        (lone){.centre = {10, 10}, .side_mm = 10, .prior = 1, .contribution = 1, .rise_k = rise_k};
    made->from = (candidates){
        .count = 1, .centres = &made->centre, .sides_mm = &made->side_mm, .prior = &made->prior};
    static cell_share whole = {0, 1};
    static footprint cover = {&whole, 1, 1};
    made->from.covers = &cover;
    response answer = {.nodes = 1, .readings = 1, .influence = &made->contribution};
    assert_int_equal(unlisted_start(&made->from, &answer, &made->found), SF_OK);
    assert_int_equal(gaussian_new(1, 0, &made->under), SF_OK);
    made->under.covariance[0] = sd_k * sd_k;
    assert_int_equal(gaussian_refactor(&made->under), SF_OK);
    assert_int_equal(gaussian_invert(&made->under), SF_OK);
}

static void lone_clear(lone *made)
{
    unlisted_clear(&made->found);
    gaussian_clear(&made->under);
}

/* Prior chance that an effect is none: what is left where the reading says nothing at all. */
static double prior_of_nothing(void)
{
    lone blind;
    lone_set(&blind, 3, 5e3);
    assert_int_equal(unlisted_update(&blind.found, &blind.under, &blind.rise_k, 5), SF_OK);
    double nothing = blind.found.effects[EFFECT_COUNT - 1].nothing;
    lone_clear(&blind);
    return nothing;
}

typedef struct summed {
    double rise_k, sd_k, strength, shape;
} summed;

static double gamma_by_normal(double total, void *parameters)
{
    const summed *of = parameters;
    double off = (of->rise_k - total) / of->sd_k;
    return gsl_ran_gamma_pdf(total, of->shape, of->strength) * exp(-off * off / 2) / of->sd_k;
}

static void bound_lies_closely_below_the_whole_evidence(void **state)
{
    (void)state;
    double nothing = prior_of_nothing();
    assert_true(nothing > 0.5 && nothing < 0.98);
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(1000);
    const double rises_k[] = {-1.3, 0.4, 2.1, 7.7, 23};
    for (size_t r = 0; r < sizeof rises_k / sizeof *rises_k; r++) {
        double sd_k = 1.1, strength = 6, evidence = 0;
        /* n effects of exponential strengths sum to a gamma density of shape n; none leaves the
         * reading to its noise (constant 1/sqrt(2 pi) left out throughout) */
        for (unsigned n = 0; n <= EFFECT_COUNT; n++) {
            double chance = gsl_ran_binomial_pdf(n, 1 - nothing, EFFECT_COUNT);
            double value = exp(-pow(rises_k[r] / sd_k, 2) / 2) / sd_k, error;
            summed of = {rises_k[r], sd_k, strength, n};
            gsl_function function = {gamma_by_normal, &of};
            if (n > 0)
                assert_int_equal(gsl_integration_qag(&function, 0, fmax(rises_k[r], 0) + 12, 0,
                                                     1e-9, 1000, GSL_INTEG_GAUSS61, space, &value,
                                                     &error),
                                 GSL_SUCCESS);
            evidence += chance * value;
        }
        lone made;
        lone_set(&made, rises_k[r], sd_k);
        for (int again = 0; again < 5; again++)
            assert_int_equal(unlisted_update(&made.found, &made.under, &made.rise_k, strength),
                             SF_OK);
        double bound = whole_bound(&made.found, &made.under, &made.rise_k);
        /* a bound: never above; it settles on one of four like effects, which costs log 4, and a
         * strength split among several up to one more */
        assert_true(bound <= log(evidence) + 1e-9);
        assert_true(bound > log(evidence) - log(EFFECT_COUNT) - 1);
        lone_clear(&made);
    }
    gsl_integration_workspace_free(space);
}

static void colder_than_expected_is_no_source(void **state)
{
    (void)state;
    lone made;
    lone_set(&made, -9, 1);
    assert_int_equal(unlisted_update(&made.found, &made.under, &made.rise_k, 6), SF_OK);
    for (int k = 0; k < EFFECT_COUNT; k++) {
        assert_true(made.found.effects[k].nothing > prior_of_nothing());
        assert_true(made.found.effects[k].mean[0] >= 0);
    }
    lone_clear(&made);
}

static void candidate_that_no_reading_sees_keeps_its_prior(void **state)
{
    (void)state;
    double nothing = prior_of_nothing();
    /* far from every reading its influence falls as K0(r/L) without end; on an island it is nil */
    const double contributions[] = {1e-5, 1e-9, 1e-11, 3e-14, 1e-20, 1e-80, 0};
    for (size_t i = 0; i < sizeof contributions / sizeof *contributions; i++) {
        lone made;
        lone_set(&made, 7.7, 1.1);
        made.found.at_readings[0] = contributions[i];
        assert_int_equal(unlisted_update(&made.found, &made.under, &made.rise_k, 6), SF_OK);
        for (int k = 0; k < EFFECT_COUNT; k++) {
            const effect *one = &made.found.effects[k];
            assert_close(one->nothing, nothing, 0, 1e-3);
            assert_close(one->share[0], 1 - nothing, 0, 1e-3);
            assert_close(one->mean[0], 6, 0.01, 0);
            assert_close(one->variance[0], 36, 0.01, 0);
        }
        lone_clear(&made);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(candidates_stand_on_the_board_and_share_one_prior),
        cmocka_unit_test(every_place_has_a_candidate_near_and_readings_have_their_own),
        cmocka_unit_test(hidden_source_under_a_reading_is_found_there),
        cmocka_unit_test(found_source_explains_its_reading),
        cmocka_unit_test(nothing_is_found_where_all_is_explained),
        cmocka_unit_test(shares_sum_to_one),
        cmocka_unit_test(contributions_are_the_moments_of_the_shares),
        cmocka_unit_test(bound_rises_from_update_to_update),
        cmocka_unit_test(strengths_and_shares_are_those_of_numerical_integration),
        cmocka_unit_test(bound_lies_closely_below_the_whole_evidence),
        cmocka_unit_test(colder_than_expected_is_no_source),
        cmocka_unit_test(candidate_that_no_reading_sees_keeps_its_prior),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
