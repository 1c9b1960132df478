/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The fit on boards very small and very large, with windows and islands, and with readings and
 * sources by the hundred. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "field/can_share.h"
#include "field/scene.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static void board_of_ten_mm_makes_a_field(void **state)
{
    (void)state;
    scene job;
    scene_bare(&job, 10, 10);
    scene_add_source(&job, 3, 4, 2, 3, 900);
    scene_scatter(&job, 3, 0.4, 503);
    const double rises_k[] = {21.3, 19.9, 20.7};
    for (size_t i = 0; i < 3; i++)
        job.seen[i].rise_k = rises_k[i];
    sf_field *field = scene_field(&job);
    sf_grid cells = sf_field_grid(field);
    assert_true(cells.cell_mm < 1);
    /* ten millimetres are far less than a spreading length: even within a few kelvins */
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
        assert_close(sf_field_rise_k(field)[cell], 20.6, 0, 4);
    sf_field_free(field);
}

static void large_board_that_is_read_all_over_makes_a_field(void **state)
{
    (void)state;
    scene job;
    scene_bare(&job, 600, 500);
    job.length_mm = 30;
    job.board.copper_cover = 0.6;
    for (int i = 0; i < 5; i++)
        scene_add_source(&job, 70.0 + 115 * i, 80.0 + 85 * i, 20, 14, 90000);
    for (int i = 0; i < 30; i++)
        scene_add_reading(&job, 55.0 + 97 * (i % 6), 50.0 + 99.0 * (i / 6), 0.4);
    job.options.cells_max = 6000;
    truth from = scene_truth(&job, 5);
    scene_read(&job, &from, 1, 32);
    sf_field *field = scene_field(&job);
    sf_field_summary summary = sf_field_summarize(field);
    assert_in_range(summary.cells, 5000, 6200);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, 70, 80, &there), SF_OK);
    assert_true(fabs(there.value - truth_at(&from, 70, 80)) < 4 * there.sd);
    sf_field_free(field);
    truth_clear(&from);
}

static void board_with_a_window_makes_a_field_round_it(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_add_ring(&job, 44, 35, 73, 55);
    scene_scatter(&job, 12, 0.4, 504);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 33);
    sf_field *field = scene_field(&job);
    sf_grid cells = sf_field_grid(field);
    size_t holes = 0;
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
        holes += !cells.inside[cell];
    assert_close((double)holes * cells.cell_mm * cells.cell_mm, 29 * 20, 0.15, 0);
    sf_field_free(field);
    truth_clear(&from);
}

static void readings_by_the_hundred_make_a_better_field(void **state)
{
    (void)state;
    static const size_t counts[] = {12, 100, 190};
    double rmse_k[3];
    for (int turn = 0; turn < 3; turn++) {
        scene job;
        scene_plain(&job);
        scene_scatter(&job, counts[turn], 0.6, 505);
        truth from = scene_truth(&job, 1.25);
        scene_read(&job, &from, 1, 34);
        sf_field *field = scene_field(&job);
        sf_grid cells = sf_field_grid(field);
        rmse_k[turn] = 0;
        for (size_t cell = 0; cell < cells.columns * cells.rows; cell++) {
            double x = ((double)(cell % cells.columns) + 0.5) * cells.cell_mm;
            double y = ((double)(cell / cells.columns) + 0.5) * cells.cell_mm;
            rmse_k[turn] += pow(sf_field_rise_k(field)[cell] - truth_at(&from, x, y), 2);
        }
        rmse_k[turn] = sqrt(rmse_k[turn] / (double)(cells.columns * cells.rows));
        sf_field_free(field);
        truth_clear(&from);
    }
    assert_true(rmse_k[1] < 0.8 * rmse_k[0]);
    assert_true(rmse_k[2] < 0.6 * rmse_k[0]);
}

/* What readings have wrong together stays in the mean of a hundred, and what eighty-one tell of it
 * is what eighty tell: no way of fitting comes between. */
static void what_readings_share_is_told_of_a_hundred_as_of_eighty(void **state)
{
    (void)state;
    static const size_t counts[] = {80, 81, 100};
    double independent_k2[3], sd_k[3];
    for (size_t turn = 0; turn < 3; turn++) {
        scene job;
        scene_plain(&job);
        scene_scatter(&job, counts[turn], 0.6, 505);
        truth from = scene_truth(&job, 2.5);
        scene_read(&job, &from, 1, 34);
        for (size_t i = 0; i < counts[turn]; i++)
            job.seen[i].common_k[0] = 0.4;
        sf_field *field = scene_field(&job);
        sf_estimate told;
        assert_int_equal(sf_field_at(field, 61.25, 46.25, &told), SF_OK);
        independent_k2[turn] = sf_field_reading_share(field, 61.25, 46.25).independent_k2;
        sd_k[turn] = told.sd;
        sf_field_free(field);
        truth_clear(&from);
    }
    for (size_t turn = 0; turn < 3; turn++) {
        /* the background takes some of what all have wrong, by their priors most of it stays */
        assert_true(independent_k2[turn] > 0.3 * 0.4 * 0.4 &&
                    independent_k2[turn] < sd_k[turn] * sd_k[turn]);
        /* hyperparameters that are learnt from forty are as unsure as those: a quarter */
        assert_close(sd_k[turn], sd_k[0], 0.25, 0);
    }
}

