/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Each reading held against the fit of all others: the prediction, its score and their mean. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "field/scene.h"
#include "field/thin_plate.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static void left_out_prediction_is_that_of_a_fit_without_the_reading(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    /* at centres of cells, where the field is told without interpolation */
    for (int i = 0; i < 30; i++)
        scene_add_reading(&job, 8.75 + 20.0 * (i % 6) + 2.5 * (i % 3),
                          8.75 + 17.5 * (i / 6) + 2.5 * (i % 2), 0.5);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 16);
    job.options.position_sd_mm = 0;
    sf_field *all = scene_field(&job);
    size_t count;
    const sf_reading_fit *readings = sf_field_readings(all, &count);
    const size_t left_out[] = {0, 7, 14, 22, 29};
    for (size_t i = 0; i < sizeof left_out / sizeof *left_out; i++) {
        size_t out = left_out[i];
        job.seen[out].in_fit = false;
        sf_field *others = scene_field(&job);
        sf_estimate there;
        assert_int_equal(sf_field_at(others, job.seen[out].x_mm, job.seen[out].y_mm, &there),
                         SF_OK);
        double noise_k = job.seen[out].sd_k * sf_field_summarize(others).noise_factor;
        /* hyperparameters and spreading length are fitted anew without it: one of thirty, half a
         * deviation of the prediction at most */
        assert_close(readings[out].left_out_k.value, there.value, 0,
                     0.5 * readings[out].left_out_k.sd);
        assert_close(readings[out].left_out_k.sd, hypot(there.sd, noise_k), 0.25, 0);
        assert_close(readings[out].score,
                     (job.seen[out].rise_k - readings[out].left_out_k.value) /
                         readings[out].left_out_k.sd,
                     1e-9, 0);
        job.seen[out].in_fit = true;
        sf_field_free(others);
    }
    sf_field_free(all);
    truth_clear(&from);
}

/* A reading far off widens the hyperparameters of a fit that it is part of, and would look likely
 * by them.
 */
static void a_reading_far_off_is_judged_by_scales_that_it_did_not_feed(void **state)
{
    (void)state;
    for (unsigned long seed = 1; seed <= 3; seed++) {
        scene job;
        scene_plain(&job);
        scene_scatter(&job, 16, 0.5, 300 + seed);
        truth from = scene_truth(&job, 2.5);
        scene_read(&job, &from, 1, 400 + seed);
        job.options.position_sd_mm = 0;
        job.seen[5].rise_k -= 12;
        sf_field *all = scene_field(&job);
        size_t count;
        const sf_reading_fit *readings = sf_field_readings(all, &count);
        job.seen[5].in_fit = false;
        sf_field *others = scene_field(&job);
        sf_estimate there;
        assert_int_equal(sf_field_at(others, job.seen[5].x_mm, job.seen[5].y_mm, &there), SF_OK);
        assert_close(readings[5].left_out_k.value, there.value, 0, 1);
        assert_true(readings[5].score < -3); /* from which a reading is named */
        sf_field_free(others);
        sf_field_free(all);
        truth_clear(&from);
    }
}

static void left_out_rmse_is_that_of_the_readings(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 13, 0.5, 93);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 17);
    for (int model = 0; model < 2; model++) {
        job.options.model = sf_field_models()[model]->name;
        sf_field *field = scene_field(&job);
        size_t count;
        const sf_reading_fit *readings = sf_field_readings(field, &count);
        double squares = 0;
        assert_int_equal(count, 13);
        for (size_t i = 0; i < count; i++) {
            double off_k = job.seen[readings[i].observation].rise_k - readings[i].left_out_k.value;
            squares += off_k * off_k;
            assert_close(readings[i].score, off_k / readings[i].left_out_k.sd, 1e-12, 0);
        }
        assert_close(sf_field_summarize(field).left_out_rmse_k, sqrt(squares / 13), 1e-12, 0);
        sf_field_free(field);
    }
    truth_clear(&from);
}

