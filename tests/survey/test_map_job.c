/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The line from a job to its outcome, as the commands call it. */
#include "support/check.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "cli/job_folder.h"
#include "spotfield/spotfield.h"
#include "support/allocations.h"

/* Linked with --wrap: the encoder of pictures takes its bytes by it. */
void *__real_malloc(size_t size);
void *__wrap_malloc(size_t size);

void *__wrap_malloc(size_t size)
{
    return allocation_fails() ? NULL : __real_malloc(size);
}

/* --- a job to map --- */

static sf_job *read_job(const char *folder)
{
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    if (sf_job_read(folder, &job, &diagnostics) != SF_OK)
        fail_msg("%s", diagnostics.count > 0 ? diagnostics.items[0].what : "no job");
    sf_diagnostics_clear(&diagnostics);
    return job;
}

/* The job of job_folder.c, which need not stay on the disk. */
static sf_job *usual_job(void)
{
    char folder[PATH_BYTES];
    lay_job(folder);
    sf_job *job = read_job(folder);
    remove_folder(folder);
    return job;
}

/* Small and coarse, where a test asks for many of them. */
static sf_map_options quick_options(void)
{
    sf_map_options options = sf_map_options_default();
    options.field.cell_mm = 7.5;
    return options;
}

static sf_picture_options small_picture(void)
{
    sf_picture_options options = sf_picture_options_default();
    options.width_px = 400;
    return options;
}

static sf_outcome *map(const sf_job *job, const sf_map_options *options)
{
    sf_outcome *outcome = NULL;
    sf_diagnostics diagnostics = {0};
    if (sf_map_job(job, options, &outcome, &diagnostics) != SF_OK)
        fail_msg("%s", diagnostics.count > 0 ? diagnostics.items[0].what : "no outcome");
    sf_diagnostics_clear(&diagnostics);
    return outcome;
}

/* --- tests --- */

static void the_board_in_service_is_its_rise_over_the_air_under_its_covers(void **state)
{
    (void)state;
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    job->policy.cover_rise_k = 4.7;
    sf_outcome *outcome = map(job, &options);
    sf_grid grid = sf_field_grid(outcome->field);
    size_t inside = 0;
    for (size_t i = 0; i < grid.columns * grid.rows; i++) {
        if (!grid.inside[i])
            continue;
        /* 31.5 C of job_folder.c */
        assert_close(outcome->temps_c[i], sf_field_rise_k(outcome->field)[i] + 31.5 + 4.7, 1e-12,
                     0);
        inside++;
    }
    assert_true(inside > 80);
    sf_outcome_free(outcome);
    sf_job_free(job);
}

static void
each_part_is_decided_on_the_rise_of_its_can_and_the_board_is_told_beside_it(void **state)
{
    (void)state;
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    sf_outcome *outcome = map(job, &options);
    for (size_t i = 0; i < job->part_count; i++) {
        sf_estimate board_k, can_k = sf_field_can(outcome->field, i);
        const sf_part_result *found = &outcome->results[i];
        assert_int_equal(
            sf_field_at(outcome->field, job->parts[i].x_mm, job->parts[i].y_mm, &board_k), SF_OK);
        assert_close(found->temp_c, can_k.value + 31.5, 1e-12, 0);
        assert_close(found->temp_sd_k, can_k.sd, 1e-12, 0);
        assert_close(found->board_c, board_k.value + 31.5, 1e-12, 0);
        assert_close(found->board_sd_k, board_k.sd, 1e-12, 0);
        assert_true(can_k.value > 0 && can_k.value < board_k.value);
    }
    assert_int_equal(outcome->kit->replaced + outcome->kit->checked + outcome->kit->left,
                     job->part_count);
    assert_int_equal(outcome->zones->part_count, job->part_count);
    sf_outcome_free(outcome);
    sf_job_free(job);
}

static void both_pictures_are_png(void **state)
{
    (void)state;
    /* W3C PNG specification, 5.2 */
    static const unsigned char signature[] = {137, 80, 78, 71, 13, 10, 26, 10};
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    sf_outcome *outcome = map(job, &options);
    sf_picture_options small = small_picture();
    sf_pictures pictures;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_outcome_draw(outcome, &small, &pictures, &diagnostics), SF_OK);
    assert_int_equal(diagnostics.count, 0);
    assert_true(pictures.heat_png_size > 1000 && pictures.doubt_png_size > 1000);
    assert_memory_equal(pictures.heat_png, signature, sizeof signature);
    assert_memory_equal(pictures.doubt_png, signature, sizeof signature);
    assert_int_equal(pictures.frame.width_px, 400);
    sf_pictures_clear(&pictures);
    sf_outcome_free(outcome);
    sf_job_free(job);
}

