/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The starter job: sound as it is laid down, and never over a file that is there. */
#include "job_folder.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static const char *const starter_files[] = {"board.csv",    "outline.csv", "sources.csv",
                                            "readings.csv", "parts.csv",   "keepout.csv",
                                            "controls.csv", "history.csv", "policy.csv"};

enum { STARTER_FILES = sizeof starter_files / sizeof starter_files[0] };

static bool is_there(const char *folder, const char *file)
{
    char path[512];
    struct stat about;
    snprintf(path, sizeof path, "%s/%s", folder, file);
    return stat(path, &about) == 0;
}

/* A folder that does not exist yet, inside a fresh one. */
static void new_folder(char parent[256], char folder[300])
{
    snprintf(parent, 256, "%s", fresh_folder());
    snprintf(folder, 300, "%s/desk", parent);
}

static void the_starter_job_reads_without_a_complaint(void **state)
{
    (void)state;
    char parent[256], folder[300];
    new_folder(parent, folder);
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_start(folder, &diagnostics), SF_OK);
    for (int i = 0; i < STARTER_FILES; i++)
        assert_true(is_there(folder, starter_files[i]));
    sf_job *job = NULL;
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, "");
    assert_int_equal(job->source_count, 3);
    for (size_t i = 0; i < job->source_count; i++)
        assert_int_not_equal(job->sources[i].mount, SF_MOUNT_UNKNOWN);
    assert_int_equal(job->reading_count, 8);
    assert_int_equal(job->part_count, 10);
    assert_int_equal(job->keepout_count, 1);
    assert_int_equal(job->control_count, 3);
    assert_int_equal(job->period_count, 0);
    assert_int_equal(job->ring_count, 2);
    assert_int_equal(job->assumption_count, 0);
    free(lines);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(parent);
}

/* Takes the comment mark off every line that begins "#x" without a blank, as the file says. */
static void uncomment(const char *folder, const char *file)
{
    char path[512], content[8192], live[8192] = "";
    snprintf(path, sizeof path, "%s/%s", folder, file);
    FILE *stream = fopen(path, "rb");
    assert_non_null(stream);
    size_t length = fread(content, 1, sizeof content - 1, stream);
    assert_int_equal(fclose(stream), 0);
    content[length] = '\0';
    for (char *line = strtok(content, "\n"); line; line = strtok(NULL, "\n"))
        sprintf(live + strlen(live), "%s\n", line[0] == '#' && line[1] != ' ' ? line + 1 : line);
    write_file(folder, file, live);
}

static void the_commented_policy_of_the_starter_holds_the_defaults(void **state)
{
    (void)state;
    char parent[256], folder[300];
    new_folder(parent, folder);
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_start(folder, &diagnostics), SF_OK);
    uncomment(folder, "policy.csv");
    sf_job *job = NULL;
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    sf_policy defaults = sf_policy_default();
    assert_int_equal(diagnostics.count, 0);
    assert_memory_equal(&job->policy, &defaults, sizeof defaults);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(parent);
}

static void no_reading_of_the_starter_is_colder_than_its_air(void **state)
{
    (void)state;
    char parent[256], folder[300];
    new_folder(parent, folder);
    sf_diagnostics diagnostics = {0};
    sf_job *job = NULL;
    assert_int_equal(sf_job_start(folder, &diagnostics), SF_OK);
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    for (size_t i = 0; i < job->reading_count; i++)
        assert_true(job->readings[i].value > job->board.ambient_c);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(parent);
}

static void a_name_that_is_taken_stops_the_starter_and_is_left_alone(void **state)
{
    (void)state;
    char folder[256], path[512], content[64] = "";
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_file(folder, "keepout.csv", "mine");
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_start(folder, &diagnostics), SF_ERROR_WRITE);
    char *lines = diagnostic_lines(&diagnostics);
    char expected[512];
    snprintf(expected, sizeof expected,
             "%s/keepout.csv: the file is already there and is left alone, expected a folder "
             "without it\n",
             folder);
    assert_string_equal(lines, expected);
    free(lines);
    assert_false(is_there(folder, "board.csv"));
    snprintf(path, sizeof path, "%s/keepout.csv", folder);
    FILE *stream = fopen(path, "rb");
    assert_non_null(stream);
    assert_int_equal(fread(content, 1, sizeof content, stream), 4);
    assert_int_equal(fclose(stream), 0);
    assert_string_equal(content, "mine");
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

static void a_dangling_link_counts_as_taken(void **state)
{
    (void)state;
    char folder[256], path[512];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    snprintf(path, sizeof path, "%s/board.csv", folder);
    assert_int_equal(symlink("nowhere", path), 0);
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_start(folder, &diagnostics), SF_ERROR_WRITE);
    assert_int_equal(diagnostics.error_count, 1);
    assert_false(is_there(folder, "nowhere"));
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

static void a_write_that_fails_takes_every_file_back(void **state)
{
    (void)state;
    char parent[256], folder[300], expected[512];
    new_folder(parent, folder);
    /* a file may have 1,100 bytes: the board fits, the readings do not */
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    struct rlimit small = {1100, before.rlim_max};
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    sf_diagnostics diagnostics = {0};
    sf_status status = sf_job_start(folder, &diagnostics);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_int_equal(status, SF_ERROR_WRITE);
    char *lines = diagnostic_lines(&diagnostics);
    snprintf(expected, sizeof expected, "%s/readings.csv: cannot be written: File too large\n",
             folder);
    assert_string_equal(lines, expected);
    free(lines);
    assert_false(is_there(parent, "desk"));
    sf_diagnostics_clear(&diagnostics);
    remove_folder(parent);
}

static void a_folder_that_cannot_be_made_is_told(void **state)
{
    (void)state;
    char parent[256], folder[300], expected[512];
    new_folder(parent, folder);
    write_file(parent, "desk", "a file");
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_start(folder, &diagnostics), SF_ERROR_WRITE);
    char *lines = diagnostic_lines(&diagnostics);
    snprintf(expected, sizeof expected, "%s: the folder cannot be made: Not a directory\n", folder);
    assert_string_equal(lines, expected);
    free(lines);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(parent);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_starter_job_reads_without_a_complaint),
        cmocka_unit_test(the_commented_policy_of_the_starter_holds_the_defaults),
        cmocka_unit_test(no_reading_of_the_starter_is_colder_than_its_air),
        cmocka_unit_test(a_name_that_is_taken_stops_the_starter_and_is_left_alone),
        cmocka_unit_test(a_dangling_link_counts_as_taken),
        cmocka_unit_test(a_write_that_fails_takes_every_file_back),
        cmocka_unit_test(a_folder_that_cannot_be_made_is_told),
    };
    return cmocka_run_group_tests_name("job starter", tests, NULL, NULL);
}
