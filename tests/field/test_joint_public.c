/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field at several places taken together, as other rooms ask for it: against the field itself,
 * and against what one more reading does. */
#include "support/check.h"

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

#include "field/bench.h"

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

static const sf_place spots[SPOTS] = {
    {27, 33, false, 0},     {33.3, 36.1, false, 0}, {41.2, 22.9, false, 0},
    {58.3, 9.7, false, 0},  {61.9, 9.7, false, 0},  {54.7, 9.7, false, 0},
    {74.4, 44.6, false, 0}, {12.6, 48.5, false, 0}, {83.9, 11.2, false, 0}};

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
    sf_diagnostics diagnostics = {0};
    assert_int_equal(
        sf_field_fit_joint(&on->input, &usual, spots, SPOTS, &on->field, &on->joint, &diagnostics),
        SF_OK);
    assert_int_equal(diagnostics.error_count, 0);
    sf_diagnostics_clear(&diagnostics);
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
    on.sources[0].mount = SF_MOUNT_FLAT;
    deck_fit(&on);
    const sf_source_fit *told = sf_field_sources(on.field, &count);
    assert_int_equal(count, 2);
    /* of a flat part three quarters enter the board; the mean over losses moves it by a few per
     * cent */
    assert_close(told[0].power_w.value, 0.75 * 0.83, 0.05, 0);
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
    sf_diagnostics diagnostics = {0};
    deck_set(&on, 0);
    assert_int_equal(sf_field_fit(&on.input, &usual, &on.field, &diagnostics), SF_ERROR_DATA);
    assert_null(on.field);
    assert_int_equal(diagnostics.error_count, 1);
    sf_diagnostics_clear(&diagnostics);
}

static void what_cannot_be_asked_is_refused(void **state)
{
    (void)state;
    deck on;
    deck_set(&on, SEEN);
    sf_diagnostics diagnostics = {0};
    sf_field_options usual = sf_field_options_default(), plate = usual;
    const sf_place nowhere = {NAN, 3, false, 0};
    plate.model = "thin-plate";
    const struct {
        const sf_field_options *options;
        const sf_place *places;
        size_t count;
    } refused[] = {{&plate, spots, SPOTS}, {&usual, &nowhere, 1}, {&usual, spots, 4001}};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        assert_int_equal(sf_field_fit_joint(&on.input, refused[i].options, refused[i].places,
                                            refused[i].count, &on.field, &on.joint, &diagnostics),
                         SF_ERROR_ARGUMENT);
        assert_null(on.field);
        assert_null(on.joint);
    }
    sf_diagnostics_clear(&diagnostics);
}

/* One thermocouple, 1.2 K off in all readings, and 0.4 K of each alone. How far a place is off by
 * it is told beside the field too (sf_field_reading_share), there as the mean over spreading
 * lengths. */
static void errors_that_readings_share_go_with_the_places(void **state)
{
    (void)state;
    deck on;
    size_t bead = SF_METHOD_THERMOCOUPLE_K, air = SF_COMMON_AIR;
    deck_set(&on, SEEN);
    for (size_t i = 0; i < SEEN; i++) {
        on.seen[i].sd_k = hypot(1.2, 0.4);
        on.seen[i].common_k[bead] = 1.2;
    }
    deck_fit(&on);
    const double *between = on.joint->common_between;
    double left = between[bead * SF_COMMON_COUNT + bead];
    assert_true(left < 1 && left > 0.3);
    assert_close(between[air * SF_COMMON_COUNT + air], 1, 1e-12, 0);
    for (size_t p = 0; p < SPOTS; p++) {
        const double *row = on.joint->common_k + p * SF_COMMON_COUNT;
        double independent_k2 = on.joint->covariance_k2[p * SPOTS + p];
        double common_shift_k =
            sf_field_reading_share(on.field, spots[p].x_mm, spots[p].y_mm).common_shift_k[bead];
        assert_close(row[bead], -common_shift_k, 0.15, 0.05);
        assert_close(row[air], 0, 0, 1e-12);
        assert_true(row[bead] < 0 && row[bead] * row[bead] < left * independent_k2);
    }
    deck_clear(&on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(means_and_deviations_are_those_of_the_field),
        cmocka_unit_test(covariance_is_symmetric_and_positive),
        cmocka_unit_test(places_across_a_slot_know_less_of_each_other),
        cmocka_unit_test(a_reading_leaves_less_doubt_everywhere_near),
        cmocka_unit_test(slopes_are_those_of_the_mean),
        cmocka_unit_test(watts_that_are_known_are_expected),
        cmocka_unit_test(a_board_without_sources_is_expected_mild_and_unsure),
        cmocka_unit_test(fit_without_places_still_needs_a_reading),
        cmocka_unit_test(errors_that_readings_share_go_with_the_places),
        cmocka_unit_test(what_cannot_be_asked_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