static void the_references_are_the_other_models(void **state)
{
    (void)state;
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    sf_outcome *usual = map(job, &options);
    const char *const names[] = {"heat-balance", "thin-plate", "kriging"};
    double usual_k = sf_field_summarize(usual->field).left_out_rmse_k;
    for (size_t used = 1; used < 3; used++) {
        options.field.model = names[used];
        sf_outcome *other = map(job, &options);
        assert_int_equal(usual->reference_count, 2);
        assert_int_equal(other->reference_count, 2);
        assert_string_equal(usual->references[used - 1].model, names[used]);
        assert_string_equal(other->references[0].model, "heat-balance");
        assert_string_equal(other->references[1].model, names[3 - used]);
        assert_close(other->references[0].rmse_k, usual_k, 1e-12, 0);
        assert_close(usual->references[used - 1].rmse_k,
                     sf_field_summarize(other->field).left_out_rmse_k, 1e-12, 0);
        sf_outcome_free(other);
    }
    sf_outcome_free(usual);
    sf_job_free(job);
}

static void a_reference_that_fails_is_not_known_and_not_complained_of(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method,spot\nk1,31,37.5,58.9,C,thermocouple-K,board\n");
    sf_job *job = read_job(folder);
    remove_folder(folder);
    sf_map_options options = quick_options();
    sf_outcome *outcome = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_map_job(job, &options, &outcome, &diagnostics), SF_OK);
    assert_int_equal(outcome->reference_count, 2);
    for (size_t i = 0; i < 2; i++)
        assert_true(isnan(outcome->references[i].rmse_k));
    assert_int_equal(diagnostics.error_count, 0);
    sf_diagnostics_clear(&diagnostics);
    sf_outcome_free(outcome);
    sf_job_free(job);
}

static void the_doubt_about_places_comes_from_the_policy(void **state)
{
    (void)state;
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    options.field.position_sd_mm = 77; /* not this */
    job->policy.position_sd_mm = 0;
    sf_outcome *sure = map(job, &options);
    job->policy.position_sd_mm = 6.5;
    sf_outcome *unsure = map(job, &options);
    options.field.position_sd_mm = 0;
    sf_outcome *again = map(job, &options);
    /* C12, 13 mm from a reading in the flank of U7 */
    assert_true(unsure->results[1].temp_sd_k > 1.02 * sure->results[1].temp_sd_k);
    assert_close(again->results[1].temp_sd_k, unsure->results[1].temp_sd_k, 0, 0);
    sf_outcome_free(sure);
    sf_outcome_free(unsure);
    sf_outcome_free(again);
    sf_job_free(job);
}

static void expect_failure(const sf_job *job, const sf_map_options *options, sf_status status,
                           const char *column)
{
    sf_outcome *outcome = (sf_outcome *)&outcome;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_map_job(job, options, &outcome, &diagnostics), status);
    assert_null(outcome);
    assert_true(diagnostics.error_count > 0);
    assert_string_equal(diagnostics.items[0].column, column);
    sf_diagnostics_clear(&diagnostics);
}

static void a_step_that_fails_says_so_and_gives_no_outcome(void **state)
{
    (void)state;
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    options.field.model = "guesswork";
    expect_failure(job, &options, SF_ERROR_ARGUMENT, "fitting the field");
    options = quick_options();
    job->readings[2].value = 99999;
    expect_failure(job, &options, SF_ERROR_DATA, "value");
    sf_job_free(job);
}

static void a_picture_that_cannot_be_drawn_is_told_and_is_none(void **state)
{
    (void)state;
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    sf_outcome *outcome = map(job, &options);
    sf_picture_options picture = {.width_px = 10};
    sf_pictures pictures;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_outcome_draw(outcome, &picture, &pictures, &diagnostics),
                     SF_ERROR_ARGUMENT);
    assert_null(pictures.heat_png);
    assert_null(pictures.doubt_png);
    assert_int_equal(diagnostics.error_count, 1);
    assert_string_equal(diagnostics.items[0].column, "drawing the pictures");
    sf_diagnostics_clear(&diagnostics);
    sf_outcome_free(outcome);
    sf_job_free(job);
}

static void note_step(const char *doing, void *context)
{
    char *noted = context;
    strcat(strcat(noted, doing), ";");
}

static void each_step_is_told_as_it_begins(void **state)
{
    (void)state;
    char noted[1024] = "";
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    options.on_step = note_step;
    options.on_step_context = noted;
    sf_outcome_free(map(job, &options));
    assert_string_equal(noted,
                        "correcting the readings;fitting the field;fitting the reference models;"
                        "deciding part by part;dividing the board into zones;"
                        "grouping the kit;answering what-ifs;");
    sf_job_free(job);
}

/* Ends as it should where an allocation fails: with an error that is told and no outcome, or, where
 * a reference model alone was hit, without its number. Answers how many were taken. */