static void sources_by_the_hundred_make_a_field(void **state)
{
    (void)state;
    scene job;
    scene_bare(&job, 120, 90);
    unsigned long seed = 506;
    for (int i = 0; i < 200; i++)
        scene_add_source(&job, 6 + 108 * next_uniform(&seed), 6 + 78 * next_uniform(&seed),
                         2 + 5 * next_uniform(&seed), 2 + 5 * next_uniform(&seed),
                         900 * next_uniform(&seed));
    scene_scatter(&job, 14, 0.4, 507);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 35);
    job.options.cell_mm = 3;
    sf_field *field = scene_field(&job);
    size_t count;
    sf_field_sources(field, &count);
    assert_true(count >= 200 && count <= 204);
    sf_field_free(field);
    truth_clear(&from);
}

static void large_board_read_in_one_corner_makes_a_field(void **state)
{
    (void)state;
    scene job;
    scene_bare(&job, 600, 500);
    job.options.cells_max = 6000;
    const double rows[3][3] = {{20, 20, 12}, {60, 30, 15}, {30, 70, 11}};
    for (size_t i = 0; i < 3; i++) {
        scene_add_reading(&job, rows[i][0], rows[i][1], 1);
        job.seen[i].rise_k = rows[i][2];
    }
    sf_field *field = scene_field(&job);
    sf_estimate near, far;
    assert_int_equal(sf_field_at(field, 40, 40, &near), SF_OK);
    assert_int_equal(sf_field_at(field, 560, 460, &far), SF_OK);
    assert_true(near.value > 8 && near.value < 18);
    assert_true(far.sd > near.sd);
    sf_field_free(field);
}

static void board_of_little_spread_names_no_source_that_nobody_saw(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    job.board.copper_cover = 0;
    job.board.laminate = SF_LAMINATE_FR2;
    job.board.thickness_mm = 0.8;
    scene_scatter(&job, 9, 0.4, 5);
    for (size_t i = 0; i < 9; i++)
        job.seen[i].rise_k = 17 + (double)i;
    sf_field *field = scene_field(&job);
    size_t count;
    const sf_source_fit *sources = sf_field_sources(field, &count);
    for (size_t j = 0; j < count; j++) {
        double nearest = INFINITY;
        for (size_t i = 0; i < 9; i++)
            nearest = fmin(nearest, hypot(job.seen[i].x_mm - sources[j].x_mm,
                                          job.seen[i].y_mm - sources[j].y_mm));
        /* three spreading lengths of about 4 mm and half a footprint */
        assert_true(sources[j].listed || nearest < 22);
    }
    assert_true(sf_field_summarize(field).left_out_rmse_k < 30);
    sf_field_free(field);
}

static void island_that_nobody_read_makes_a_field(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_add_ring(&job, 40, 30, 40.2, 60.2);
    scene_add_ring(&job, 70, 30, 70.2, 60.2);
    scene_add_ring(&job, 40, 30, 70, 30.2);
    scene_add_ring(&job, 40, 60, 70, 60.2);
    const double rows[6][3] = {{20, 20, 19}, {90, 20, 25}, {100, 75, 18},
                               {25, 80, 13}, {20, 50, 15}, {85, 45, 21}};
    for (size_t i = 0; i < 6; i++) {
        scene_add_reading(&job, rows[i][0], rows[i][1], 0.5);
        job.seen[i].rise_k = rows[i][2];
    }
    sf_field *field = scene_field(&job);
    sf_estimate island, read;
    assert_int_equal(sf_field_at(field, 55, 45, &island), SF_OK);
    assert_int_equal(sf_field_at(field, 20, 50, &read), SF_OK);
    /* the background is all that is known of it */
    assert_true(island.value > 0 && island.value < 40);
    assert_true(island.sd > 1.5 * read.sd);
    sf_field_free(field);
}

static void three_hundred_readings_are_met_within_their_doubt(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    for (int i = 0; i < 300; i++)
        scene_add_reading(&job, 3.0 + 5.7 * (i % 20), 3.0 + 5.7 * (i / 20), 0.4);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 36);
    sf_field *field = scene_field(&job);
    size_t count, met = 0;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    assert_int_equal(count, 300);
    /* 99 of 100 normal errors lie within 2.6 standard deviations; a tenth is left for the model */
    for (size_t i = 0; i < count; i++)
        met += fabs(fits[i].score) < 2.6;
    assert_true(met >= 270);
    sf_field_free(field);
    truth_clear(&from);
}

