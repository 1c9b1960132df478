/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thermogram laid on its board: places, corrections, bodies, doubts, and what is left out. */
#include "readings/camera_bench.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

/* --- places and values --- */

static void a_job_without_a_thermogram_has_no_pixels(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram = (sf_thermogram){0};
    correct_quietly(&on);
    assert_null(on.pixels);
    clear_bench(&on);
}

/* A float holds 50 C to 2e-6 K; the places come out exact, so the rises do. */
static void each_pixel_lies_where_it_looked(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    correct_quietly(&on);
    assert_true(on.pixels->count > 1500);
    for (size_t i = 0; i < on.pixels->count; i++)
        assert_close(on.pixels->rise_k[i], true_c(on.pixels->x_mm[i], on.pixels->y_mm[i]) - AIR_C,
                     0, 5e-6);
    assert_close(on.pixels->marks_rms_mm, 0, 0, 1e-9);
    assert_close(on.pixels->covered, 1, 0, 0);
    assert_false(on.pixels->from_below);
    clear_bench(&on);
}

static void pixels_kept_and_left_out_are_all_there_are(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.ring_count = 2;
    add_can(&on);
    on.shown_c[40 * COLUMNS + 30] = NAN;
    correct_quietly(&on);
    const sf_pixels *made = on.pixels;
    assert_int_equal(made->blank, 1);
    assert_int_equal(made->count + made->left_out, PIXELS);
    assert_int_equal(made->blank + made->off_board + made->on_bodies, made->left_out);
    clear_bench(&on);
}

static void no_pixel_comes_from_a_cut_out_a_can_or_beside_the_board(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    correct_quietly(&on);
    assert_true(count_in(on.pixels, 70, 90, 30, 50) > 50);
    assert_true(count_in(on.pixels, 34, 46, 54, 66) > 20);
    clear_bench(&on);
    lay_bench(&on);
    on.job.ring_count = 2;
    add_can(&on);
    correct_quietly(&on);
    assert_int_equal(count_in(on.pixels, 70, 90, 30, 50), 0);
    assert_int_equal(count_in(on.pixels, 34, 46, 54, 66), 0);
    /* the camera hangs towards lower y: the can hides what lies behind it, upwards */
    assert_int_equal(count_in(on.pixels, 37, 43, 66, 74), 0);
    assert_true(count_in(on.pixels, 37, 43, 40, 48) > 10);
    assert_int_equal(count_in(on.pixels, 0, 130, 0, 90), on.pixels->count);
    clear_bench(&on);
}

/* computed from the formula M^4 = e T^4 + (1 - e) R^4 (Stefan-Boltzmann and Kirchhoff), kelvin */
static double shown_by(double temp_c, double emissivity, double reflected_c)
{
    return pow(emissivity * pow(temp_c + 273.15, 4) +
                   (1 - emissivity) * pow(reflected_c + 273.15, 4),
               0.25) -
           273.15;
}

static void emissivity_is_corrected_with_what_the_board_mirrors(void **state)
{
    (void)state;
    static const double reflected_c[] = {NAN, 37.25};
    for (int k = 0; k < 2; k++) {
        bench on;
        lay_bench(&on);
        on.job.board.camera.emissivity = 0.87;
        on.job.board.camera.reflected_c = reflected_c[k];
        for (size_t i = 0; i < PIXELS; i++)
            on.shown_c[i] = (float)shown_by((double)on.shown_c[i], 0.87,
                                            isnan(reflected_c[k]) ? AIR_C : reflected_c[k]);
        correct_quietly(&on);
        assert_true(on.pixels->count > 0);
        for (size_t i = 0; i < on.pixels->count; i++)
            assert_close(on.pixels->rise_k[i],
                         true_c(on.pixels->x_mm[i], on.pixels->y_mm[i]) - AIR_C, 0, 2e-5);
        clear_bench(&on);
    }
}

static void a_pixel_no_board_can_have_is_left_out(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.shown_c[40 * COLUMNS + 30] = 612.5f;
    on.shown_c[41 * COLUMNS + 30] = -55.5f;
    correct_quietly(&on);
    assert_int_equal(on.pixels->blank, 2);
    assert_true(on.pixels->most_c < 60);
    assert_true(on.pixels->least_c > 20);
    clear_bench(&on);
}

