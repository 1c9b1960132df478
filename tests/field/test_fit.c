/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The whole fit: a field that is known is found again, and answers follow the readings. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <pthread.h>
#include <string.h>

#include "field/scene.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* How a field meets its truth over all its cells. */
typedef struct match {
    double rmse_k, peak_k, within_90; /* share of cells within 1.645 sd */
} match;

static match match_of(const sf_field *field, const truth *from)
{
    sf_grid cells = sf_field_grid(field);
    const double *rise_k = sf_field_rise_k(field), *sd_k = sf_field_rise_sd_k(field);
    match seen = {0, 0, 0};
    size_t inside = 0;
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++) {
        if (!cells.inside[cell])
            continue;
        double x = ((double)(cell % cells.columns) + 0.5) * cells.cell_mm;
        double y = ((double)(cell / cells.columns) + 0.5) * cells.cell_mm;
        double true_k = truth_at(from, x, y), off = rise_k[cell] - true_k;
        seen.rmse_k += off * off;
        seen.peak_k = fmax(seen.peak_k, true_k);
        seen.within_90 += fabs(off) < 1.645 * sd_k[cell];
        inside++;
    }
    seen.rmse_k = sqrt(seen.rmse_k / (double)inside);
    seen.within_90 /= (double)inside;
    return seen;
}

static void field_of_the_model_is_found_again(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 24, 0.4, 1951);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 7);
    sf_field *field = scene_field(&job);
    match seen = match_of(field, &from);
    /* noise of 0.4 K, some 30 K of peak, 2 readings a source's area at best */
    assert_true(seen.peak_k > 25);
    assert_true(seen.rmse_k < 0.03 * seen.peak_k);
    assert_true(seen.within_90 > 0.86);
    sf_field_free(field);
    truth_clear(&from);
}

static void spreading_length_is_found_within_its_doubt(void **state)
{
    (void)state;
    const double lengths_mm[] = {14, 19, 27};
    for (size_t i = 0; i < 3; i++) {
        scene job;
        scene_plain(&job);
        job.length_mm = lengths_mm[i];
        scene_scatter(&job, 40, 0.2, 33);
        truth from = scene_truth(&job, 1.25);
        scene_read(&job, &from, 1, 8);
        sf_field *field = scene_field(&job);
        sf_field_summary summary = sf_field_summarize(field);
        stack_up built = stack_up_of(&job.board);
        assert_close(summary.prior_length_mm, built.length_mm, 1e-12, 0);
        assert_true(fabs(summary.length_mm.value - lengths_mm[i]) < 3 * summary.length_mm.sd);
        /* 40 readings tell it far better than the construction does */
        assert_true(summary.length_mm.sd < 0.25 * lengths_mm[i]);
        sf_field_free(field);
        truth_clear(&from);
    }
}

static void listed_sources_get_their_rise_and_watts(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    stack_up built = stack_up_of(&job.board);
    double watts_of_strength = built.loss_w_m2k * 1e-6;
    job.sources[0].power_w = job.strength_k_mm2[0] * watts_of_strength;
    job.sources[0].power_sd_w = 0.05 * job.sources[0].power_w;
    scene_scatter(&job, 40, 0.2, 34);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 9);
    sf_field *field = scene_field(&job);
    size_t count;
    const sf_source_fit *sources = sf_field_sources(field, &count);
    assert_true(count >= 3);
    for (size_t j = 0; j < 3; j++) {
        assert_string_equal(sources[j].ref, job.sources[j].ref);
        assert_true(sources[j].listed && !sources[j].contradiction);
        assert_close(sources[j].probability, 1, 0, 0);
        assert_close(sources[j].evidence, 0, 0, 0);
        assert_close(sources[j].x_mm, job.sources[j].x_mm, 0, 0);
        assert_close(sources[j].angle_deg, job.sources[j].angle_deg, 0, 0);
        double watts = job.strength_k_mm2[j] * watts_of_strength;
        assert_true(fabs(sources[j].power_w.value - watts) < 3 * sources[j].power_w.sd);
        assert_close(sources[j].power_w.value, watts, 0.3, 0);
        /* it makes most of the rise under itself, and no more than all of it */
        double under = truth_at(&from, job.sources[j].x_mm, job.sources[j].y_mm);
        assert_true(sources[j].rise_k.value > 0.3 * under && sources[j].rise_k.value < under);
    }
    sf_field_free(field);
    truth_clear(&from);
}

