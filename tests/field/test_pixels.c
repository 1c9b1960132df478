/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thermogram in the fit: cells averaged, the camera held against readings, sources found. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdlib.h>

#include "field/bench.h"
#include "field/calibration.h"
#include "field/pixel_cells.h"
#include "field/scene.h"

#define PIXELS_MOST 40000

static double x_mm[PIXELS_MOST], y_mm[PIXELS_MOST], rise_k[PIXELS_MOST];

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* A camera's view of the truth, a pixel every step_mm, each off by pixel_sd_k and all by offset and
 * gain; none within 2 mm of a source that the fit is told of. */
static sf_pixels look(const scene *at, const truth *from, double step_mm, double pixel_sd_k,
                      double offset_k, double gain)
{
    sf_pixels seen = {.x_mm = x_mm,
                      .y_mm = y_mm,
                      .rise_k = rise_k,
                      .pixel_sd_k = pixel_sd_k,
                      .offset_sd_k = 1.2,
                      .gain_sd = 0.03,
                      .pixel_mm = step_mm};
    unsigned long thrown = 4711;
    for (double y = step_mm / 3; y < at->board.height_mm; y += step_mm)
        for (double x = step_mm / 3; x < at->board.width_mm; x += step_mm) {
            double true_k = truth_at(from, x, y);
            assert_true(seen.count < PIXELS_MOST);
            x_mm[seen.count] = x;
            y_mm[seen.count] = y;
            rise_k[seen.count++] =
                true_k * (1 + gain) + offset_k + pixel_sd_k * next_normal(&thrown);
        }
    return seen;
}

static double error_rms_k(const scene *job, const sf_field *field, const truth *from)
{
    double squares = 0, count = 0;
    for (double y = 1.3; y < job->board.height_mm; y += 3.7)
        for (double x = 1.1; x < job->board.width_mm; x += 4.1, count++) {
            sf_estimate told;
            assert_int_equal(sf_field_at(field, x, y, &told), SF_OK);
            squares += pow(told.value - truth_at(from, x, y), 2);
        }
    return sqrt(squares / count);
}

static void a_cell_has_the_mean_of_its_pixels(void **state)
{
    (void)state;
    double x[] = {2.6, 4.4, 4.9, 17.5, 99, NAN}, y[] = {0.4, 1.6, 2.2, 7.5, 1, 3};
    double rises[] = {10, 13, 25, 7.25, 40, 50};
    sf_pixels seen = {.count = 6, .x_mm = x, .y_mm = y, .rise_k = rises, .pixel_sd_k = 0.6};
    grid *laid = rectangle_grid(20, 10, 2.5);
    pixel_cell *cells;
    size_t count;
    assert_int_equal(pixel_cells_make(&seen, laid, &cells, &count), SF_OK);
    assert_int_equal(count, 2); /* two pixels lie on no cell */
    assert_close(cells[0].x_mm, (2.6 + 4.4 + 4.9) / 3, 1e-12, 0);
    assert_close(cells[0].y_mm, (0.4 + 1.6 + 2.2) / 3, 1e-12, 0);
    assert_close(cells[0].rise_k, 16, 1e-12, 0);
    /* the noise of a mean of three falls by their root, the texture of 1 % of the rise does not */
    assert_close(cells[0].variance_k2, 0.6 * 0.6 / 3 + 0.16 * 0.16, 1e-12, 0);
    assert_close(cells[1].rise_k, 7.25, 1e-12, 0);
    assert_close(cells[1].variance_k2, 0.6 * 0.6 + 0.0725 * 0.0725, 1e-12, 0);
    /* neither has another within 4 mm */
    assert_close(cells[0].alike, 1, 0, 0);
    assert_close(cells[1].alike, 1, 0, 0);
    free(cells);
    grid_free(laid);
}

/* Cells of 2.5 mm: one to each side lies within 4 mm, nine in all but at the edge. */
static void cells_that_err_alike_are_counted(void **state)
{
    (void)state;
    sf_pixels seen = {.x_mm = x_mm, .y_mm = y_mm, .rise_k = rise_k, .pixel_sd_k = 0.1};
    for (int i = 0; i < 20; i++, seen.count++) {
        x_mm[i] = 1.25 + 2.5 * (i % 5);
        y_mm[i] = 1.25 + 2.5 * (double)(i / 5);
        rise_k[i] = 9;
    }
    grid *laid = rectangle_grid(20, 10, 2.5);
    pixel_cell *cells;
    size_t count;
    assert_int_equal(pixel_cells_make(&seen, laid, &cells, &count), SF_OK);
    assert_int_equal(count, 20);
    assert_close(cells[0].alike, 4, 0, 0);
    assert_close(cells[1].alike, 6, 0, 0);
    assert_close(cells[6].alike, 9, 0, 0);
    free(cells);
    grid_free(laid);
}

