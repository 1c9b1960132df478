/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The fit at the edges of what it accepts: refusals with a reason, one reading, readings that all
 * agree or lie at one place. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

#include "field/scene.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* A scene that can be fitted. */
static void start(scene *job)
{
    scene_plain(job);
    scene_scatter(job, 9, 0.4, 501);
    truth from = scene_truth(job, 2.5);
    scene_read(job, &from, 1, 31);
    truth_clear(&from);
}

static void defaults_are_the_first_model_and_ten_thousand_cells(void **state)
{
    (void)state;
    sf_field_options options = sf_field_options_default();
    assert_string_equal(options.model, sf_field_models()[0]->name);
    assert_string_equal(options.model, "heat-balance");
    assert_close(options.cell_mm, 0, 0, 0);
    assert_int_equal(options.cells_max, 10000);
    assert_true(options.position_sd_mm >= 0);
}

static void models_are_listed_with_a_description(void **state)
{
    (void)state;
    const sf_field_model_name *const *models = sf_field_models();
    assert_string_equal(models[1]->name, "thin-plate");
    assert_string_equal(models[2]->name, "kriging");
    assert_null(models[3]);
    for (size_t i = 0; models[i]; i++)
        assert_true(strlen(models[i]->description) > 20);
}

static void options_out_of_range_are_refused(void **state)
{
    (void)state;
    scene job;
    start(&job);
    sf_field_options good = job.options, wrong[11];
    for (size_t i = 0; i < 11; i++)
        wrong[i] = good;
    wrong[0].model = NULL;
    wrong[1].model = "spline";
    wrong[2].cell_mm = -2.5;
    wrong[3].cell_mm = NAN;
    wrong[4].cell_mm = INFINITY;
    wrong[5].cells_max = 3;
    wrong[6].cells_max = 1000001;
    wrong[7].position_sd_mm = -0.5;
    wrong[8].position_sd_mm = NAN;
    wrong[9].position_sd_mm = INFINITY;
    wrong[10].model = "";
    for (size_t i = 0; i < 11; i++) {
        sf_field *field = (sf_field *)&job;
        job.options = wrong[i];
        assert_int_equal(scene_fit(&job, &field, NULL), SF_ERROR_ARGUMENT);
        assert_null(field);
    }
}

static void place_that_is_no_number_is_refused(void **state)
{
    (void)state;
    scene job;
    start(&job);
    sf_field *field = scene_field(&job);
    sf_estimate there = {12.5, 3.25};
    assert_int_equal(sf_field_at(field, NAN, 20, &there), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_field_at(field, 20, INFINITY, &there), SF_ERROR_ARGUMENT);
    assert_close(there.value, 12.5, 0, 0);
    assert_int_equal(sf_field_at(field, 20, 20, &there), SF_OK);
    assert_true(isfinite(there.value) && there.sd > 0);
    sf_field_free(field);
    sf_field_free(NULL);
}

static void place_off_the_board_answers_as_the_nearest_board(void **state)
{
    (void)state;
    scene job;
    start(&job);
    sf_field *field = scene_field(&job);
    sf_estimate off, on;
    assert_int_equal(sf_field_at(field, 127, 41.25, &off), SF_OK);
    assert_int_equal(sf_field_at(field, 118.75, 41.25, &on), SF_OK);
    assert_close(off.value, on.value, 1e-12, 0);
    assert_close(off.sd, on.sd, 1e-12, 0);
    sf_field_free(field);
}

static void no_reading_is_an_error_with_a_complaint(void **state)
{
    (void)state;
    scene job;
    start(&job);
    for (int model = 0; model < 2; model++)
        for (int kept_out = 0; kept_out < 2; kept_out++) {
            job.options.model = sf_field_models()[model]->name;
            job.reading_count = kept_out ? 9 : 0;
            for (size_t i = 0; i < 9; i++)
                job.seen[i].in_fit = false;
            sf_field *field = (sf_field *)&job;
            sf_diagnostics heard = {0};
            assert_int_equal(scene_fit(&job, &field, &heard), SF_ERROR_DATA);
            assert_null(field);
            assert_int_equal(heard.error_count, 1);
            assert_string_equal(heard.items[0].file, "readings.csv");
            sf_diagnostics_clear(&heard);
        }
}

static void outline_without_board_is_an_error_with_a_complaint(void **state)
{
    (void)state;
    scene job;
    start(&job);
    scene_add_ring(&job, -1, -1, 121, 91);
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_ERROR_DATA);
    assert_null(field);
    assert_int_equal(heard.error_count, 1);
    assert_string_equal(heard.items[0].file, "outline.csv");
    sf_diagnostics_clear(&heard);
}

