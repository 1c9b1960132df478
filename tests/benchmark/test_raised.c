/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The boards with height, held against what can be known without their solver. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_rng.h>
#include <math.h>

#include "benchmark/raised.h"

/* Two nodes in a row: 0.7 W over 0.05 W/K to a node that loses 0.02 W/K. */
static void a_chain_rises_as_its_resistances_add(void **state)
{
    (void)state;
    network chain = {0};
    double moved_k;
    assert_int_equal(network_nodes_add(&chain, 2), 0);
    assert_int_equal(network_link_add(&chain, 0, 1, 0.05), 0);
    chain.heat_w[0] = 0.7;
    chain.loss_wk[1] = 0.02;
    assert_int_equal(network_solve(&chain, &moved_k), SF_OK);
    /* by hand: 0.7 / 0.02 = 35 K, and 0.7 / 0.05 = 14 K more */
    assert_close(chain.rise_k[1], 35, 1e-12, 0);
    assert_close(chain.rise_k[0], 49, 1e-12, 0);
    assert_close(network_flow(&chain, 0), 0.7, 1e-12, 0);
    /* the outside brings back 0.02 W/K times 5 K */
    chain.drive_w[1] = 0.1;
    assert_int_equal(network_solve(&chain, &moved_k), SF_OK);
    assert_close(chain.rise_k[0], 54, 1e-12, 0);
    assert_close(moved_k, 5, 1e-9, 0);
    network_clear(&chain);
}

/* Air that drifts along x over one warm cell of an otherwise cold board. */
static void air_carries_its_heat_downstream(void **state)
{
    (void)state;
    air_flow flow = {.along_x_ms = 0.09, .away_wm2k = 11, .near_far_wm2k = 9};
    air around;
    assert_int_equal(air_make(&around, 61, 43, &flow), SF_OK);
    size_t warm = air_cell(&around, AIR_NEAR, 22, 18);
    around.warmer_wk[warm] = 3e-3;
    around.warmer_w[warm] = 3e-3 * 37;
    assert_int_equal(air_solve(&around), SF_OK);
    /* what the warm surface gives is what leaves: the energy balance */
    double given_w = 3e-3 * (37 - around.rise_k[warm]);
    assert_close(air_carried_w(&around), given_w, 1e-4, 0);
    /* a cell hands to the next c v wall / (c v wall + mixing) of its rise, computed from the
     * formula; from the layer above hardly anything comes back so near the source */
    double wall_wk = 1.16e3 * 0.09 * 4e-3 * 8e-3, mixing_wk = 9 * 16e-6;
    assert_close(around.rise_k[warm + 1] / around.rise_k[warm], wall_wk / (wall_wk + mixing_wk),
                 5e-3, 0);
    assert_close(around.rise_k[warm - 1], 0, 0, 1e-9);
    assert_true(around.rise_k[warm + around.columns] == 0); /* nothing mixes sideways here */
    air_clear(&around);
}

static raised *board_of(unsigned long seed, gross_kind gross, size_t readings)
{
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    raised *board;
    assert_non_null(chance);
    gsl_rng_set(chance, seed);
    assert_int_equal(raised_make(&board, readings, false, gross, chance), SF_OK);
    gsl_rng_free(chance);
    return board;
}

static void heat_given_is_heat_lost_and_carried_away(void **state)
{
    (void)state;
    raised *board = board_of(71, GROSS_NONE, 9);
    double given_w, lost_w, away_w, sources_w = 0;
    raised_balance(board, &given_w, &lost_w, &away_w);
    for (size_t i = 0; i < board->base.source_count; i++)
        sources_w += board->base.sources[i].true_w;
    assert_true(given_w > sources_w);
    /* the energy balance; the solution is good to a millikelvin of some 10 K */
    assert_close(lost_w, given_w, 1e-3, 0);
    assert_close(away_w, given_w, 1e-3, 0);
    raised_free(board);
}