static void reading_that_is_sure_is_met(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 11, 0.4, 88);
    scene_add_reading(&job, 58.75, 46.25, 1e-4); /* the centre of a cell */
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 10);
    job.seen[11].rise_k += 2.9;
    job.options.position_sd_mm = 0;
    sf_field *field = scene_field(&job);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, 58.75, 46.25, &there), SF_OK);
    assert_close(there.value, job.seen[11].rise_k, 0, 1e-3);
    assert_true(there.sd < 0.1);
    size_t count;
    const sf_reading_fit *readings = sf_field_readings(field, &count);
    assert_close(readings[11].fitted_k.value, job.seen[11].rise_k, 0, 1e-3);
    sf_field_free(field);
    truth_clear(&from);
}

static void unsure_reading_hardly_counts(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 14, 0.4, 89);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 11);
    sf_field *without = scene_field(&job);
    scene_add_reading(&job, 61.25, 43.75, 500);
    job.seen[14].rise_k = 71;
    sf_field *with = scene_field(&job);
    const double *before = sf_field_rise_k(without), *after = sf_field_rise_k(with);
    sf_grid cells = sf_field_grid(with);
    /* the reading also moves the priors that are drawn from the readings' quartile, a little */
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
        assert_close(after[cell], before[cell], 0.03, 0.1);
    sf_field_free(without);
    sf_field_free(with);
    truth_clear(&from);
}

/* Mirrors board and job left to right. */
static void mirror(scene *job)
{
    double width = job->board.width_mm;
    for (size_t i = 0; i < job->reading_count; i++)
        job->seen[i].x_mm = width - job->seen[i].x_mm;
    for (size_t j = 0; j < job->source_count; j++) {
        job->sources[j].x_mm = width - job->sources[j].x_mm;
        job->sources[j].angle_deg = -job->sources[j].angle_deg;
    }
    for (size_t r = 1; r < job->ring_count; r++)
        for (size_t i = 0; i < 4; i++)
            job->corners[r][i].x_mm = width - job->corners[r][i].x_mm;
}

static void mirrored_input_gives_mirrored_output(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_add_ring(&job, 52, 30, 53, 91);
    scene_hide_source(&job, 21, 69, 12, 30000);
    scene_scatter(&job, 14, 0.4, 90);
    scene_add_reading(&job, 22, 68, 0.4);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 12);
    sf_field *field = scene_field(&job);
    mirror(&job);
    sf_field *mirrored = scene_field(&job);
    sf_grid cells = sf_field_grid(field);
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++) {
        size_t other = cell - cell % cells.columns + (cells.columns - 1 - cell % cells.columns);
        assert_int_equal(cells.inside[cell], sf_field_grid(mirrored).inside[other]);
        if (!cells.inside[cell])
            continue;
        assert_close(sf_field_rise_k(mirrored)[other], sf_field_rise_k(field)[cell], 1e-6, 0);
        /* the prior's variance may be interpolated, and from other places */
        assert_close(sf_field_rise_sd_k(mirrored)[other], sf_field_rise_sd_k(field)[cell], 0.03, 0);
    }
    sf_field_free(field);
    sf_field_free(mirrored);
    truth_clear(&from);
}

static void order_of_the_readings_does_not_matter(void **state)
{
    (void)state;
    scene job, shuffled;
    scene_plain(&job);
    scene_scatter(&job, 15, 0.4, 91);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 13);
    memcpy(&shuffled, &job, sizeof job);
    for (size_t r = 0; r < job.ring_count; r++)
        shuffled.rings[r].points = shuffled.corners[r];
    for (size_t i = 0; i < 15; i++)
        shuffled.seen[(i * 7 + 4) % 15] = job.seen[i];
    sf_field *field = scene_field(&job), *other = scene_field(&shuffled);
    sf_grid cells = sf_field_grid(field);
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++) {
        assert_close(sf_field_rise_k(other)[cell], sf_field_rise_k(field)[cell], 1e-6, 0);
        assert_close(sf_field_rise_sd_k(other)[cell], sf_field_rise_sd_k(field)[cell], 1e-5, 0);
    }
    sf_field_free(field);
    sf_field_free(other);
    truth_clear(&from);
}

static void readings_kept_out_of_the_fit_change_nothing(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 10, 0.4, 92);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 14);
    sf_field *field = scene_field(&job);
    job.reading_count = 11;
    job.seen[10] = job.seen[4];
    job.seen[4].in_fit = false;
    job.seen[4].rise_k = 150;
    sf_field *other = scene_field(&job);
    size_t count;
    const sf_reading_fit *readings = sf_field_readings(other, &count);
    assert_int_equal(count, 10);
    for (size_t i = 0; i < count; i++)
        assert_int_equal(readings[i].observation, i < 4 ? i : i + 1);
    sf_grid cells = sf_field_grid(field);
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
        assert_close(sf_field_rise_k(other)[cell], sf_field_rise_k(field)[cell], 1e-6, 0);
    sf_field_free(field);
    sf_field_free(other);
    truth_clear(&from);
}