static void scores_of_a_true_model_are_those_of_noise(void **state)
{
    (void)state;
    double squares = 0;
    size_t beyond = 0, total = 0;
    for (unsigned long seed = 1; seed <= 6; seed++) {
        scene job;
        scene_plain(&job);
        scene_scatter(&job, 24, 0.5, 100 + seed);
        truth from = scene_truth(&job, 2.5);
        scene_read(&job, &from, 1, 200 + seed);
        sf_field *field = scene_field(&job);
        size_t count;
        const sf_reading_fit *readings = sf_field_readings(field, &count);
        for (size_t i = 0; i < count; i++, total++) {
            squares += readings[i].score * readings[i].score;
            beyond += fabs(readings[i].score) > 3;
        }
        sf_field_free(field);
        truth_clear(&from);
    }
    /* 144 standard scores: mean square 1 +- 0.12 if the doubt is true. The model also allows for
     * copper that is uneven, which this board is not, so that scores may be smaller */
    assert_true(squares / (double)total > 0.2 && squares / (double)total < 1.4);
    assert_true(beyond <= 2);
}

static void thin_plate_leaves_out_as_a_refit_at_the_same_smoothing(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 18, 0.5, 94);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 18);
    job.options.model = "thin-plate";
    sf_field *field = scene_field(&job);
    size_t count;
    const sf_reading_fit *readings = sf_field_readings(field, &count);
    sf_point places[18], others[17];
    double values[18], other_values[17], work[34];
    for (size_t i = 0; i < 18; i++) {
        places[i] = (sf_point){job.seen[i].x_mm, job.seen[i].y_mm};
        values[i] = job.seen[i].rise_k;
    }
    thin_plate all, rest;
    assert_int_equal(thin_plate_fit(places, values, 18, NAN, &all), SF_OK);
    for (size_t out = 0; out < 18; out++) {
        for (size_t i = 0, k = 0; i < 18; i++)
            if (i != out) {
                others[k] = places[i];
                other_values[k++] = values[i];
            }
        assert_int_equal(thin_plate_fit(others, other_values, 17, all.lambda, &rest), SF_OK);
        assert_close(readings[out].left_out_k.value,
                     thin_plate_at(&rest, places[out].x_mm, places[out].y_mm), 1e-6, 0);
        double spread = thin_plate_variance(&rest, places[out].x_mm, places[out].y_mm, work) /
                        rest.variance * all.variance;
        assert_close(readings[out].left_out_k.sd, sqrt(spread + all.variance), 1e-5, 0);
        assert_close(readings[out].fitted_k.value,
                     thin_plate_at(&all, places[out].x_mm, places[out].y_mm), 1e-9, 0);
        thin_plate_clear(&rest);
    }
    thin_plate_clear(&all);
    sf_field_free(field);
    truth_clear(&from);
}

/* With a hot place that nobody listed, so that there is something to seek. */
static void the_evidence_alone_is_that_of_the_whole_fit(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 16, 0.5, 71);
    truth from = scene_truth(&job, 2.5);
    scene_read(&job, &from, 1, 72);
    job.seen[9].rise_k += 9.5;
    sf_field *field = scene_field(&job);
    sf_diagnostics heard = {0};
    const sf_field_input input = {.board = &job.board,
                                  .rings = job.rings,
                                  .ring_count = job.ring_count,
                                  .sources = job.sources,
                                  .source_count = job.source_count - job.hidden_count,
                                  .observations = job.seen,
                                  .observation_count = job.reading_count};
    double evidence;
    assert_int_equal(sf_field_log_evidence(&input, &job.options, &evidence, &heard), SF_OK);
    assert_close(evidence, sf_field_summarize(field).log_evidence, 1e-12, 0);
    job.options.model = "kriging";
    assert_int_equal(sf_field_log_evidence(&input, &job.options, &evidence, &heard),
                     SF_ERROR_ARGUMENT);
    assert_true(isnan(evidence));
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(left_out_prediction_is_that_of_a_fit_without_the_reading),
        cmocka_unit_test(a_reading_far_off_is_judged_by_scales_that_it_did_not_feed),
        cmocka_unit_test(left_out_rmse_is_that_of_the_readings),
        cmocka_unit_test(the_evidence_alone_is_that_of_the_whole_fit),
        cmocka_unit_test(scores_of_a_true_model_are_those_of_noise),
        cmocka_unit_test(thin_plate_leaves_out_as_a_refit_at_the_same_smoothing),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
