/* The field at several places taken together: against dense algebra, against the field itself, and
 * against what one more reading does. */
#include "support/check.h"

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bench.h"
#include "field/joint.h"

enum { PLACES = 7, READINGS = 5 };

#define LENGTH_MM 13.7

/* Off centres of cells, on and off sources, at an edge. */
static const sf_point places[PLACES] = {{11.3, 9.2}, {22.9, 17.4}, {23.8, 18.8}, {37.1, 24.6},
                                        {45.9, 5.7}, {6.4, 28.3},  {31.2, 12.1}};

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* A board of 48 x 32 mm with two sources, scales and length held. */
typedef struct stand {
    sf_source sources[2];
    sf_observation seen[READINGS];
    bench set;
    sweep held;
    model_result result;
} stand;

static void stand_set(stand *made, size_t readings)
{
    static const double read[READINGS][3] = {{8.7, 7.1, 9.4},
                                             {24.3, 19.2, 21.8},
                                             {40.6, 26.3, 7.3},
                                             {44.1, 9.9, 13.2},
                                             {6.4, 28.3, 8.8}};
    *made = (stand){.sources = {plain_source("R1", 24, 18, 9, 6), plain_source("Q2", 43, 8, 6, 6)}};
    for (size_t i = 0; i < READINGS; i++)
        made->seen[i] = plain_observation("r", read[i][0], read[i][1], read[i][2], 0.7);
    bench_set(&made->set, 48, 32, 2.1, made->sources, 2, made->seen, readings);
    made->set.data.background_k = 6.3;
    for (size_t node = 0; node < made->set.laid->nodes; node++)
        made->set.data.rise_guess_k[node] = 9.1; /* whatever was read */
    for (size_t link = 0; link < made->set.laid->link_count; link++)
        made->set.data.copper.drop_k[link] = sin(0.37 * (double)link);
    scales held = {.white_k = 0.9,
                   .patch = 0.08,
                   .copper = 0.31,
                   .noise = 1.2,
                   .strength_k_mm2 = 5100,
                   .loss_w_m2k = 14.2};
    made->held = (sweep){.count = 1, .weights = {1}};
    made->held.fits[0] = bench_hold(&made->set, LENGTH_MM, &held);
    length_fit *fit = &made->held.fits[0];
    fit->rise_k = calloc(made->set.laid->nodes, sizeof *fit->rise_k);
    assert_non_null(fit->rise_k);
    assert_int_equal(length_fit_set_mean(&made->set.data, made->set.matrix, fit), SF_OK);
    made->result =
        (model_result){.rise_k = fit->rise_k, .places = places, .joint = joint_new(PLACES)};
    assert_non_null(made->result.joint);
    assert_int_equal(joint_fill(&made->set.data, made->set.matrix, &made->held, &made->result),
                     SF_OK);
}

static void stand_clear(stand *made)
{
    sf_joint_rise_free(made->result.joint);
    sweep_clear(&made->held);
    bench_clear(&made->set);
}

/* Inverse of the balance, by elimination on the dense matrix; freed by the caller. */
static double *dense_inverse(const stand *made)
{
    size_t nodes = made->set.laid->nodes;
    double *matrix = dense_balance(made->set.laid, LENGTH_MM, made->set.data.loss);
    gsl_matrix_view whole = gsl_matrix_view_array(matrix, nodes, nodes);
    assert_int_equal(gsl_linalg_cholesky_decomp1(&whole.matrix), GSL_SUCCESS);
    assert_int_equal(gsl_linalg_cholesky_invert(&whole.matrix), GSL_SUCCESS);
    return matrix;
}