/* What a map beyond melting copper is blamed on: the first source, whose watts are listed or blank,
 * or the readings where no source is listed. */
static void assert_melted(scene *job, size_t line, const char *file, const char *column)
{
    sf_field *field;
    sf_diagnostics heard = {0};
    for (size_t i = 0; i < job->reading_count; i++)
        job->seen[i].rise_k = 1700 + 3.1 * (double)i;
    assert_int_equal(scene_fit(job, &field, &heard), SF_ERROR_DATA);
    assert_null(field);
    assert_int_equal(heard.error_count, 1);
    assert_non_null(strstr(heard.items[0].what, "where copper melts"));
    assert_string_equal(heard.items[0].file, file);
    assert_int_equal(heard.items[0].line, line);
    assert_string_equal(heard.items[0].column, column);
    sf_diagnostics_clear(&heard);
}

static void field_beyond_melting_copper_blames_no_blank_cell(void **state)
{
    (void)state;
    scene job;
    scene_bare(&job, 60, 40);
    scene_scatter(&job, 5, 0.4, 502);
    assert_melted(&job, 0, "readings.csv", "value");
    scene_add_source(&job, 31, 19, 13, 12, 0);
    assert_melted(&job, job.sources[0].line, "sources.csv", "");
    job.sources[0].power_w = 830;
    job.sources[0].power_sd_w = 166;
    assert_melted(&job, job.sources[0].line, "sources.csv", "power_w");
}

static void thin_plate_refuses_three_readings_and_a_line_of_them(void **state)
{
    (void)state;
    scene job;
    start(&job);
    job.options.model = "thin-plate";
    job.reading_count = 3;
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_ERROR_DATA);
    assert_null(field);
    assert_true(complained_of(&heard, SF_ERROR, "thin plate"));
    sf_diagnostics_clear(&heard);
    job.reading_count = 9;
    for (size_t i = 0; i < 9; i++) {
        job.seen[i].x_mm = 11 + 9.7 * (double)i;
        job.seen[i].y_mm = 7 + 6.1 * (double)i;
    }
    assert_int_equal(scene_fit(&job, &field, &heard), SF_ERROR_DATA);
    assert_true(complained_of(&heard, SF_ERROR, "thin plate"));
    sf_diagnostics_clear(&heard);
}

static void thin_plate_tells_nothing_of_heat(void **state)
{
    (void)state;
    scene job;
    start(&job);
    job.options.model = "thin-plate";
    sf_field *field = scene_field(&job);
    sf_field_summary summary = sf_field_summarize(field);
    assert_string_equal(summary.model, "thin-plate");
    assert_true(isnan(summary.length_mm.value) && isnan(summary.prior_length_mm));
    assert_true(isnan(summary.loss_w_m2k.value) && isnan(summary.background_k.value));
    assert_true(isnan(summary.unlisted_sd_k) && isnan(summary.log_evidence));
    size_t count;
    sf_field_sources(field, &count);
    assert_int_equal(count, 0);
    sf_field_free(field);
}

static void one_reading_alone_makes_a_field(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_add_reading(&job, 58.75, 46.25, 0.5);
    job.seen[0].rise_k = 17.4;
    sf_field *field = scene_field(&job);
    sf_estimate there, far;
    assert_int_equal(sf_field_at(field, 58.75, 46.25, &there), SF_OK);
    assert_int_equal(sf_field_at(field, 5, 85, &far), SF_OK);
    assert_close(there.value, 17.4, 0, 1);
    assert_true(there.sd < 1.5 && far.sd > 2 * there.sd);
    sf_field_free(field);
}

static void one_reading_alone_without_sources_makes_a_field(void **state)
{
    (void)state;
    scene job;
    scene_bare(&job, 120, 90);
    scene_add_reading(&job, 58.75, 46.25, 0.5);
    job.seen[0].rise_k = 17.4;
    sf_field *field = scene_field(&job);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, 58.75, 46.25, &there), SF_OK);
    assert_close(there.value, 17.4, 0, 1.5);
    sf_field_free(field);
}

static void readings_all_at_one_place_count_as_their_mean(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    const double rises_k[] = {17.1, 17.9, 17.4, 17.6, 17.0};
    for (size_t i = 0; i < 5; i++) {
        scene_add_reading(&job, 58.75, 46.25, 0.5);
        job.seen[i].rise_k = rises_k[i];
    }
    sf_field *field = scene_field(&job);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, 58.75, 46.25, &there), SF_OK);
    assert_close(there.value, 17.4, 0, 0.3);
    sf_field_free(field);
}

