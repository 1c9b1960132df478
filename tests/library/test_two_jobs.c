/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two jobs at once in two threads: the library keeps nothing between calls, so each job comes out
 * as it does alone, byte by byte. */
#include "support/check.h"

#include <dirent.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "spotfield/spotfield.h"

enum { JOBS = 4, PATH_BYTES = 1024, RESULTS_LEAST = 5 };

/* What a thread does: a survey is read and mapped, or two are compared, or a plan is made. */
typedef struct task {
    const char *job;   /* of the samples */
    const char *other; /* compared with it; NULL: it is mapped */
    bool plans;
    char out[PATH_BYTES];
    sf_status status;
} task;

static const task wanted[JOBS] = {
    {.job = "samples/infrared-history"},
    {.job = "samples/thermogram"},
    {.job = "samples/minimal", .plans = true},
    {.job = "samples/decimal-comma", .other = "samples/decimal-comma"},
};

static char root[PATH_BYTES / 2];

/* Not source_path of the tests' support, which answers in a static buffer. */
static sf_status read_and_map(const char *name, sf_job **job, sf_outcome **outcome)
{
    char folder[PATH_BYTES];
    sf_diagnostics diagnostics = {0};
    sf_map_options options = sf_map_options_default();
    snprintf(folder, sizeof folder, "%s/%s", SOURCE_ROOT, name);
    sf_status status = sf_job_read(folder, job, &diagnostics);
    if (status == SF_OK)
        status = sf_map_job(*job, &options, outcome, &diagnostics);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

static sf_status write_plan(const task *of, const sf_job *job, const sf_outcome *outcome)
{
    sf_diagnostics diagnostics = {0};
    sf_plan_options options = sf_plan_options_default();
    sf_picture_options picture = sf_picture_options_default();
    sf_plan *plan = NULL;
    picture.width_px = 400;
    sf_status status = sf_plan_make(job, outcome->observations, outcome->observation_count,
                                    &options, &plan, &diagnostics);
    if (status == SF_OK)
        status = sf_plan_write(plan, job, outcome->observations, outcome->observation_count,
                               &picture, of->out, &diagnostics);
    sf_plan_free(plan);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

static sf_status write_comparison(const task *of, const sf_job *job, const sf_outcome *outcome)
{
    sf_diagnostics diagnostics = {0};
    sf_job *later = NULL;
    sf_outcome *after = NULL;
    sf_comparison *found = NULL;
    sf_picture_options picture = sf_picture_options_default();
    picture.width_px = 400;
    sf_status status = read_and_map(of->other, &later, &after);
    if (status == SF_OK) {
        sf_survey surveys[2] = {
            {job, outcome->field, outcome->observations, outcome->observation_count},
            {later, after->field, after->observations, after->observation_count}};
        status = sf_surveys_compare(&surveys[0], &surveys[1], &found, &diagnostics);
    }
    if (status == SF_OK)
        status = sf_comparison_write(found, outcome, after, &picture, of->out, &diagnostics);
    sf_comparison_free(found);
    sf_outcome_free(after);
    sf_job_free(later);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

static sf_status write_results(const task *of, const sf_job *job, const sf_outcome *outcome)
{
    sf_diagnostics diagnostics = {0};
    if (of->plans)
        return write_plan(of, job, outcome);
    if (of->other)
        return write_comparison(of, job, outcome);
    sf_picture_options picture = sf_picture_options_default();
    sf_pictures pictures;
    picture.width_px = 400;
    sf_status status = sf_outcome_draw(outcome, &picture, &pictures, &diagnostics);
    if (status == SF_OK)
        status = sf_outcome_write(outcome, &pictures, of->out, &diagnostics);
    sf_pictures_clear(&pictures);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

static void *run_task(void *given)
{
    task *of = given;
    sf_job *job = NULL;
    sf_outcome *outcome = NULL;
    of->status = read_and_map(of->job, &job, &outcome);
    if (of->status == SF_OK)
        of->status = write_results(of, job, outcome);
    sf_outcome_free(outcome);
    sf_job_free(job);
    return NULL;
}

static task make_task(size_t which, const char *prefix, size_t number)
{
    task made = wanted[which];
    snprintf(made.out, sizeof made.out, "%s/%s-%zu", root, prefix, number);
    return made;
}

/* All of a file; *size tells its bytes. */
static char *bytes_of(const char *folder, const char *name, size_t *size)
{
    char path[2 * PATH_BYTES];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s is missing", path);
    assert_int_equal(fseek(file, 0, SEEK_END), 0);
    *size = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*size + 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, *size, file), *size);
    fclose(file);
    return bytes;
}

/* Answers how many files were compared. */
static size_t assert_same_results(const task *alone, const task *beside)
{
    size_t count = 0;
    DIR *listing = opendir(alone->out);
    assert_non_null(listing);
    for (struct dirent *entry; (entry = readdir(listing));) {
        size_t sizes[2];
        if (entry->d_name[0] == '.')
            continue;
        char *of_alone = bytes_of(alone->out, entry->d_name, &sizes[0]);
        char *of_beside = bytes_of(beside->out, entry->d_name, &sizes[1]);
        if (sizes[0] != sizes[1] || memcmp(of_alone, of_beside, sizes[0]) != 0)
            fail_msg("%s of %s differs", entry->d_name, alone->job);
        free(of_alone);
        free(of_beside);
        count++;
    }
    closedir(listing);
    return count;
}

static void run_at_once(task *first, task *second)
{
    pthread_t threads[2];
    assert_int_equal(pthread_create(&threads[0], NULL, run_task, first), 0);
    assert_int_equal(pthread_create(&threads[1], NULL, run_task, second), 0);
    for (int i = 0; i < 2; i++)
        assert_int_equal(pthread_join(threads[i], NULL), 0);
    assert_int_equal(first->status, SF_OK);
    assert_int_equal(second->status, SF_OK);
}

/* Every pair, the same job twice among them. */
static void two_jobs_at_once_come_out_as_each_does_alone(void **state)
{
    (void)state;
    task alone[JOBS];
    size_t compared = 0, pairs = 0;
    for (size_t i = 0; i < JOBS; i++) {
        alone[i] = make_task(i, "alone", i);
        run_task(&alone[i]);
        assert_int_equal(alone[i].status, SF_OK);
    }
    for (size_t i = 0; i < JOBS; i++)
        for (size_t j = i; j < JOBS; j++, pairs++) {
            task first = make_task(i, "first", pairs), second = make_task(j, "second", pairs);
            run_at_once(&first, &second);
            compared += assert_same_results(&alone[i], &first);
            compared += assert_same_results(&alone[j], &second);
        }
    assert_true(compared > pairs * RESULTS_LEAST);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_jobs_at_once_come_out_as_each_does_alone),
    };
    gsl_set_error_handler_off();
    snprintf(root, sizeof root, "%s", fresh_folder());
    int failed = cmocka_run_group_tests_name("two jobs", tests, NULL, NULL);
    remove_folder(root);
    return failed;
}