/* --- bodies --- */

/* Where a pixel looks at height_mm over the board: on the ray from the camera, which hangs along
 * the lens axis from (65, 45), to the board. */
static void look_above(double column, double row, double height_mm, double *x_mm, double *y_mm)
{
    double up_mm = 210 * cos(0.35), eye_y_mm = 45 - 210 * sin(0.35);
    double share = (up_mm - height_mm) / up_mm;
    unproject(column, row, x_mm, y_mm);
    *x_mm = 65 + share * (*x_mm - 65);
    *y_mm = eye_y_mm + share * (*y_mm - eye_y_mm);
}

/* Puts the can's top into the picture, as a camera set to emissivity 1 shows it. */
static void show_top(bench *on, double top_c, double emissivity)
{
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        look_above((double)(i % COLUMNS), (double)(i / COLUMNS), on->part.height_mm, &x_mm, &y_mm);
        if (hypot(x_mm - on->part.x_mm, y_mm - on->part.y_mm) < on->part.diameter_mm / 2)
            on->shown_c[i] = (float)shown_by(top_c, emissivity, AIR_C);
    }
}

static void add_marked_can(bench *on)
{
    add_can(on);
    on->part.ref = "C7";
    on->part.emissivity = 0.34;
    on->job.board.camera.emissivity = 0.9;
}

static void add_source(bench *on)
{
    on->source = (sf_source){
        .ref = "Q3", .x_mm = 90, .y_mm = 30, .width_mm = 30, .height_mm = 12, .emissivity = 0.85};
    on->job.sources = &on->source;
    on->job.source_count = 1;
    on->job.board.camera.emissivity = 0.9;
}

/* A body on the side that the camera does not see, and the same on either. */
static void check_unseen_below(void (*add)(bench *on))
{
    size_t hidden[2];
    for (int below = 0; below < 2; below++) {
        bench on;
        lay_bench(&on);
        add(&on);
        on.part.side = on.source.side = below ? SF_SIDE_SOLDER : SF_SIDE_EITHER;
        correct_quietly(&on);
        hidden[below] = on.pixels->on_bodies;
        assert_int_equal(on.pixels->body_count, !below);
        clear_bench(&on);
    }
    assert_true(hidden[0] > hidden[1] + 100);
}

static void a_can_on_the_solder_side_hides_nothing_and_is_not_seen(void **state)
{
    (void)state;
    check_unseen_below(add_marked_can);
}

static void a_can_is_read_amid_its_top_with_its_own_emissivity(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_marked_can(&on);
    show_top(&on, 71.5, 0.34);
    correct_quietly(&on);
    assert_int_equal(on.pixels->body_count, 1);
    assert_string_equal(on.pixels->bodies[0].ref, "C7");
    assert_true(on.pixels->bodies[0].is_part);
    assert_true(on.pixels->bodies[0].pixels > 15);
    assert_close(on.pixels->bodies[0].temp_c, 71.5, 0, 1e-4);
    clear_bench(&on);
}

static void a_source_on_the_solder_side_hides_nothing_and_is_not_seen(void **state)
{
    (void)state;
    check_unseen_below(add_source);
}

static void the_body_of_a_source_is_read_by_its_turned_rectangle(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_source(&on);
    on.source.angle_deg = 30;
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        look_above((double)(i % COLUMNS), (double)(i / COLUMNS), 15, &x_mm, &y_mm);
        double along = (x_mm - 90) * cos(M_PI / 6) + (y_mm - 30) * sin(M_PI / 6);
        double across = (y_mm - 30) * cos(M_PI / 6) - (x_mm - 90) * sin(M_PI / 6);
        if (fabs(along) < 15 && fabs(across) < 6)
            on.shown_c[i] = (float)shown_by(93.25, 0.85, AIR_C);
    }
    correct_quietly(&on);
    assert_int_equal(on.pixels->body_count, 1);
    assert_false(on.pixels->bodies[0].is_part);
    assert_true(on.pixels->bodies[0].pixels > 30);
    assert_close(on.pixels->bodies[0].temp_c, 93.25, 0, 1e-4);
    clear_bench(&on);
}