static void sparse_readings_beside_pixels_lead_to_the_straight_line_of_gsl(void **state)
{
    (void)state;
    sf_observation seen[6];
    double x[6], y[6], rises[6], off_k[6], offset_k, gain, c00, c01, c11, squares;
    for (size_t i = 0; i < 6; i++) {
        x[i] = 6.25 + 15 * (double)i;
        y[i] = 21.25;
        rises[i] = 8 + 7.3 * (double)i;
        off_k[i] = 1.7 + 0.04 * rises[i] + (i % 2 ? 0.21 : -0.17);
        seen[i] = plain_observation("r", x[i], y[i], rises[i] - off_k[i], 0.4);
    }
    /* a camera of which next to nothing is known beforehand */
    sf_pixels pixels = {.count = 6,
                        .x_mm = x,
                        .y_mm = y,
                        .rise_k = rises,
                        .pixel_sd_k = 0.1,
                        .offset_sd_k = 1e4,
                        .gain_sd = 1e4};
    bench set;
    bench_set(&set, 90, 40, 2.5, NULL, 0, seen, 6);
    set.input.pixels = &pixels;
    fit_data_clear(&set.data);
    assert_int_equal(fit_data_gather(&set.input, set.laid, &set.data), SF_OK);
    calibration camera = calibrate_pixels(&set.data);
    /* GNU Scientific Library: least squares of a straight line, covariance for known 0.4 K */
    gsl_fit_linear(rises, 1, off_k, 1, 6, &offset_k, &gain, &c00, &c01, &c11, &squares);
    double scale = 0.4 * 0.4 / (squares / 4);
    assert_close(camera.offset_k, offset_k, 1e-6, 0);
    assert_close(camera.gain, gain, 1e-6, 0);
    assert_close(camera.offset_k2, c00 * scale, 1e-6, 0);
    assert_close(camera.gain_k, c01 * scale, 1e-6, 0);
    assert_close(camera.gain2, c11 * scale, 1e-6, 0);
    for (size_t i = 0; i < 6; i++) {
        double off, off_sd;
        assert_close(set.data.rise_k[6 + i], rises[i] - offset_k - gain * rises[i], 1e-6, 0);
        gsl_fit_linear_est(rises[i], offset_k, gain, c00 * scale, c01 * scale, c11 * scale, &off,
                           &off_sd);
        assert_close(calibration_variance(&camera, rises[i]), off_sd * off_sd, 1e-6, 0);
    }
    bench_clear(&set);
}

static void a_reading_that_saw_something_else_does_not_turn_the_camera(void **state)
{
    (void)state;
    double x[] = {16.25, 41.25}, y[] = {11.25, 26.25}, rises[] = {20, 60};
    sf_observation seen[] = {plain_observation("board", 16.25, 11.25, 19.2, 0.5),
                             plain_observation("below a body", 41.25, 26.25, 37, 0.5)};
    sf_pixels pixels = {.count = 2,
                        .x_mm = x,
                        .y_mm = y,
                        .rise_k = rises,
                        .pixel_sd_k = 0.1,
                        .offset_sd_k = 1.2,
                        .gain_sd = 0.03};
    bench set;
    bench_set(&set, 60, 40, 2.5, NULL, 0, seen, 2);
    set.input.pixels = &pixels;
    fit_data_clear(&set.data);
    assert_int_equal(fit_data_gather(&set.input, set.laid, &set.data), SF_OK);
    calibration camera = calibrate_pixels(&set.data);
    /* one equation with a prior, worked out by hand: gain (0.8 K) / (1.2^2 + (0.03 20)^2 + 0.5^2)
     */
    assert_close(camera.offset_k, 1.44 * 0.8 / (1.44 + 0.36 + 0.25), 1e-9, 0);
    assert_close(camera.gain, 0.0009 * 20 * 0.8 / (1.44 + 0.36 + 0.25), 1e-9, 0);
    bench_clear(&set);
}

static void a_thermogram_alone_tells_the_field(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    truth from = scene_truth(&job, 1);
    sf_pixels seen = look(&job, &from, 0.9, 0.15, 0, 0);
    job.pixels = &seen;
    sf_field *field = scene_field(&job);
    assert_true(error_rms_k(&job, field, &from) < 0.4);
    sf_field_summary told = sf_field_summarize(field);
    assert_int_equal(told.pixels, seen.count);
    assert_int_equal(told.pixel_cells, told.cells);
    assert_int_equal(told.readings, 0);
    /* no reading told what the camera has wrong: its prior stays in the doubt */
    assert_close(told.pixel_offset_k.sd, 1.2, 1e-9, 0);
    sf_estimate corner;
    assert_int_equal(sf_field_at(field, 115, 85, &corner), SF_OK);
    assert_true(corner.sd > 1.1 && corner.sd < 1.7);
    sf_field_free(field);
    truth_clear(&from);
}