/* The part of uneven copper in it, link by link. */
static double dense_copper(const stand *made, const double *inverse, grid_sample a, grid_sample b)
{
    const copper_lattice *lattice = &made->set.data.copper;
    const size_t corner[4] = {0, 1, lattice->columns, lattice->columns + 1};
    double change[2][COPPER_KNOTS_MOST] = {{0}}, steps = LENGTH_MM / made->set.laid->cell_mm;
    double copper = made->held.fits[0].fitted.copper, sum = 0;
    size_t nodes = made->set.laid->nodes;
    for (size_t link = 0; link < made->set.laid->link_count; link++) {
        const double *first = inverse + (size_t)made->set.laid->links[link].first * nodes;
        const double *second = inverse + (size_t)made->set.laid->links[link].second * nodes;
        double moved = steps * steps * lattice->drop_k[link];
        for (int k = 0; k < 4; k++) {
            size_t knot = lattice->knot_of_link[link] + corner[k];
            double part = moved * lattice->weights[4 * link + (size_t)k];
            change[0][knot] += part * (sample_value(&a, first) - sample_value(&a, second));
            change[1][knot] += part * (sample_value(&b, first) - sample_value(&b, second));
        }
    }
    for (size_t knot = 0; knot < lattice->knots; knot++)
        sum += copper * copper * change[0][knot] * change[1][knot];
    return sum;
}

/* Prior covariance between two samples of the field, every heat summed one by one. */
static double dense_covariance(const stand *made, const double *inverse, grid_sample a,
                               grid_sample b)
{
    const problem *data = &made->set.data;
    const length_fit *fit = &made->held.fits[0];
    size_t nodes = data->laid->nodes;
    double sum = 0, steps = LENGTH_MM / data->laid->cell_mm, uniform[2] = {0};
    double source[2][2] = {{0}};
    for (size_t node = 0; node < nodes; node++) {
        double at[2] = {sample_value(&a, inverse + node * nodes),
                        sample_value(&b, inverse + node * nodes)};
        double patch_k = fit->fitted.patch * data->rise_guess_k[node];
        /* white heat of unit field variance on an endless board: 4 pi L^2 a cell area */
        sum += 4 * M_PI * steps * steps *
               (fit->fitted.white_k * fit->fitted.white_k + patch_k * patch_k) * at[0] * at[1];
        for (int which = 0; which < 2; which++)
            uniform[which] += at[which];
        for (int j = 0; j < 2; j++)
            for (size_t s = 0; s < data->covers[j].count; s++)
                if (data->covers[j].shares[s].node == (int)node)
                    for (int which = 0; which < 2; which++)
                        source[j][which] +=
                            at[which] * data->covers[j].shares[s].share / data->covers[j].area_mm2;
    }
    sum += data->background_k * data->background_k * uniform[0] * uniform[1];
    for (int j = 0; j < 2; j++)
        sum += fit->under.strength_sd[j] * fit->under.strength_sd[j] * source[j][0] * source[j][1];
    return sum + dense_copper(made, inverse, a, b);
}

/* The joint covariance of all samples, readings first, conditioned on the readings. */
static void dense_posterior(const stand *made, size_t readings, double *posterior)
{
    size_t count = readings + PLACES;
    double *inverse = dense_inverse(made), all[READINGS + PLACES][READINGS + PLACES];
    grid_sample samples[READINGS + PLACES];
    for (size_t i = 0; i < count; i++)
        samples[i] = i < readings ? made->set.data.samples[i]
                                  : grid_sample_at(made->set.laid, places[i - readings].x_mm,
                                                   places[i - readings].y_mm);
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            all[i][k] = dense_covariance(made, inverse, samples[i], samples[k]);
    /* readings one by one: noise 1.2 times 0.7 K each */
    for (size_t i = 0; i < readings; i++) {
        double read = all[i][i] + pow(1.2 * 0.7, 2), row[READINGS + PLACES];
        for (size_t k = 0; k < count; k++)
            row[k] = all[i][k];
        for (size_t p = 0; p < count; p++)
            for (size_t q = 0; q < count; q++)
                all[p][q] -= row[p] * row[q] / read;
    }
    for (size_t p = 0; p < PLACES; p++)
        for (size_t q = 0; q < PLACES; q++)
            posterior[p * PLACES + q] = all[readings + p][readings + q];
    free(inverse);
}

static void covariance_is_that_of_dense_algebra(void **state)
{
    (void)state;
    stand made;
    double expected[PLACES * PLACES];
    stand_set(&made, READINGS);
    dense_posterior(&made, READINGS, expected);
    for (size_t i = 0; i < PLACES * PLACES; i++)
        assert_close(made.result.joint->covariance_k2[i], expected[i], 1e-7, 1e-9);
    stand_clear(&made);
}