static void an_emissivity_is_passed_over_where_the_camera_had_its_own(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_can(&on);
    on.part.emissivity = 0.34;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.pixels->body_count, 0);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "parts.csv: warning: emissivity: that of single parts");
    clear_bench(&on);
}

/* --- doubts --- */

/* The half width of a rectangular distribution over sqrt 3 (GUM, JCGM 100:2008, 4.3.7); 2 K or 2 %
 * and what is mirrored, computed from the formula: dT/dR = (1 - e) R^3/(e T^3). */
static void the_offset_is_the_makers_limit_and_what_is_mirrored(void **state)
{
    (void)state;
    static const double temps_c[] = {62.5, 173.75}, limits_k[] = {2, 3.475};
    for (int i = 0; i < 2; i++) {
        bench on;
        lay_bench(&on);
        make_even(&on, temps_c[i]);
        correct(&on);
        assert_int_equal(on.status, SF_OK);
        double mirrored_k = 0.1 / 0.9 * pow((AIR_C + 273.15) / (temps_c[i] + 273.15), 3) * 2;
        double shown_c = shown_by(temps_c[i], 0.9, AIR_C);
        double limit_k = i == 0 ? limits_k[i] : 0.02 * shown_c;
        assert_close(on.pixels->offset_sd_k, hypot(limit_k / sqrt(3), mirrored_k), 1e-5, 0);
        clear_bench(&on);
    }
}

static void a_camera_that_was_checked_has_its_own_offset(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    make_even(&on, 62.5);
    on.job.board.camera.sd_k = 0.35;
    correct_quietly(&on);
    double mirrored_k = 0.1 / 0.9 * pow((AIR_C + 273.15) / (62.5 + 273.15), 3) * 2;
    assert_close(on.pixels->offset_sd_k, hypot(0.35, mirrored_k), 1e-5, 0);
    clear_bench(&on);
}

/* Against the derivative of the temperature by emissivity, by differences: what 0.03 of emissivity
 * do to the rise must not exceed gain_sd times the rise, nor fall far below it. */
static void the_gain_bounds_what_an_emissivity_is_worth(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.board.camera.emissivity = 0.9;
    correct_quietly(&on);
    for (double temp_c = 25; temp_c < 130; temp_c += 7) {
        double shown_c = shown_by(temp_c, 0.9, AIR_C), low_c, high_c;
        assert_int_equal(sf_infrared_temp(shown_c, 0.915, AIR_C, &low_c, NULL, NULL), SF_OK);
        assert_int_equal(sf_infrared_temp(shown_c, 0.885, AIR_C, &high_c, NULL, NULL), SF_OK);
        double share = (high_c - low_c) / (temp_c - AIR_C);
        assert_true(share < on.pixels->gain_sd);
        assert_true(share > 0.6 * on.pixels->gain_sd);
    }
    clear_bench(&on);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_job_without_a_thermogram_has_no_pixels),
        cmocka_unit_test(each_pixel_lies_where_it_looked),
        cmocka_unit_test(pixels_kept_and_left_out_are_all_there_are),
        cmocka_unit_test(no_pixel_comes_from_a_cut_out_a_can_or_beside_the_board),
        cmocka_unit_test(emissivity_is_corrected_with_what_the_board_mirrors),
        cmocka_unit_test(a_pixel_no_board_can_have_is_left_out),
        cmocka_unit_test(a_can_is_read_amid_its_top_with_its_own_emissivity),
        cmocka_unit_test(a_source_on_the_solder_side_hides_nothing_and_is_not_seen),
        cmocka_unit_test(a_can_on_the_solder_side_hides_nothing_and_is_not_seen),
        cmocka_unit_test(the_body_of_a_source_is_read_by_its_turned_rectangle),
        cmocka_unit_test(an_emissivity_is_passed_over_where_the_camera_had_its_own),
        cmocka_unit_test(the_offset_is_the_makers_limit_and_what_is_mirrored),
        cmocka_unit_test(a_camera_that_was_checked_has_its_own_offset),
        cmocka_unit_test(the_gain_bounds_what_an_emissivity_is_worth),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("thermogram", tests, NULL, NULL);
}