static void readings_take_the_offset_from_a_thermogram(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    truth from = scene_truth(&job, 1);
    scene_scatter(&job, 9, 0.3, 8);
    scene_read(&job, &from, 1, 21);
    sf_pixels seen = look(&job, &from, 1.1, 0.15, 1.9, 0.02);
    job.pixels = &seen;
    sf_field *field = scene_field(&job);
    sf_field_summary told = sf_field_summarize(field);
    assert_true(fabs(told.pixel_offset_k.value - 1.9) < 3 * told.pixel_offset_k.sd);
    assert_true(told.pixel_offset_k.sd < 0.8);
    assert_true(error_rms_k(&job, field, &from) < 0.5);
    sf_field_free(field);
    truth_clear(&from);
}

static void a_thermogram_finds_what_nobody_listed(void **state)
{
    (void)state;
    scene job;
    size_t count;
    scene_plain(&job);
    scene_hide_source(&job, 60, 70, 12, 26000);
    truth from = scene_truth(&job, 1);
    sf_pixels seen = look(&job, &from, 0.9, 0.15, 0, 0);
    job.pixels = &seen;
    sf_field *field = scene_field(&job);
    const sf_source_fit *sources = sf_field_sources(field, &count);
    assert_true(count > 3);
    assert_false(sources[3].listed);
    assert_close(sources[3].x_mm, 60, 0, 6);
    assert_close(sources[3].y_mm, 70, 0, 6);
    assert_true(sources[3].probability > 0.99);
    sf_field_free(field);
    truth_clear(&from);
}

/* The body stands above its board and is warmer: its pixels tell where it is, not how warm the
 * board is beside it. */
static void a_body_that_nobody_listed_hides_its_board(void **state)
{
    (void)state;
    scene job;
    size_t count;
    const double left = 54, right = 66, low = 64, high = 76, body_k = 30, beside_mm = 4;
    scene_plain(&job);
    scene_hide_source(&job, 60, 70, right - left, 26000);
    truth from = scene_truth(&job, 1);
    sf_pixels seen = look(&job, &from, 0.9, 0.15, 0, 0);
    for (size_t i = 0; i < seen.count; i++)
        if (x_mm[i] > left && x_mm[i] < right && y_mm[i] > low && y_mm[i] < high)
            rise_k[i] += body_k;
    job.pixels = &seen;
    sf_field *field = scene_field(&job);
    sf_field_sources(field, &count);
    assert_true(count > 3);
    const sf_point beside[] = {{left - beside_mm, 70},
                               {right + beside_mm, 70},
                               {60, low - beside_mm},
                               {60, high + beside_mm}};
    for (int i = 0; i < 4; i++) {
        sf_estimate told;
        assert_int_equal(sf_field_at(field, beside[i].x_mm, beside[i].y_mm, &told), SF_OK);
        assert_close(told.value, truth_at(&from, beside[i].x_mm, beside[i].y_mm), 0, 1.5);
    }
    sf_field_free(field);
    truth_clear(&from);
}

/* A body wider than any square that is sought is not named twice over. */
static void no_two_finds_overlap(void **state)
{
    (void)state;
    scene job;
    size_t count;
    scene_plain(&job);
    scene_hide_source(&job, 60, 68, 26, 42000);
    truth from = scene_truth(&job, 1);
    sf_pixels seen = look(&job, &from, 0.9, 0.15, 0, 0);
    for (size_t i = 0; i < seen.count; i++)
        if (fabs(x_mm[i] - 60) < 13 && fabs(y_mm[i] - 68) < 13)
            rise_k[i] += 24;
    job.pixels = &seen;
    sf_field *field = scene_field(&job);
    const sf_source_fit *sources = sf_field_sources(field, &count);
    assert_true(count > 3);
    for (size_t i = 3; i < count; i++) {
        assert_true(sources[i].rise_k.value >= 1);
        assert_true(sources[i].rise_k.value >= 2 * sources[i].rise_k.sd);
        for (size_t k = 3; k < i; k++)
            assert_true(fmax(fabs(sources[i].x_mm - sources[k].x_mm),
                             fabs(sources[i].y_mm - sources[k].y_mm)) >=
                        (sources[i].width_mm + sources[k].width_mm) / 2 - 1e-9);
    }
    sf_field_free(field);
    truth_clear(&from);
}