static void board_as_cold_as_its_air_makes_a_field(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 8, 0.4, 502);
    for (size_t i = 0; i < 8; i++)
        job.seen[i].rise_k = 0.1 * (double)i - 0.35;
    for (int model = 0; model < 2; model++) {
        job.options.model = sf_field_models()[model]->name;
        sf_field *field = scene_field(&job);
        sf_grid cells = sf_field_grid(field);
        for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
            assert_true(fabs(sf_field_rise_k(field)[cell]) < 6);
        sf_field_free(field);
    }
}

static void readings_off_the_edge_count_at_the_nearest_board(void **state)
{
    (void)state;
    scene job;
    start(&job);
    scene_add_reading(&job, 121.7, 46.25, 0.2);
    job.seen[9].rise_k = 21.3;
    sf_field *off = scene_field(&job);
    job.seen[9].x_mm = 119.9;
    sf_field *on = scene_field(&job);
    sf_estimate a, b;
    assert_int_equal(sf_field_at(off, 118.75, 46.25, &a), SF_OK);
    assert_int_equal(sf_field_at(on, 118.75, 46.25, &b), SF_OK);
    assert_close(a.value, b.value, 0, 0.5);
    sf_field_free(off);
    sf_field_free(on);
}

static void long_reference_is_cut_to_fit(void **state)
{
    (void)state;
    scene job;
    start(&job);
    char ref[] = "regulator behind the transformer, left of the fuse";
    job.sources[1].ref = ref;
    sf_field *field = scene_field(&job);
    size_t count;
    const sf_source_fit *sources = sf_field_sources(field, &count);
    assert_memory_equal(sources[1].ref, ref, 31);
    assert_int_equal(strlen(sources[1].ref), 31);
    sf_field_free(field);
}

static void source_that_hangs_over_the_edge_makes_a_field(void **state)
{
    (void)state;
    scene job;
    start(&job);
    scene_add_source(&job, 121, 45, 20, 10, 0); /* its centre off the board */
    scene_add_source(&job, 60, -1.5, 3, 2, 0);  /* all of it off the board */
    sf_field *field = scene_field(&job);
    size_t count;
    sf_field_sources(field, &count);
    assert_true(count >= 5);
    sf_field_free(field);
}

static void thin_plate_says_nothing_of_readings_that_all_agree(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    job.options.model = "thin-plate";
    scene_scatter(&job, 9, 0.4, 509);
    for (int turn = 0; turn < 3; turn++) {
        for (size_t i = 0; i < 9; i++)
            job.seen[i].rise_k = turn == 0 ? 0 : turn == 1 ? 17 : 10 + 0.1 * job.seen[i].x_mm;
        sf_field *field;
        sf_diagnostics heard = {0};
        assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
        size_t count;
        const sf_reading_fit *readings = sf_field_readings(field, &count);
        for (size_t i = 0; i < count; i++)
            assert_true(fabs(readings[i].score) < 3); /* nor is it no number */
        assert_int_equal(heard.warning_count, 0);
        sf_diagnostics_clear(&heard);
        sf_field_free(field);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(defaults_are_the_first_model_and_ten_thousand_cells),
        cmocka_unit_test(models_are_listed_with_a_description),
        cmocka_unit_test(options_out_of_range_are_refused),
        cmocka_unit_test(place_that_is_no_number_is_refused),
        cmocka_unit_test(place_off_the_board_answers_as_the_nearest_board),
        cmocka_unit_test(no_reading_is_an_error_with_a_complaint),
        cmocka_unit_test(outline_without_board_is_an_error_with_a_complaint),
        cmocka_unit_test(field_beyond_melting_copper_blames_no_blank_cell),
        cmocka_unit_test(thin_plate_refuses_three_readings_and_a_line_of_them),
        cmocka_unit_test(thin_plate_tells_nothing_of_heat),
        cmocka_unit_test(one_reading_alone_makes_a_field),
        cmocka_unit_test(one_reading_alone_without_sources_makes_a_field),
        cmocka_unit_test(readings_all_at_one_place_count_as_their_mean),
        cmocka_unit_test(board_as_cold_as_its_air_makes_a_field),
        cmocka_unit_test(readings_off_the_edge_count_at_the_nearest_board),
        cmocka_unit_test(long_reference_is_cut_to_fit),
        cmocka_unit_test(source_that_hangs_over_the_edge_makes_a_field),
        cmocka_unit_test(thin_plate_says_nothing_of_readings_that_all_agree),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