static long expect_clean_end(const sf_job *job, const sf_map_options *options, long which)
{
    sf_outcome *outcome = NULL;
    sf_diagnostics diagnostics = {0};
    allocations_left = which;
    sf_picture_options picture = small_picture();
    sf_pictures pictures = {0};
    sf_status status = sf_map_job(job, options, &outcome, &diagnostics);
    bool mapped = status == SF_OK;
    if (mapped)
        status = sf_outcome_draw(outcome, &picture, &pictures, &diagnostics);
    long taken = which - allocations_left;
    allocations_left = -1;
    if (status != SF_OK && status != SF_ERROR_MEMORY)
        fail_msg("allocation %ld ends with: %s", which, sf_status_text(status));
    if (mapped != (outcome != NULL) || (status == SF_OK) != (pictures.heat_png != NULL))
        fail_msg("allocation %ld: status and outcome disagree", which);
    if (status == SF_ERROR_MEMORY && diagnostics.error_count == 0)
        fail_msg("allocation %ld is not told", which);
    sf_diagnostics_clear(&diagnostics);
    sf_pictures_clear(&pictures);
    sf_outcome_free(outcome);
    return taken;
}

static void whichever_allocation_fails_the_line_ends_cleanly(void **state)
{
    (void)state;
    enum { TRIED = 150 };
    sf_job *job = usual_job();
    sf_map_options options = quick_options();
    options.wishes = (sf_wishes){.air_k = -4, .fan = true, .grade_c = 105, .hours = 7500};
    long total = expect_clean_end(job, &options, LONG_MAX);
    assert_true(total > TRIED);
    /* an odd step meets every kind of place; all of them would take minutes */
    for (long which = 0; which < total; which += total / TRIED | 1)
        expect_clean_end(job, &options, which);
    sf_job_free(job);
}

/* What a comparison and its files are made of. */
typedef struct surveyed {
    sf_job *jobs[2];
    sf_outcome *outcomes[2];
    char folder[PATH_BYTES];
} surveyed;

static sf_status compare_and_write(const surveyed *of, sf_diagnostics *diagnostics)
{
    const sf_outcome *const *outcomes = (const sf_outcome *const *)of->outcomes;
    sf_survey before = {of->jobs[0], outcomes[0]->field, outcomes[0]->observations,
                        outcomes[0]->observation_count};
    sf_survey after = {of->jobs[1], outcomes[1]->field, outcomes[1]->observations,
                       outcomes[1]->observation_count};
    sf_comparison *found = NULL;
    sf_picture_options picture = small_picture();
    sf_status status = sf_surveys_compare(&before, &after, &found, diagnostics);
    if (status == SF_OK)
        status = sf_comparison_write(found, of->outcomes[0], of->outcomes[1], &picture, of->folder,
                                     diagnostics);
    sf_comparison_free(found);
    return status;
}

static void whichever_allocation_of_a_comparison_fails_it_ends_cleanly(void **state)
{
    (void)state;
    enum { TRIED = 60 };
    surveyed of;
    sf_map_options options = quick_options();
    for (int i = 0; i < 2; i++) {
        of.jobs[i] = usual_job();
        of.outcomes[i] = map(of.jobs[i], &options);
    }
    snprintf(of.folder, sizeof of.folder, "%s", fresh_folder());
    long total = TRIED;
    for (long which = -1; which < total; which += which < 0 ? 1 : total / TRIED | 1) {
        sf_diagnostics diagnostics = {0};
        allocations_left = which < 0 ? LONG_MAX : which;
        sf_status status = compare_and_write(&of, &diagnostics);
        if (which < 0)
            total = LONG_MAX - allocations_left;
        allocations_left = -1;
        if (status != SF_OK && (which < 0 || status == SF_ERROR_DATA))
            fail_msg("allocation %ld ends with: %s", which, sf_status_text(status));
        sf_diagnostics_clear(&diagnostics);
    }
    remove_folder(of.folder);
    for (int i = 0; i < 2; i++) {
        sf_outcome_free(of.outcomes[i]);
        sf_job_free(of.jobs[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_board_in_service_is_its_rise_over_the_air_under_its_covers),
        cmocka_unit_test(
            each_part_is_decided_on_the_rise_of_its_can_and_the_board_is_told_beside_it),
        cmocka_unit_test(both_pictures_are_png),
        cmocka_unit_test(the_references_are_the_other_models),
        cmocka_unit_test(a_reference_that_fails_is_not_known_and_not_complained_of),
        cmocka_unit_test(the_doubt_about_places_comes_from_the_policy),
        cmocka_unit_test(a_step_that_fails_says_so_and_gives_no_outcome),
        cmocka_unit_test(a_picture_that_cannot_be_drawn_is_told_and_is_none),
        cmocka_unit_test(each_step_is_told_as_it_begins),
        cmocka_unit_test(whichever_allocation_fails_the_line_ends_cleanly),
        cmocka_unit_test(whichever_allocation_of_a_comparison_fails_it_ends_cleanly),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("map job", tests, NULL, NULL);
}
