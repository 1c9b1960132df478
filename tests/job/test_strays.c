/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of a job folder that nobody reads, and the one that is asked for. */
#include "job_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static void nobody_told_of_mains_and_is_asked(void **state)
{
    (void)state;
    assert_warned("keepout.csv", NULL,
                  "keepout.csv: warning: where are mains and high voltage? The file is missing, "
                  "expected each such area as a ring in this file, or its header line alone if "
                  "there are none\n");
}

/* The flag is what the page and the report are told by. */
static void a_header_alone_says_that_there_is_no_such_area(void **state)
{
    (void)state;
    sf_job *job = read_sound("keepout.csv", "ring,x_mm,y_mm,reason\n");
    assert_true(job->keepout_told);
    assert_int_equal(job->keepout_count, 0);
    sf_job_free(job);
    job = NULL;
    sf_diagnostics diagnostics = {0};
    const char *folder = fresh_folder();
    char path[512];
    write_sound_job(folder);
    snprintf(path, sizeof path, "%s/keepout.csv", folder);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    remove_folder(folder);
    assert_false(job->keepout_told);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
}

static void a_misspelt_file_is_told_with_the_name_that_was_meant(void **state)
{
    (void)state;
    static const struct {
        const char *name, *meant;
    } strays[] = {
        {"keep-out.csv", "keepout.csv"},
        {"Sources.CSV", "sources.csv"},
        {"part.csv", "parts.csv"},
        {"history.csv.csv", "history.csv"},
        {"photo_marks.csv", "photo-marks.csv"},
        {"readings (1).csv", "readings.csv"},
    };
    for (size_t i = 0; i < sizeof strays / sizeof *strays; i++) {
        char expected[256];
        snprintf(expected, sizeof expected,
                 "%s: warning: this file is not read, since no job file has this name; did "
                 "you mean %s?\n",
                 strays[i].name, strays[i].meant);
        assert_warned(strays[i].name, "anything\n", expected);
    }
}

static void what_belongs_beside_a_job_is_not_told(void **state)
{
    (void)state;
    static const char *const names[] = {
        "photo-marks.csv", "README", "notes.txt",     "photo.jpg", ".hidden.csv",
        "parts.csv.bak",   "csv",    "parts.csv.xls", ".csv"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        sf_job_free(read_sound(names[i], "anything\n"));
}

/* As on a memory stick, where letter case does not count: the file is read, under another name. */
static void another_name_of_a_file_that_is_read_is_not_told(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    char one[512], other[512];
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    write_sound_job(folder);
    snprintf(one, sizeof one, "%s/parts.csv", folder);
    snprintf(other, sizeof other, "%s/PARTS.CSV", folder);
    assert_int_equal(link(one, other), 0);
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    remove_folder(folder);
    assert_int_equal(diagnostics.count, 0);
    sf_job_free(job);
}

static void strays_are_told_in_the_order_of_their_names(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    write_sound_job(folder);
    write_file(folder, "parts3.csv", "");
    write_file(folder, "parts1.csv", "");
    write_file(folder, "parts2.csv", "");
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    remove_folder(folder);
    assert_int_equal(diagnostics.count, 3);
    assert_string_equal(diagnostics.items[0].file, "parts1.csv");
    assert_string_equal(diagnostics.items[1].file, "parts2.csv");
    assert_string_equal(diagnostics.items[2].file, "parts3.csv");
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nobody_told_of_mains_and_is_asked),
        cmocka_unit_test(a_header_alone_says_that_there_is_no_such_area),
        cmocka_unit_test(a_misspelt_file_is_told_with_the_name_that_was_meant),
        cmocka_unit_test(what_belongs_beside_a_job_is_not_told),
        cmocka_unit_test(another_name_of_a_file_that_is_read_is_not_told),
        cmocka_unit_test(strays_are_told_in_the_order_of_their_names),
    };
    return cmocka_run_group_tests_name("strays", tests, NULL, NULL);
}