static void one_more_reading_takes_what_the_formula_says(void **state)
{
    (void)state;
    stand fewer, more;
    stand_set(&fewer, READINGS - 1);
    stand_set(&more, READINGS); /* the last reading is at place 5 */
    const double *before = fewer.result.joint->covariance_k2;
    double read_k2 = before[5 * PLACES + 5] + pow(1.2 * 0.7, 2);
    for (size_t p = 0; p < PLACES; p++)
        for (size_t q = 0; q < PLACES; q++) {
            double taken = before[p * PLACES + 5] * before[5 * PLACES + q] / read_k2;
            assert_close(more.result.joint->covariance_k2[p * PLACES + q],
                         before[p * PLACES + q] - taken, 1e-7, 1e-9);
        }
    stand_clear(&fewer);
    stand_clear(&more);
}

static void lengths_that_disagree_add_their_spread(void **state)
{
    (void)state;
    stand made;
    stand_set(&made, READINGS);
    double alone[PLACES * PLACES], *other_k = calloc(made.set.laid->nodes, sizeof *other_k);
    memcpy(alone, made.result.joint->covariance_k2, sizeof alone);
    memset(made.result.joint->covariance_k2, 0, sizeof alone);
    /* a second length of weight 0.3 whose mean is off by 2 K where x is above 24 mm */
    for (size_t node = 0; node < made.set.laid->nodes; node++)
        other_k[node] = made.held.fits[0].rise_k[node] +
                        (cell_x_mm(made.set.laid, made.set.laid->cell_of_node[node]) > 24 ? 2 : 0);
    made.held.fits[1].rise_k = other_k;
    made.held.weights[0] = 0.7;
    made.held.weights[1] = 0.3;
    made.held.count = 2;
    double *mean_k = calloc(made.set.laid->nodes, sizeof *mean_k);
    for (size_t node = 0; node < made.set.laid->nodes; node++)
        mean_k[node] = 0.7 * made.held.fits[0].rise_k[node] + 0.3 * other_k[node];
    made.result.rise_k = mean_k;
    assert_int_equal(joint_fill(&made.set.data, made.set.matrix, &made.held, &made.result), SF_OK);
    /* places 3 and 6 lie well to the right, 0 to the left: 0.7 0.3 2^2 K2 between the first two */
    const double *both = made.result.joint->covariance_k2;
    assert_close(both[3 * PLACES + 6] - alone[3 * PLACES + 6], 0.84, 1e-9, 0);
    assert_close(both[0 * PLACES + 6] - alone[0 * PLACES + 6], 0, 0, 1e-9);
    free(mean_k);
    stand_clear(&made);
}

/* --- through the public face --- */

enum { SEEN = 6, SPOTS = 9 };

/* 90 x 60 mm, sources R1 and Q2, and a narrow slot that rises from the lower edge at x = 60. */
typedef struct deck {
    sf_board board;
    sf_point corners[8];
    sf_ring rings[2];
    sf_source sources[2];
    sf_observation seen[SEEN];
    sf_field_input input;
    sf_field *field;
    sf_joint_rise *joint;
} deck;

static const sf_point spots[SPOTS] = {{27, 33},     {33.3, 36.1}, {41.2, 22.9},
                                      {58.3, 9.7},  {61.9, 9.7},  {54.7, 9.7},
                                      {74.4, 44.6}, {12.6, 48.5}, {83.9, 11.2}};

static void deck_set(deck *on, size_t readings)
{
    static const double read[SEEN][3] = {{28, 31, 27.3}, {72, 46, 22.4}, {14, 12, 7.7},
                                         {80, 14, 6.2},  {47, 50, 12.9}, {45, 20, 10.8}};
    *on = (deck){.board = plain_board(90, 60),
                 .sources = {plain_source("R1", 28, 32, 12, 9), plain_source("Q2", 73, 45, 9, 9)}};
    on->rings[0] = rectangle_ring(on->corners, 0, 0, 90, 60);
    on->rings[1] = rectangle_ring(on->corners + 4, 59.6, 0, 60.4, 24);
    for (size_t i = 0; i < SEEN; i++)
        on->seen[i] = plain_observation("r", read[i][0], read[i][1], read[i][2], 0.8);
    on->input = (sf_field_input){.board = &on->board,
                                 .rings = on->rings,
                                 .ring_count = 2,
                                 .sources = on->sources,
                                 .source_count = 2,
                                 .observations = on->seen,
                                 .observation_count = readings};
}

