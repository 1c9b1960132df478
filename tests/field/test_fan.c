/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fan leaves of the rise, held against the model solved on the grid. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

#include "spotfield/field.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static const sf_point corners[4] = {{0, 0}, {260, 0}, {260, 200}, {0, 200}};
enum { PLACES = 4 };
static const sf_place places[PLACES] = {
    {130, 100, false, 0}, {142, 100, false, 0}, {160, 115, false, 0}, {240, 20, false, 0}};

/* A large board before any reading: its source, where it has one, makes what its watts say. */
static sf_field *expect(sf_air air, const sf_source *source, sf_joint_rise **joint, sf_board *board)
{
    sf_ring ring = {.points = (sf_point *)corners, .count = 4, .reason = ""};
    sf_diagnostics diagnostics = {0};
    sf_field *field = NULL;
    sf_field_options options = sf_field_options_default();
    *board = (sf_board){.name = "",
                        .width_mm = 260,
                        .height_mm = 200,
                        .laminate = SF_LAMINATE_FR4,
                        .thickness_mm = 1.6,
                        .copper_layers = 2,
                        .copper_thickness_um = 35,
                        .copper_cover = 0.4,
                        .air = air,
                        .ambient_c = 23,
                        .surveyed = ""};
    sf_field_input input = {.board = board,
                            .rings = &ring,
                            .ring_count = 1,
                            .sources = source,
                            .source_count = source ? 1 : 0};
    assert_int_equal(
        sf_field_fit_joint(&input, &options, places, PLACES, &field, joint, &diagnostics), SF_OK);
    sf_diagnostics_clear(&diagnostics);
    return field;
}

/* What the source adds to the rise at each place. */
static void added_by_source(sf_air air, const sf_source *source, double added_k[PLACES])
{
    sf_board board;
    sf_joint_rise *with, *without;
    sf_field *first = expect(air, source, &with, &board);
    sf_field *second = expect(air, NULL, &without, &board);
    for (size_t i = 0; i < PLACES; i++)
        added_k[i] = with->rise_k[i] - without->rise_k[i];
    sf_joint_rise_free(with);
    sf_joint_rise_free(without);
    sf_field_free(first);
    sf_field_free(second);
}

static void even_heat_falls_as_the_loss_grows(void **state)
{
    (void)state;
    sf_board board;
    sf_joint_rise *joint;
    sf_field *field = expect(SF_AIR_ENCLOSED, NULL, &joint, &board);
    sf_estimate share;
    assert_int_equal(sf_field_fan_share(field, &board, 71, 133, &share), SF_OK);
    /* handbooks, from memory: 12 W/m2K enclosed, 45 with a fan */
    assert_close(share.value, 12.0 / 45, 1e-12, 0);
    /* two log-normal doubts of 0.3, half of what one standard deviation to either side makes:
     * computed from the formula */
    double sd_ln = sqrt(0.3 * 0.3 + 0.3 * 0.3);
    assert_close(share.sd, 12.0 / 45 * sinh(sd_ln), 1e-12, 0);
    sf_joint_rise_free(joint);
    sf_field_free(field);
}

static void a_fan_leaves_what_the_model_solved_with_a_fan_leaves(void **state)
{
    (void)state;
    const sf_source source = {
        "U1", 130, 100, 14, 14, 0, SF_MOUNT_FLAT, 2.5 / 0.75, 0.001, NAN, SF_SIDE_EITHER, 2};
    double still_k[PLACES], fan_k[PLACES];
    added_by_source(SF_AIR_STILL, &source, still_k);
    added_by_source(SF_AIR_FORCED, &source, fan_k);
    sf_board board;
    sf_joint_rise *joint;
    sf_field *field = expect(SF_AIR_STILL, &source, &joint, &board);
    for (size_t i = 0; i < PLACES; i++) {
        sf_estimate share;
        double even_k = joint->rise_k[i] - still_k[i];
        assert_int_equal(sf_field_fan_share(field, &board, places[i].x_mm, places[i].y_mm, &share),
                         SF_OK);
        /* the grid averages over its doubt of the spreading length, the square is no disc: 0.06 */
        double solved = (fan_k[i] + even_k * 15 / 45) / joint->rise_k[i];
        assert_close(share.value, fmax(solved, 1.0 / 3), 0, 0.06);
    }
    sf_joint_rise_free(joint);
    sf_field_free(field);
}

static void under_a_source_a_fan_helps_least(void **state)
{
    (void)state;
    const sf_source source = {
        "U1", 130, 100, 14, 14, 0, SF_MOUNT_FLAT, 2.5 / 0.75, 0.001, NAN, SF_SIDE_EITHER, 2};
    sf_board board;
    sf_joint_rise *joint;
    sf_field *field = expect(SF_AIR_STILL, &source, &joint, &board);
    sf_estimate shares[PLACES];
    for (size_t i = 0; i < PLACES; i++)
        assert_int_equal(
            sf_field_fan_share(field, &board, places[i].x_mm, places[i].y_mm, &shares[i]), SF_OK);
    assert_true(shares[0].value < 1 && shares[0].value > shares[1].value &&
                shares[1].value > shares[2].value);
    /* and hangs least on how much the loss grows */
    assert_true(shares[0].sd / shares[0].value < 0.8 * shares[3].sd / shares[3].value);
    /* far off all heat is even, and falls from 15 to 45 W/m2K's part */
    assert_close(shares[3].value, 1.0 / 3, 1e-9, 0);
    sf_joint_rise_free(joint);
    sf_field_free(field);
}

static void under_a_fan_already_nothing_changes(void **state)
{
    (void)state;
    const sf_source source = {
        "U1", 130, 100, 14, 14, 0, SF_MOUNT_FLAT, 2.5 / 0.75, 0.001, NAN, SF_SIDE_EITHER, 2};
    sf_board board;
    sf_joint_rise *joint;
    sf_field *field = expect(SF_AIR_FORCED, &source, &joint, &board);
    sf_estimate share;
    assert_int_equal(sf_field_fan_share(field, &board, 137, 96, &share), SF_OK);
    assert_close(share.value, 1, 1e-12, 0);
    assert_close(share.sd, 0, 0, 0);
    assert_int_equal(sf_field_fan_share(field, &board, NAN, 96, &share), SF_ERROR_ARGUMENT);
    sf_joint_rise_free(joint);
    sf_field_free(field);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(even_heat_falls_as_the_loss_grows),
        cmocka_unit_test(a_fan_leaves_what_the_model_solved_with_a_fan_leaves),
        cmocka_unit_test(under_a_source_a_fan_helps_least),
        cmocka_unit_test(under_a_fan_already_nothing_changes),
    };
    return cmocka_run_group_tests_name("fan", tests, quiet, NULL);
}
