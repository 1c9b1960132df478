/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The solver behind the invented boards, held against what can be known without it. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "benchmark/plate.h"

static plate *bare_rectangle(double width_mm, double height_mm, double sheet_wk)
{
    sf_point corners[] = {{0, 0}, {width_mm, 0}, {width_mm, height_mm}, {0, height_mm}};
    sf_ring edge = {.points = corners, .count = 4};
    plate *made;
    assert_int_equal(plate_new(width_mm, height_mm, &edge, 1, &made), SF_OK);
    for (size_t i = 0; i < made->cells; i++)
        made->sheet_x[i] = made->sheet_y[i] = sheet_wk;
    return made;
}

/* Radiation alone at rises of microkelvins is a loss in proportion to the rise: h = 8 e s T^3 for
 * two faces of emissivity e. */
static double faint_loss_wm2k(const plate_loss *loss)
{
    double air = loss->ambient_c + 273.15;
    return 4 * (loss->emissivity_front + loss->emissivity_back) * 5.670374419e-8 * air * air * air;
}

static void insulated_rectangle_meets_its_cosine_series(void **state)
{
    (void)state;
    plate_loss loss = {
        .ambient_c = 23.7, .emissivity_front = 0.91, .emissivity_back = 0.67, .plume_fade_mm = 50};
    double h = faint_loss_wm2k(&loss), scale;
    plate *made = bare_rectangle(100, 80, h * 0.012 * 0.012);
    /* s = q/h = 1e-4 K on 10 x 10 mm */
    plate_heat(made, 30, 40, 10, 10, 0, 1e-4 * h * 1e-4);
    assert_int_equal(plate_solve(made, &loss, (double)NAN, &scale), SF_OK);
    /* cosine series of 800 x 800 terms for L = 12 mm, computed from the formula (Carslaw & Jaeger,
     * Conduction of Heat in Solids, separation in a rectangle); 1 mm cells are good to (1/12)^2 */
    assert_close(plate_rise(made, 30, 40) * 1e4, 0.157582, 7e-3, 0);
    assert_close(plate_rise(made, 50, 40) * 1e4, 0.0198051, 7e-3, 0);
    assert_close(plate_rise(made, 5, 5) * 1e4, 0.0046090, 2e-2, 0);
    assert_close(plate_rise(made, 95, 75) * 1e4, 0.00028863, 2e-2, 0);
    plate_free(made);
}

static void evenly_heated_plate_rises_until_its_losses_match(void **state)
{
    (void)state;
    plate_loss loss = {.ambient_c = 21.3,
                       .convection_gain = 1.17,
                       .emissivity_front = 0.83,
                       .emissivity_back = 0.58,
                       .plume_fade_mm = 50};
    plate *made = bare_rectangle(130, 90, 0.0093);
    /* at 31.7 K over 21.3 C, by hand: 2 x 1.32 and 0.59 faces of length 2 a b/(a + b) = 0.106364 m
     * convect 1.17 * 1.91 * (31.7 / 0.106364)^0.25 = 9.28521 W/m2K; the faces radiate
     * 1.41 * 5.670374e-8 * (326.15^4 - 294.45^4) = 303.6937 W/m2 (Stefan-Boltzmann) */
    double radiated = 1.41 * 5.670374419e-8 * (pow(326.15, 4) - pow(294.45, 4));
    double convected = 1.17 * 1.91 * pow(31.7 / 0.10636363636, 0.25) * 31.7, scale;
    plate_heat(made, 65, 45, 130, 90, 0, (radiated + convected) * 0.130 * 0.090);
    assert_int_equal(plate_solve(made, &loss, (double)NAN, &scale), SF_OK);
    assert_close(plate_rise(made, 17.3, 71.9), 31.7, 1e-5, 0);
    assert_close(plate_rise(made, 121.4, 8.2), 31.7, 1e-5, 0);
    plate_free(made);
}

static void all_heat_leaves_by_the_faces(void **state)
{
    (void)state;
    plate_loss loss = {.ambient_c = 19.4,
                       .upright = true,
                       .convection_gain = 1.21,
                       .emissivity_front = 0.77,
                       .emissivity_back = 0.52,
                       .tilt_x = 0.23,
                       .tilt_y = -0.17,
                       .plume_share = 0.37,
                       .plume_fade_mm = 43};
    plate *made = bare_rectangle(110, 95, 0.0061);
    plate_heat(made, 37.3, 28.9, 14.7, 9.1, 33, 0.73);
    double scale, lost_w = 0;
    assert_int_equal(plate_solve(made, &loss, (double)NAN, &scale), SF_OK);
    for (size_t i = 0; i < made->cells; i++)
        lost_w += made->loss_wk[i] * made->rise_k[i] - made->draught_wk[i] * made->plume_k[i];
    /* the energy balance of a plate with insulated edges */
    assert_close(lost_w, 0.73, 1e-4, 0);
    plate_free(made);
}

static void air_above_a_hot_part_is_warmer_on_an_upright_board(void **state)
{
    (void)state;
    plate_loss loss = {.ambient_c = 22.6,
                       .upright = true,
                       .convection_gain = 1.1,
                       .emissivity_front = 0.8,
                       .emissivity_back = 0.6,
                       .plume_share = 0.6,
                       .plume_fade_mm = 50};
    double above_k[2], scale;
    for (int upright = 0; upright < 2; upright++) {
        plate *made = bare_rectangle(90, 120, 0.0057);
        plate_heat(made, 45, 60, 13, 17, 0, 0.61);
        loss.upright = upright;
        assert_int_equal(plate_solve(made, &loss, (double)NAN, &scale), SF_OK);
        above_k[upright] = plate_rise(made, 45, 95) - plate_rise(made, 45, 25);
        plate_free(made);
    }
    /* lying flat the board is symmetric; the order of the plume, tenths of a kelvin to a few, is
     * common practice, no source */
    assert_close(above_k[0], 0, 0, 1e-3);
    assert_true(above_k[1] > 0.15);
    assert_true(above_k[1] < 5);
}

static void scaled_heat_gives_the_asked_peak(void **state)
{
    (void)state;
    plate_loss loss = {.ambient_c = 24.8,
                       .convection_gain = 1.3,
                       .emissivity_front = 0.71,
                       .emissivity_back = 0.66,
                       .plume_fade_mm = 50};
    plate *made = bare_rectangle(84, 107, 0.0077), *again = bare_rectangle(84, 107, 0.0077);
    double scale, same, hottest_k = 0;
    plate_heat(made, 52.3, 61.7, 11.9, 8.3, 0, 0.29);
    assert_int_equal(plate_solve(made, &loss, 47.3, &scale), SF_OK);
    plate_heat(again, 52.3, 61.7, 11.9, 8.3, 0, 0.29 * scale);
    assert_int_equal(plate_solve(again, &loss, (double)NAN, &same), SF_OK);
    for (size_t i = 0; i < again->cells; i++)
        hottest_k = fmax(hottest_k, again->rise_k[i]);
    assert_close(hottest_k, 47.3, 1e-5, 0);
    plate_free(made);
    plate_free(again);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(insulated_rectangle_meets_its_cosine_series),
        cmocka_unit_test(evenly_heated_plate_rises_until_its_losses_match),
        cmocka_unit_test(all_heat_leaves_by_the_faces),
        cmocka_unit_test(air_above_a_hot_part_is_warmer_on_an_upright_board),
        cmocka_unit_test(scaled_heat_gives_the_asked_peak),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
