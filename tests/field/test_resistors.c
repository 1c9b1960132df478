/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Held against a measured board: five small resistors in a row, one of them heated at a time, every
 * other place foretold from those that are left. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "field/boards.h"
#include "spotfield/spotfield.h"

#define PLACES 5
#define CASES (PLACES * (PLACES - 1))
#define INTERVAL_90 1.645 /* standard deviations of a normal distribution, tables */

/* Temperatures in C, by infrared on the middles of five 0805 resistors, near their steady state:
 * Lrrrence/PCB-temp-monitoring, commit dfcef7fb, Waveforms/PCB#2/avg/temp_log.txt, with the paper
 * "An Experimental Study of Machine-Learning-Driven Temperature Monitoring for PCBs Using
 * Ultrasonic Guided Waves", NDT 3 (2025) 1. A row a heated resistor. Watts and air were not logged:
 * each place counts from what it showed cold, in its half of the run. */
static const double hot_c[PLACES][PLACES] = {
    {96.25, 43.73, 33.59, 28.06, 24.42}, {40.99, 95.70, 45.20, 33.75, 27.56},
    {30.63, 43.32, 96.65, 44.97, 32.99}, {23.37, 29.71, 41.77, 95.99, 42.71},
    {20.70, 24.43, 30.35, 42.91, 99.17},
};
static const double cold_c[2][PLACES] = {{18.3, 18.9, 19.1, 19.1, 18.8},
                                         {16.2, 16.9, 17.0, 17.2, 16.9}};
static const size_t half_of[PLACES] = {0, 0, 0, 1, 1};

/* Off the photo of the source: pitch to 10 %, board and row to 5 %. */
#define PITCH_MM 2.6
#define FIRST_X_MM 41.0
#define ROW_Y_MM 33.0
#define WIDTH_MM 99.0
#define HEIGHT_MM 76.0

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static double place_x_mm(size_t place)
{
    return FIRST_X_MM + PITCH_MM * (double)place;
}

/* What a person would list: bare board, the one resistor that is hot (2.0 x 1.25 mm, IEC 60115-8)
 * with no watts, and four spots with an infrared thermometer of no stated uncertainty. */
typedef struct bench {
    sf_job job;
    sf_point corners[4];
    sf_ring edge;
    sf_source hot;
    sf_reading readings[PLACES];
} bench;

static void lay(bench *on, size_t heated, size_t left_out)
{
    const double *air_c = cold_c[half_of[heated]];
    *on = (bench){.job = {.policy = sf_policy_default()}};
    on->job.board = plain_board(WIDTH_MM, HEIGHT_MM);
    on->job.board.copper_layers = 0;
    on->job.board.ambient_c = air_c[heated];
    on->edge = rectangle_ring(on->corners, 0, 0, WIDTH_MM, HEIGHT_MM);
    on->hot = plain_source("R", place_x_mm(heated), ROW_Y_MM, 2.0, 1.25);
    on->job.readings = on->readings;
    for (size_t place = 0; place < PLACES; place++) {
        if (place == left_out)
            continue;
        static char ids[PLACES][3] = {"t1", "t2", "t3", "t4", "t5"};
        on->readings[on->job.reading_count++] = (sf_reading){.id = ids[place],
                                                             .x_mm = place_x_mm(place),
                                                             .y_mm = ROW_Y_MM,
                                                             .value = hot_c[heated][place],
                                                             .unit = SF_UNIT_CELSIUS,
                                                             .method = SF_METHOD_INFRARED,
                                                             .spot = SF_SPOT_BOARD,
                                                             .sd_k = NAN,
                                                             .emissivity = NAN,
                                                             .reflected_c = NAN,
                                                             .ambient_c = air_c[place],
                                                             .junction_c = NAN,
                                                             .minute = NAN,
                                                             .line = place + 2};
    }
}

static sf_estimate foretell(size_t heated, size_t left_out)
{
    bench on;
    sf_observation *seen;
    size_t count;
    sf_diagnostics said = {0};
    sf_field *field;
    sf_estimate told;
    lay(&on, heated, left_out);
    assert_int_equal(sf_readings_correct(&on.job, &seen, &count, &said), SF_OK);
    sf_field_input input = {.board = &on.job.board,
                            .rings = &on.edge,
                            .ring_count = 1,
                            .sources = &on.hot,
                            .source_count = 1,
                            .observations = seen,
                            .observation_count = count};
    sf_field_options options = sf_field_options_default();
    assert_int_equal(sf_field_fit(&input, &options, &field, &said), SF_OK);
    assert_int_equal(sf_field_at(field, place_x_mm(left_out), ROW_Y_MM, &told), SF_OK);
    sf_field_free(field);
    sf_observations_free(seen, count);
    sf_diagnostics_clear(&said);
    return told;
}

static void each_neighbour_is_foretold_from_the_others(void **state)
{
    (void)state;
    double squares = 0;
    size_t inside = 0;
    for (size_t heated = 0; heated < PLACES; heated++)
        for (size_t left_out = 0; left_out < PLACES; left_out++) {
            if (left_out == heated)
                continue;
            double rise_k = hot_c[heated][left_out] - cold_c[half_of[heated]][left_out];
            sf_estimate told = foretell(heated, left_out);
            double off_k = told.value - rise_k;
            squares += off_k * off_k;
            inside += fabs(off_k) <= INTERVAL_90 * told.sd;
            print_message("heated %zu, place %zu: %.1f K, foretold %.1f +/- %.1f K\n", heated + 1,
                          left_out + 1, rise_k, told.value, told.sd);
        }
    double rmse_k = sqrt(squares / CASES);
    print_message("rmse %.2f K, %zu of %d within the 90 %% interval\n", rmse_k, inside, CASES);
    assert_true(rmse_k <= 3.0);
    assert_in_range(inside, 17, 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_neighbour_is_foretold_from_the_others),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