/* The plain scene with two hundred places to read, in rows of twenty. */
static void scene_of_two_hundred(scene *job)
{
    scene_plain(job);
    for (int i = 0; i < 200; i++)
        scene_add_reading(job, 3.0 + 5.9 * (i % 20), 4.0 + 9.1 * (i / 20), 0.4);
}

/* Two hundred readings, one of them a tenth of what it was: it is named, has no weight, and the
 * board about it is as it would be without it. */
static void one_of_two_hundred_that_is_a_tenth_loses_its_weight(void **state)
{
    (void)state;
    scene job;
    scene_of_two_hundred(&job);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 37);
    const size_t bad = 107;
    job.seen[bad].rise_k /= 10;
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
    size_t count, wrong = 0;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    for (size_t i = 0; i < count; i++)
        wrong += fits[i].gross >= 0.5;
    assert_int_equal(wrong, 1);
    assert_true(fits[bad].gross >= 0.5);
    assert_true(complained_of(&heard, SF_WARNING, "was given no weight"));
    double x_mm = job.seen[bad].x_mm, y_mm = job.seen[bad].y_mm, is_k = truth_at(&from, x_mm, y_mm);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, x_mm, y_mm, &there), SF_OK);
    assert_true(fabs(there.value - is_k) < 2 * there.sd && there.sd < 0.1 * is_k);
    assert_true(fabs(fits[bad].left_out_k.value - is_k) < 2.6 * fits[bad].left_out_k.sd);
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
}

/* Where there are many readings, as many slips are found as one in twenty-five. */
static void six_of_two_hundred_lose_their_weight(void **state)
{
    (void)state;
    scene job;
    scene_of_two_hundred(&job);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 37);
    for (size_t i = 0; i < 6; i++)
        job.seen[17 + 31 * i].rise_k /= 10;
    sf_field *field = scene_field(&job);
    size_t count, wrong = 0;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    for (size_t i = 0; i < count; i++)
        wrong += fits[i].gross == 1;
    assert_int_equal(wrong, 6);
    for (size_t i = 0; i < 6; i++)
        assert_true(fits[17 + 31 * i].gross == 1);
    sf_field_free(field);
    truth_clear(&from);
}

/* A can is a share of the board's rise (CAN_SHARE), however many readings there are. */
static void what_fits_a_reading_on_a_can_is_the_cans(void **state)
{
    (void)state;
    scene job;
    scene_of_two_hundred(&job);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 39);
    sf_observation *on_can = &job.seen[66];
    on_can->spot = SF_SPOT_PART;
    on_can->part = SF_NO_PART;
    on_can->rise_k *= CAN_SHARE;
    sf_field *field = scene_field(&job);
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    sf_estimate board_k;
    assert_int_equal(sf_field_at(field, on_can->x_mm, on_can->y_mm, &board_k), SF_OK);
    assert_close(fits[66].fitted_k.value, CAN_SHARE * board_k.value, 0.02, 0);
    sf_field_free(field);
    truth_clear(&from);
}

/* A source that was listed where there is none, under a place that is cooled: the more readings
 * there are the surer it is that it gives no heat. */
static void source_that_two_hundred_readings_want_to_cool_gives_none(void **state)
{
    (void)state;
    scene job;
    scene_of_two_hundred(&job);
    scene_add_source(&job, 75, 70, 12, 12, -4000);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 38);
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
    size_t count;
    const sf_source_fit *sources = sf_field_sources(field, &count);
    assert_true(count >= 4 && sources[3].contradiction && sources[3].rise_k.value < 0);
    assert_false(sources[0].contradiction || sources[1].contradiction || sources[2].contradiction);
    assert_true(complained_of(&heard, SF_WARNING, "would have to cool the board"));
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(board_of_ten_mm_makes_a_field),
        cmocka_unit_test(large_board_that_is_read_all_over_makes_a_field),
        cmocka_unit_test(board_with_a_window_makes_a_field_round_it),
        cmocka_unit_test(readings_by_the_hundred_make_a_better_field),
        cmocka_unit_test(what_readings_share_is_told_of_a_hundred_as_of_eighty),
        cmocka_unit_test(sources_by_the_hundred_make_a_field),
        cmocka_unit_test(large_board_read_in_one_corner_makes_a_field),
        cmocka_unit_test(board_of_little_spread_names_no_source_that_nobody_saw),
        cmocka_unit_test(island_that_nobody_read_makes_a_field),
        cmocka_unit_test(one_of_two_hundred_that_is_a_tenth_loses_its_weight),
        cmocka_unit_test(six_of_two_hundred_lose_their_weight),
        cmocka_unit_test(what_fits_a_reading_on_a_can_is_the_cans),
        cmocka_unit_test(source_that_two_hundred_readings_want_to_cool_gives_none),
        cmocka_unit_test(three_hundred_readings_are_met_within_their_doubt),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
