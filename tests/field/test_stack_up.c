/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From the construction of a board to what conducts and what carries heat away. */
#include "support/check.h"

#include <math.h>

#include "field/boards.h"
#include "field/stack_up.h"

static stack_up built_of(double layers, double cover, double thickness_mm)
{
    sf_board board = plain_board(100, 80);
    board.copper_layers = layers;
    board.copper_cover = cover;
    board.thickness_mm = thickness_mm;
    return stack_up_of(&board);
}

/* Layers side by side conduct as their sum, computed from the formula: laminate where no copper is.
 */
static void copper_takes_the_place_of_laminate(void **state)
{
    (void)state;
    double bare = built_of(2, 0, 1.6).conductance_w_k / 1.6e-3; /* W/mK of the laminate */
    for (double layers = 1; layers < 7; layers++) {
        double copper_m = layers * 35e-6;
        /* rolled copper conducts 385 to 400 W/mK: handbooks of heat transfer, from memory */
        double copper =
            (built_of(layers, 1, 1.6).conductance_w_k - bare * (1.6e-3 - copper_m)) / copper_m;
        assert_true(copper > 385 && copper < 400);
    }
    /* layers thicker than the board leave no laminate, and not less than none */
    assert_close(built_of(6, 1, 0.1).conductance_w_k, built_of(6, 1, 0.2).conductance_w_k, 1e-12,
                 0);
}

/* Fin theory: L^2 = conductance over loss. */
static void the_spreading_length_is_that_of_a_fin(void **state)
{
    (void)state;
    stack_up built = built_of(2, 0.4, 1.6);
    assert_close(built.length_mm * built.length_mm * 1e-6 * built.loss_w_m2k, built.conductance_w_k,
                 1e-12, 0);
}

/* Laminar free convection grows with the fourth root of the rise, radiation with the third power of
 * the mean absolute temperature; the shares are those at the rise of reference. Handbooks of heat
 * transfer, from memory; computed from the formula. */
static void losses_follow_the_rise_in_still_air(void **state)
{
    (void)state;
    sf_board board = plain_board(100, 80);
    stack_up built = stack_up_of(&board);
    double air_abs_k = board.ambient_c + 273.15;
    assert_close(stack_up_loss_at(&built, &board, LOSS_REFERENCE_K), 1, 1e-12, 0);
    for (double rise_k = 3; rise_k < 100; rise_k *= 2.3) {
        double convection = sqrt(sqrt(rise_k / LOSS_REFERENCE_K));
        double radiation = pow((air_abs_k + rise_k / 2) / (air_abs_k + LOSS_REFERENCE_K / 2.0), 3);
        assert_close(stack_up_loss_at(&built, &board, rise_k),
                     built.convection * convection + (1 - built.convection) * radiation, 1e-12, 0);
    }
    /* the two differ, and less is carried by convection: radiation at an emissivity of 0.9 alone
     * makes 2 x 5.7 W/m2K, 4 epsilon sigma T^3 of both faces */
    double radiated = 2 * 0.9 * 4 * 5.670e-8 * pow(air_abs_k + LOSS_REFERENCE_K / 2.0, 3);
    assert_close((1 - built.convection) * built.loss_w_m2k, radiated, 0.3, 0);
}

static void under_a_fan_losses_stay_as_they_are(void **state)
{
    (void)state;
    sf_board board = plain_board(100, 80);
    board.air = SF_AIR_FORCED;
    stack_up built = stack_up_of(&board);
    assert_close(stack_up_loss_at(&built, &board, 47), 1, 0, 0);
    assert_close(stack_up_loss_at(&built, &board, 3), 1, 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(copper_takes_the_place_of_laminate),
        cmocka_unit_test(the_spreading_length_is_that_of_a_fin),
        cmocka_unit_test(losses_follow_the_rise_in_still_air),
        cmocka_unit_test(under_a_fan_losses_stay_as_they_are),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