static void deck_fit(deck *on)
{
    sf_field_options usual = sf_field_options_default();
    sf_complaints complaints = {0};
    assert_int_equal(
        sf_field_fit_joint(&on->input, &usual, spots, SPOTS, &on->field, &on->joint, &complaints),
        SF_OK);
    assert_int_equal(complaints.error_count, 0);
    sf_complaints_clear(&complaints);
}

static void deck_clear(deck *on)
{
    sf_field_free(on->field);
    sf_joint_rise_free(on->joint);
}

static double correlation(const sf_joint_rise *joint, size_t p, size_t q)
{
    const double *all = joint->covariance_k2;
    return all[p * joint->count + q] / sqrt(all[p * joint->count + p] * all[q * joint->count + q]);
}

/* Tolerance: between cells the field's own deviation is a spline over cells. */
static void means_and_deviations_are_those_of_the_field(void **state)
{
    (void)state;
    for (size_t readings = 0; readings <= SEEN; readings += SEEN) {
        deck on;
        deck_set(&on, readings);
        deck_fit(&on);
        for (size_t p = 0; p < SPOTS; p++) {
            sf_estimate at;
            assert_int_equal(sf_field_at(on.field, spots[p].x_mm, spots[p].y_mm, &at), SF_OK);
            assert_close(on.joint->rise_k[p], at.value, 0.03, 0);
            assert_close(sqrt(on.joint->covariance_k2[p * SPOTS + p]), at.sd, 0.05, 0);
        }
        deck_clear(&on);
    }
}

static void covariance_is_symmetric_and_positive(void **state)
{
    (void)state;
    for (size_t readings = 0; readings <= SEEN; readings += SEEN) {
        deck on;
        deck_set(&on, readings);
        deck_fit(&on);
        double copy[SPOTS * SPOTS];
        memcpy(copy, on.joint->covariance_k2, sizeof copy);
        for (size_t p = 0; p < SPOTS; p++)
            for (size_t q = 0; q < p; q++)
                assert_true(copy[p * SPOTS + q] == copy[q * SPOTS + p]);
        gsl_matrix_view whole = gsl_matrix_view_array(copy, SPOTS, SPOTS);
        gsl_vector *values = gsl_vector_alloc(SPOTS);
        gsl_eigen_symm_workspace *space = gsl_eigen_symm_alloc(SPOTS);
        assert_int_equal(gsl_eigen_symm(&whole.matrix, values, space), GSL_SUCCESS);
        assert_true(gsl_vector_min(values) > 0);
        gsl_eigen_symm_free(space);
        gsl_vector_free(values);
        deck_clear(&on);
    }
}

static void places_across_a_slot_know_less_of_each_other(void **state)
{
    (void)state;
    deck on;
    deck_set(&on, 0);
    deck_fit(&on);
    /* 3, 4 and 5 lie in a row, 3.6 mm apart, the slot between 3 and 4 */
    assert_true(correlation(on.joint, 3, 4) < correlation(on.joint, 3, 5));
    deck_clear(&on);
}

static void a_reading_leaves_less_doubt_everywhere_near(void **state)
{
    (void)state;
    deck before, after;
    deck_set(&before, 0);
    deck_set(&after, SEEN);
    deck_fit(&before);
    deck_fit(&after);
    for (size_t p = 0; p < SPOTS; p++)
        assert_true(after.joint->covariance_k2[p * SPOTS + p] <
                    0.5 * before.joint->covariance_k2[p * SPOTS + p]);
    deck_clear(&before);
    deck_clear(&after);
}