static void uncertainty_is_larger_in_an_empty_corner_than_near_a_reading(void **state)
{
    (void)state;
    scene job;
    scene_bare(&job, 160, 120);
    scene_add_source(&job, 34, 30, 12, 8, 37000);
    for (int i = 0; i < 12; i++) /* all readings in the lower left half */
        scene_add_reading(&job, 10.0 + 22 * (i % 4), 10.0 + 22.0 * (i / 4), 0.4);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 15);
    sf_field *field = scene_field(&job);
    sf_estimate corner, near;
    assert_int_equal(sf_field_at(field, 155, 116, &corner), SF_OK);
    assert_int_equal(sf_field_at(field, 54, 32, &near), SF_OK);
    assert_true(corner.sd > 2 * near.sd);
    assert_true(near.sd < 1.2);
    sf_field_free(field);
    truth_clear(&from);
}

static void heat_balance_beats_the_thin_plate_on_a_board_that_obeys_it(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 16, 0.4, 95);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 19);
    sf_field *balanced = scene_field(&job);
    job.options.model = "thin-plate";
    sf_field *plate = scene_field(&job);
    assert_true(match_of(balanced, &from).rmse_k < 0.5 * match_of(plate, &from).rmse_k);
    assert_true(sf_field_summarize(balanced).left_out_rmse_k <
                sf_field_summarize(plate).left_out_rmse_k);
    sf_field_free(balanced);
    sf_field_free(plate);
    truth_clear(&from);
}

typedef struct errand {
    const scene *job;
    double sum;
    sf_status status;
} errand;

static void *run(void *given)
{
    errand *of = given;
    sf_field *field;
    of->status = scene_fit(of->job, &field, NULL);
    if (of->status != SF_OK)
        return NULL;
    sf_grid cells = sf_field_grid(field);
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
        of->sum += sf_field_rise_k(field)[cell] + sf_field_rise_sd_k(field)[cell];
    sf_field_free(field);
    return NULL;
}

static void two_jobs_run_in_two_threads(void **state)
{
    (void)state;
    scene jobs[2];
    errand alone[2], together[2];
    pthread_t threads[2];
    for (size_t i = 0; i < 2; i++) {
        scene_plain(&jobs[i]);
        jobs[i].length_mm = 17 + 9 * (double)i;
        scene_scatter(&jobs[i], 12, 0.4, 96 + i);
        truth from = scene_truth(&jobs[i], 2.5);
        scene_read(&jobs[i], &from, 1, 20);
        truth_clear(&from);
        alone[i] = together[i] = (errand){&jobs[i], 0, SF_OK};
        run(&alone[i]);
    }
    for (size_t i = 0; i < 2; i++)
        assert_int_equal(pthread_create(&threads[i], NULL, run, &together[i]), 0);
    for (size_t i = 0; i < 2; i++) {
        pthread_join(threads[i], NULL);
        assert_int_equal(together[i].status, SF_OK);
        /* the order of elimination draws on the process's random numbers: other roundings */
        assert_close(together[i].sum, alone[i].sum, 1e-9, 0);
    }
}

static void found_source_leaves_some_doubt_everywhere(void **state)
{
    (void)state;
    for (unsigned long seed = 0; seed < 8; seed++) {
        scene job;
        scene_plain(&job);
        scene_hide_source(&job, 21, 69, 12, 30000);
        scene_scatter(&job, 14, 0.4, 90 + seed);
        scene_add_reading(&job, 22, 68, 0.4);
        truth from = scene_truth(&job, 2.5);
        scene_read(&job, &from, 1, 12);
        sf_field *field = scene_field(&job);
        sf_grid cells = sf_field_grid(field);
        /* no reading is surer than 0.4 K, and some five lie within a spreading length at most */
        for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
            assert_true(sf_field_rise_sd_k(field)[cell] > 0.4 / sqrt(5) / 2);
        sf_field_free(field);
        truth_clear(&from);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(field_of_the_model_is_found_again),
        cmocka_unit_test(spreading_length_is_found_within_its_doubt),
        cmocka_unit_test(listed_sources_get_their_rise_and_watts),
        cmocka_unit_test(reading_that_is_sure_is_met),
        cmocka_unit_test(unsure_reading_hardly_counts),
        cmocka_unit_test(mirrored_input_gives_mirrored_output),
        cmocka_unit_test(order_of_the_readings_does_not_matter),
        cmocka_unit_test(readings_kept_out_of_the_fit_change_nothing),
        cmocka_unit_test(uncertainty_is_larger_in_an_empty_corner_than_near_a_reading),
        cmocka_unit_test(heat_balance_beats_the_thin_plate_on_a_board_that_obeys_it),
        cmocka_unit_test(two_jobs_run_in_two_threads),
        cmocka_unit_test(found_source_leaves_some_doubt_everywhere),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