static void nothing_is_found_where_all_is_listed(void **state)
{
    (void)state;
    scene job;
    size_t count;
    scene_plain(&job);
    truth from = scene_truth(&job, 1);
    sf_pixels seen = look(&job, &from, 1.3, 0.15, 0, 0);
    job.pixels = &seen;
    sf_field *field = scene_field(&job);
    sf_field_sources(field, &count);
    assert_int_equal(count, 3);
    sf_field_free(field);
    truth_clear(&from);
}

static void the_references_see_the_thermogram_too(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    truth from = scene_truth(&job, 1);
    sf_pixels seen = look(&job, &from, 1.3, 0.15, 0, 0);
    job.pixels = &seen;
    const char *const models[] = {"thin-plate", "kriging"};
    for (size_t i = 0; i < 2; i++) {
        job.options.model = models[i];
        sf_field *field = scene_field(&job);
        assert_true(error_rms_k(&job, field, &from) < 2.5);
        sf_field_free(field);
    }
    truth_clear(&from);
}

/* The variance of a joint fit at a place is that of the field there, the camera's share included;
 * and two places are to each other as the other way round. */
static void assert_joint_agrees(const scene *job)
{
    const sf_field_input input = {.board = &job->board,
                                  .rings = job->rings,
                                  .ring_count = job->ring_count,
                                  .sources = job->sources,
                                  .source_count = 3,
                                  .observations = job->seen,
                                  .observation_count = job->reading_count,
                                  .pixels = job->pixels};
    /* centres of cells, where no spline comes between */
    const sf_place places[] = {
        {31.25, 26.25, false, 0}, {61.25, 71.25, false, 0}, {118.75, 1.25, false, 0}};
    sf_field *field;
    sf_joint_rise *joint;
    sf_diagnostics heard = {0};
    assert_int_equal(sf_field_fit_joint(&input, &job->options, places, 3, &field, &joint, &heard),
                     SF_OK);
    for (size_t p = 0; p < 3; p++) {
        sf_estimate told;
        assert_int_equal(sf_field_at(field, places[p].x_mm, places[p].y_mm, &told), SF_OK);
        assert_close(joint->rise_k[p], told.value, 1e-9, 0);
        assert_close(sqrt(joint->covariance_k2[p * 3 + p]), told.sd, 1e-9, 0);
        for (size_t q = 0; q < p; q++)
            assert_close(joint->covariance_k2[p * 3 + q], joint->covariance_k2[q * 3 + p], 1e-9, 0);
    }
    sf_joint_rise_free(joint);
    sf_field_free(field);
    sf_diagnostics_clear(&heard);
}

/* A score is what a reading is off by, in standard deviations of what the others lead to expect. */
static void assert_scores(const scene *job)
{
    size_t count;
    sf_field *field = scene_field(job);
    const sf_reading_fit *readings = sf_field_readings(field, &count);
    assert_int_equal(count, job->reading_count);
    for (size_t i = 0; i < count; i++)
        assert_close(readings[i].score,
                     (job->seen[i].rise_k - readings[i].left_out_k.value) /
                         readings[i].left_out_k.sd,
                     1e-9, 1e-12);
    sf_field_free(field);
}

static void sparse_readings_agree_with_their_joint_rise(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 190, 0.4, 5);
    truth from = scene_truth(&job, 1);
    scene_read(&job, &from, 1, 33);
    job.options.cell_mm = 2.5;
    assert_joint_agrees(&job);
    assert_scores(&job);
    sf_pixels seen = look(&job, &from, 2.9, 0.15, 0.7, 0.01);
    job.pixels = &seen;
    job.reading_count = 5;
    assert_joint_agrees(&job);
    truth_clear(&from);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cell_has_the_mean_of_its_pixels),
        cmocka_unit_test(cells_that_err_alike_are_counted),
        cmocka_unit_test(sparse_readings_beside_pixels_lead_to_the_straight_line_of_gsl),
        cmocka_unit_test(a_reading_that_saw_something_else_does_not_turn_the_camera),
        cmocka_unit_test(a_thermogram_alone_tells_the_field),
        cmocka_unit_test(readings_take_the_offset_from_a_thermogram),
        cmocka_unit_test(a_thermogram_finds_what_nobody_listed),
        cmocka_unit_test(a_body_that_nobody_listed_hides_its_board),
        cmocka_unit_test(no_two_finds_overlap),
        cmocka_unit_test(nothing_is_found_where_all_is_listed),
        cmocka_unit_test(the_references_see_the_thermogram_too),
        cmocka_unit_test(sparse_readings_agree_with_their_joint_rise),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