static void slopes_are_those_of_the_mean(void **state)
{
    (void)state;
    deck on;
    deck_set(&on, SEEN);
    deck_fit(&on);
    for (size_t p = 0; p < SPOTS; p++) {
        sf_estimate at[4];
        for (int side = 0; side < 4; side++) {
            double dx = side == 0 ? 1 : side == 1 ? -1 : 0, dy = side == 2 ? 1 : side == 3 ? -1 : 0;
            assert_int_equal(
                sf_field_at(on.field, spots[p].x_mm + dx, spots[p].y_mm + dy, &at[side]), SF_OK);
        }
        double slope = hypot(at[0].value - at[1].value, at[2].value - at[3].value) / 2;
        /* the spline is a little steeper than the straight pieces between cells */
        assert_close(on.joint->slope_k_mm[p], slope, 0.2, 0.06);
    }
    deck_clear(&on);
}

static void watts_that_are_known_are_expected(void **state)
{
    (void)state;
    deck on;
    size_t count;
    deck_set(&on, 0);
    on.sources[0].power_w = 0.83;
    on.sources[0].power_sd_w = 0.06;
    deck_fit(&on);
    const sf_source_fit *told = sf_field_sources(on.field, &count);
    assert_int_equal(count, 2);
    assert_close(told[0].power_w.value, 0.83, 0.05, 0);
    /* the other is one of a population about as strong, known to a factor of two at best */
    assert_true(told[1].power_w.sd > 0.4 * told[1].power_w.value);
    assert_true(told[0].rise_k.sd / told[0].rise_k.value <
                0.7 * told[1].rise_k.sd / told[1].rise_k.value);
    assert_int_equal(sf_field_summarize(on.field).readings, 0);
    deck_clear(&on);
}

static void a_board_without_sources_is_expected_mild_and_unsure(void **state)
{
    (void)state;
    deck on;
    deck_set(&on, 0);
    on.input.source_count = 0;
    deck_fit(&on);
    for (size_t p = 0; p < SPOTS; p++) {
        assert_true(on.joint->rise_k[p] > 2 && on.joint->rise_k[p] < 20);
        assert_true(on.joint->covariance_k2[p * SPOTS + p] > 4);
    }
    deck_clear(&on);
}

static void fit_without_places_still_needs_a_reading(void **state)
{
    (void)state;
    deck on;
    sf_field_options usual = sf_field_options_default();
    sf_complaints complaints = {0};
    deck_set(&on, 0);
    assert_int_equal(sf_field_fit(&on.input, &usual, &on.field, &complaints), SF_ERROR_DATA);
    assert_null(on.field);
    assert_int_equal(complaints.error_count, 1);
    sf_complaints_clear(&complaints);
}

static void what_cannot_be_asked_is_refused(void **state)
{
    (void)state;
    deck on;
    deck_set(&on, SEEN);
    sf_complaints complaints = {0};
    sf_field_options usual = sf_field_options_default(), plate = usual;
    const sf_point nowhere = {NAN, 3};
    plate.model = "thin-plate";
    const struct {
        const sf_field_options *options;
        const sf_point *places;
        size_t count;
    } refused[] = {{&plate, spots, SPOTS}, {&usual, &nowhere, 1}, {&usual, spots, 4001}};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        assert_int_equal(sf_field_fit_joint(&on.input, refused[i].options, refused[i].places,
                                            refused[i].count, &on.field, &on.joint, &complaints),
                         SF_ERROR_ARGUMENT);
        assert_null(on.field);
        assert_null(on.joint);
    }
    sf_complaints_clear(&complaints);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(covariance_is_that_of_dense_algebra),
        cmocka_unit_test(one_more_reading_takes_what_the_formula_says),
        cmocka_unit_test(lengths_that_disagree_add_their_spread),
        cmocka_unit_test(means_and_deviations_are_those_of_the_field),
        cmocka_unit_test(covariance_is_symmetric_and_positive),
        cmocka_unit_test(places_across_a_slot_know_less_of_each_other),
        cmocka_unit_test(a_reading_leaves_less_doubt_everywhere_near),
        cmocka_unit_test(slopes_are_those_of_the_mean),
        cmocka_unit_test(watts_that_are_known_are_expected),
        cmocka_unit_test(a_board_without_sources_is_expected_mild_and_unsure),
        cmocka_unit_test(fit_without_places_still_needs_a_reading),
        cmocka_unit_test(what_cannot_be_asked_is_refused),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