static void sources_give_a_share_of_their_heat_to_the_board(void **state)
{
    (void)state;
    raised *board = board_of(72, GROSS_NONE, 9);
    for (size_t i = 0; i < board->base.source_count; i++) {
        const raised_body *body = &board->bodies[i];
        double share = raised_into_board_w(board, i) / board->base.sources[i].true_w;
        assert_true(share > 0.02 && share < 1);
        /* heat flows from where it is made outwards */
        assert_true(board->heat.rise_k[body->core] > board->heat.rise_k[body->skin]);
        /* the rest leaves by the skin: its losses, and what it radiates to others */
        double leaves_w = 0;
        for (size_t j = 0; j < board->surface_count; j++) {
            const surface *skin = &board->surfaces[j];
            if (skin->node == body->skin)
                leaves_w += skin->loss_wk[0] * (board->heat.rise_k[skin->node] -
                                                board->around.rise_k[skin->air_at]) +
                            skin->loss_wk[1] * board->heat.rise_k[skin->node];
        }
        for (size_t j = 0; j < board->radiant_count; j++) {
            const network_link *link = &board->heat.links[board->radiants[j].link];
            double flow_w = network_flow(&board->heat, board->radiants[j].link);
            leaves_w += link->from == body->skin ? flow_w : link->to == body->skin ? -flow_w : 0;
        }
        assert_close(share + leaves_w / board->base.sources[i].true_w, 1, 2e-3, 0);
    }
    raised_free(board);
}

static void a_can_without_heat_lies_between_its_air_and_its_board(void **state)
{
    (void)state;
    raised *board = board_of(73, GROSS_NONE, 9);
    size_t held = 0;
    for (size_t i = 0; i < board->can_count; i++) {
        double board_k = raised_board_rise(board, i), case_k = raised_case_rise(board, i);
        if (board_k < 3)
            continue;
        held++;
        /* a little may come by radiation from bodies hotter than the board */
        if (board->cans[i].own_w < 0.003)
            assert_true(case_k > 0.4 * board_k && case_k < 1.15 * board_k);
        assert_true(board->heat.rise_k[board->cans[i].core] > 0.95 * case_k);
    }
    assert_true(held > 5);
    raised_free(board);
}

static void the_truth_says_which_reading_is_spoiled(void **state)
{
    (void)state;
    raised *sound = board_of(74, GROSS_NONE, 10);
    for (int kind = GROSS_TENTH; kind <= GROSS_HALF_RISE; kind++) {
        raised *board = board_of(74, (gross_kind)kind, 10);
        size_t spoiled = 0;
        assert_int_equal(board->reading_count, 10);
        for (size_t i = 0; i < board->reading_count; i++) {
            bool other = board->readings[i].value_c != sound->readings[i].value_c;
            assert_int_equal(board->readings[i].gross, other);
            spoiled += other;
            /* no slip that is smaller than a technician's ordinary errors */
            assert_true(!other ||
                        fabs(board->readings[i].value_c - sound->readings[i].value_c) > 4.9);
            if (kind == GROSS_TENTH && other)
                assert_close(board->readings[i].value_c, sound->readings[i].value_c / 10, 0, 0.051);
            if (kind == GROSS_HALF_RISE && other)
                assert_close(board->readings[i].value_c - board->base.loss.ambient_c,
                             (sound->readings[i].value_c - board->base.loss.ambient_c) / 2, 0,
                             0.051);
        }
        assert_int_equal(spoiled, kind == GROSS_EXCHANGED ? 2 : 1);
        raised_free(board);
    }
    raised_free(sound);
}

static void one_side_leaves_half_a_board_unread(void **state)
{
    (void)state;
    raised *board = board_of(75, GROSS_ONE_SIDE, 12);
    double least[2] = {1, 1}, most[2] = {0, 0};
    for (size_t i = 0; i < board->reading_count; i++) {
        double places[2] = {board->readings[i].x_mm / board->base.width_mm,
                            board->readings[i].y_mm / board->base.height_mm};
        for (int along = 0; along < 2; along++) {
            least[along] = fmin(least[along], places[along]);
            most[along] = fmax(most[along], places[along]);
        }
        assert_false(board->readings[i].gross);
    }
    assert_true(most[0] <= 0.5 || least[0] >= 0.5 || most[1] <= 0.5 || least[1] >= 0.5);
    raised_free(board);
    board = board_of(75, GROSS_NO_SOURCES, 12);
    for (size_t i = 0; i < board->base.source_count; i++)
        assert_false(board->base.sources[i].listed);
    raised_free(board);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_chain_rises_as_its_resistances_add),
        cmocka_unit_test(air_carries_its_heat_downstream),
        cmocka_unit_test(heat_given_is_heat_lost_and_carried_away),
        cmocka_unit_test(sources_give_a_share_of_their_heat_to_the_board),
        cmocka_unit_test(a_can_without_heat_lies_between_its_air_and_its_board),
        cmocka_unit_test(the_truth_says_which_reading_is_spoiled),
        cmocka_unit_test(one_side_leaves_half_a_board_unread),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
