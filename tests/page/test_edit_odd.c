/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Edits that only another program than the page's own script would ask for, and files that other
 * programs left in a bad state: what is answered, and that nothing is lost. */
#include "support/check.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "fixture.h"
#include "page/job_files.h"
#include "spotfield/job.h"

/* An edit of parts.csv of which the rest of the operation is told. */
static sf_status edit_parts(session *of, const char *rest)
{
    char words[1024];
    snprintf(words, sizeof words, "{\"ops\": [{\"file\": \"parts.csv\", %s}]}", rest);
    return fixture_edit(of, words);
}

static void a_row_is_found_by_what_it_holds_where_its_number_is_none(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(edit_parts(of,
                                "\"op\": \"set\", \"row\": \"0\", \"expect\": {\"ref\": \"C9\"},"
                                "\"set\": {\"x_mm\": \"18.75\"}"),
                     SF_OK);
    assert_file("parts.csv", moved_parts);
    fixture_close(of);
}

static void a_row_that_is_nowhere_or_not_told_of_is_not_changed(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(edit_parts(of, "\"op\": \"set\", \"row\": 99, \"set\": {\"x_mm\": \"1.5\"}"),
                     SF_ERROR_DATA);
    assert_int_equal(edit_parts(of, "\"op\": \"delete\", \"row\": 0, \"expect\": {\"ref\": 7}"),
                     SF_ERROR_DATA);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

static void a_column_that_is_not_there_counts_as_blank(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(edit_parts(of, "\"op\": \"delete\", \"row\": 0,"
                                    "\"expect\": {\"ref\": \"C7\", \"year\": \"1987\"}"),
                     SF_ERROR_DATA);
    assert_file("parts.csv", fixture_parts);
    assert_int_equal(edit_parts(of, "\"op\": \"delete\", \"row\": 0,"
                                    "\"expect\": {\"ref\": \"C7\", \"year\": \"\"}"),
                     SF_OK);
    assert_file("parts.csv", "# invented\nref;x_mm;y_mm;shelf\nC9;17,25;44,5;right\n");
    fixture_close(of);
}

static void a_row_cannot_be_cleared_to_nothing(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(edit_parts(of, "\"op\": \"set\", \"row\": 0, \"expect\": {\"ref\": \"C7\"},"
                                    "\"set\": {\"ref\": \"\", \"x_mm\": \"\", \"y_mm\": \" \","
                                    "\"shelf\": \"\"}"),
                     SF_ERROR_ARGUMENT);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

static void a_row_is_put_before_the_one_that_is_named_else_last(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(edit_parts(of, "\"op\": \"insert\", \"row\": 1, \"set\": {\"ref\": \"C21\"}"),
                     SF_OK);
    assert_int_equal(edit_parts(of, "\"op\": \"insert\", \"row\": 50, \"set\": {\"ref\": \"C23\"}"),
                     SF_OK);
    assert_int_equal(
        edit_parts(of, "\"op\": \"insert\", \"row\": \"0\", \"set\": {\"ref\": \"C25\"}"), SF_OK);
    assert_file("parts.csv", "# invented\nref;x_mm;y_mm;shelf\nC7;12,5;31;left\nC21\n"
                             "C9;17,25;44,5;right\nC23\nC25\n");
    fixture_close(of);
}

static void a_row_that_sets_not_its_first_column_leaves_it_blank(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(edit_parts(of, "\"op\": \"insert\", \"set\": {\"x_mm\": \"3.5\"}"), SF_OK);
    assert_file("parts.csv", "# invented\nref;x_mm;y_mm;shelf\nC7;12,5;31;left\n"
                             "C9;17,25;44,5;right\n;3,5\n");
    fixture_close(of);
}

static void names_and_words_that_no_file_may_hold_are_refused(void **state)
{
    (void)state;
    session *of = fixture_open();
    static const char *const refused[] = {
        "\"op\": \"insert\", \"set\": {\"\": \"C1\"}",
        "\"op\": \"insert\", \"set\": {\"ref\": \"C1\\u007f\"}",
        "\"op\": \"turn\", \"row\": 0",
        "\"op\": 7, \"row\": 0",
        "\"row\": 0",
    };
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        assert_int_equal(edit_parts(of, refused[i]), SF_ERROR_ARGUMENT);
    assert_int_equal(fixture_edit(of, "{\"ops\": [{\"op\": \"delete\", \"row\": 0}]}"),
                     SF_ERROR_ARGUMENT);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

static void a_cell_too_long_for_a_job_is_refused(void **state)
{
    (void)state;
    session *of = fixture_open();
    char cell[SF_FIELD_BYTES_MAX / 2 + 2] = "", words[sizeof cell + 256];
    memset(cell, 'C', sizeof cell - 1);
    snprintf(
        words, sizeof words,
        "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"set\": {\"ref\": \"%s\"}}]}",
        cell);
    assert_int_equal(fixture_edit(of, words), SF_ERROR_ARGUMENT);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

static void a_column_more_than_a_job_may_have_is_refused(void **state)
{
    (void)state;
    session *of = fixture_open();
    char wide[2 * SF_COLUMNS_MAX + 8] = "ref";
    for (size_t column = 1; column < SF_COLUMNS_MAX; column++)
        strcat(wide, ";a");
    strcat(wide, "\nC7\n");
    write_file(fixture_folder, "parts.csv", wide);
    assert_int_equal(edit_parts(of, "\"op\": \"insert\", \"set\": {\"duty\": \"0.5\"}"),
                     SF_ERROR_ARGUMENT);
    assert_file("parts.csv", wide);
    fixture_close(of);
}

static void nothing_asked_is_nothing_written(void **state)
{
    (void)state;
    session *of = fixture_open();
    struct stat before, after;
    write_file(fixture_folder, "board.csv", "key,value\n");
    write_file(fixture_folder, "readings.csv", "id\n");
    const char *path = fixture_path("parts.csv");
    assert_int_equal(stat(path, &before), 0);
    assert_int_equal(fixture_edit(of, "{\"ops\": []}"), SF_OK);
    assert_int_equal(stat(path, &after), 0);
    assert_int_equal(before.st_ino, after.st_ino); /* a file that is written is a new one */
    assert_string_equal(fixture_next(of, BACK), "");
    fixture_close(of);
}

static void a_file_that_is_no_table_is_left_and_the_others_can_be_edited(void **state)
{
    (void)state;
    session *of = fixture_open();
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL;
    write_file(fixture_folder, "readings.csv", "id,note\nr3,\"never shut\n");
    json_t *edit = json_loads("{\"ops\": [{\"file\": \"readings.csv\", \"op\": \"delete\","
                              "\"row\": 0, \"expect\": {\"id\": \"r3\"}}]}",
                              0, NULL);
    assert_int_equal(session_edit(of, edit, &conflict, &diagnostics), SF_ERROR_DATA);
    assert_string_equal(json_string_value(json_object_get(conflict, "file")), "readings.csv");
    assert_string_equal(json_string_value(json_object_get(conflict, "why")),
                        "it is not a table of this job, and is left as it is");
    assert_int_equal(json_integer_value(json_object_get(conflict, "row")), 0);
    json_decref(conflict);
    json_decref(edit);
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_file("parts.csv", moved_parts);
    assert_file("readings.csv", "id,note\nr3,\"never shut\n");
    fixture_close(of);
}

static void an_empty_file_is_no_table_and_is_left(void **state)
{
    (void)state;
    session *of = fixture_open();
    write_file(fixture_folder, "parts.csv", "");
    assert_int_equal(edit_parts(of, "\"op\": \"insert\", \"set\": {\"ref\": \"C7\"}"),
                     SF_ERROR_DATA);
    assert_file("parts.csv", "");
    fixture_close(of);
}

/* A table all the same, but with none of the columns that such a file has. */
static void a_table_of_something_else_is_left(void **state)
{
    (void)state;
    static const char shelf[] = "shelf;box\nleft;7\n";
    session *of = fixture_open();
    for (size_t file = 0; file < JOB_FILES; file++) {
        char edit[256];
        snprintf(edit, sizeof edit,
                 "{\"ops\": [{\"file\": \"%s\", \"op\": \"insert\", \"set\": {\"note\": \"17\"}}]}",
                 job_files[file].name);
        write_file(fixture_folder, job_files[file].name, shelf);
        assert_int_equal(fixture_edit(of, edit), SF_ERROR_DATA);
        assert_file(job_files[file].name, shelf);
    }
    fixture_close(of);
}

/* Linux: the first page of a process is mapped nowhere, so that reading there fails (proc(5)). */
static void a_file_whose_reading_fails_cannot_be_edited(void **state)
{
    (void)state;
    session *of = fixture_open();
    char target[64] = "";
    const char *path = fixture_path("parts.csv");
    assert_int_equal(unlink(path), 0);
    assert_int_equal(symlink("/proc/self/mem", path), 0);
    assert_int_equal(edit_parts(of, "\"op\": \"insert\", \"set\": {\"ref\": \"C7\"}"),
                     SF_ERROR_DATA);
    assert_int_equal(readlink(path, target, sizeof target - 1), strlen("/proc/self/mem"));
    assert_string_equal(target, "/proc/self/mem");
    fixture_close(of);
}

static void a_full_disk_changes_nothing_and_is_told(void **state)
{
    (void)state;
    session *of = fixture_open();
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL, *edit = json_loads(move_c9, 0, NULL);
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    void (*was)(int) = signal(SIGXFSZ, SIG_IGN);
    struct rlimit tight = {7, before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
    sf_status status = session_edit(of, edit, &conflict, &diagnostics);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, was);
    assert_int_equal(status, SF_ERROR_WRITE);
    assert_int_equal(diagnostics.error_count, 1);
    assert_null(conflict);
    assert_file("parts.csv", fixture_parts);
    assert_string_equal(fixture_next(of, BACK), "");
    sf_diagnostics_clear(&diagnostics);
    json_decref(edit);
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    fixture_close(of);
}

static void what_another_program_wrote_meanwhile_is_noticed(void **state)
{
    (void)state;
    session *of = fixture_open();
    static const char *const theirs[] = {
        "# invented\nref;x_mm;y_mm;shelf\nC7;12,5;31;left\nC9;17,25;44,5;RIGHT\n", "ref\n", ""};
    batch read = {.folder = fixture_folder};
    size_t file = job_file_find("parts.csv");
    assert_int_equal(batch_touch(&read, file), SF_OK);
    read.files[file].changed = true;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(batch_write(&read, NULL, &diagnostics), SF_OK);
    for (size_t i = 0; i < sizeof theirs / sizeof *theirs; i++) {
        write_file(fixture_folder, "parts.csv", theirs[i]);
        assert_int_equal(batch_write(&read, NULL, &diagnostics), SF_ERROR_DATA);
        assert_file("parts.csv", theirs[i]);
    }
    assert_int_equal(diagnostics.count, 0);
    assert_int_equal(unlink(fixture_path("parts.csv")), 0);
    assert_int_equal(batch_write(&read, NULL, &diagnostics), SF_ERROR_DATA);
    batch_forget(&read);
    fixture_close(of);
}

/* 4194305 is one above the largest process number of Linux (proc(5), pid_max); 1 lives always. */
static void a_name_that_no_killed_program_left_is_kept(void **state)
{
    (void)state;
    session *of = fixture_open();
    char own[64];
    snprintf(own, sizeof own, ".parts.csv.%ld-0.new", (long)getpid());
    const char *const kept[] = {own,
                                ".parts.csv.1-0.new",
                                ".parts.csv.0-0.new",
                                ".parts.csv.-7-0.new",
                                ".parts.csv.4194305-0",
                                ".parts.csv.4194305-0.newer",
                                ".parts.csv.4194305-0.new.old.csv",
                                "xparts.csv.4194305-0.new"};
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        write_file(fixture_folder, kept[i], "another's");
    write_file(fixture_folder, ".photo.jpg.4194305-7.new", "half");
    leftovers_clear(fixture_folder);
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        assert_file(kept[i], "another's");
    const char *path = fixture_path(".photo.jpg.4194305-7.new");
    assert_int_not_equal(access(path, F_OK), 0);
    path = fixture_path("photo.jpg"); /* half of one is none */
    assert_int_not_equal(access(path, F_OK), 0);
    fixture_close(of);
}

static void a_folder_that_is_gone_has_the_stamp_of_an_empty_one(void **state)
{
    (void)state;
    session *of = fixture_open();
    uint64_t with_parts = job_files_stamp(fixture_folder);
    const char *path = fixture_path("parts.csv");
    assert_int_equal(unlink(path), 0);
    uint64_t empty = job_files_stamp(fixture_folder);
    assert_true(with_parts != empty);
    assert_int_equal(rmdir(fixture_folder), 0);
    assert_true(job_files_stamp(fixture_folder) == empty);
    leftovers_clear(fixture_folder); /* nothing to tidy, nothing made */
    assert_int_not_equal(access(fixture_folder, F_OK), 0);
    assert_int_equal(edit_parts(of, "\"op\": \"insert\", \"set\": {\"ref\": \"C7\"}"), SF_OK);
    assert_true(job_files_stamp(fixture_folder) != empty); /* the change has made it anew */
    fixture_close(of);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_is_found_by_what_it_holds_where_its_number_is_none),
        cmocka_unit_test(a_row_that_is_nowhere_or_not_told_of_is_not_changed),
        cmocka_unit_test(a_column_that_is_not_there_counts_as_blank),
        cmocka_unit_test(a_row_cannot_be_cleared_to_nothing),
        cmocka_unit_test(a_row_is_put_before_the_one_that_is_named_else_last),
        cmocka_unit_test(a_row_that_sets_not_its_first_column_leaves_it_blank),
        cmocka_unit_test(names_and_words_that_no_file_may_hold_are_refused),
        cmocka_unit_test(a_cell_too_long_for_a_job_is_refused),
        cmocka_unit_test(a_column_more_than_a_job_may_have_is_refused),
        cmocka_unit_test(nothing_asked_is_nothing_written),
        cmocka_unit_test(a_file_that_is_no_table_is_left_and_the_others_can_be_edited),
        cmocka_unit_test(an_empty_file_is_no_table_and_is_left),
        cmocka_unit_test(a_table_of_something_else_is_left),
        cmocka_unit_test(a_file_whose_reading_fails_cannot_be_edited),
        cmocka_unit_test(a_full_disk_changes_nothing_and_is_told),
        cmocka_unit_test(what_another_program_wrote_meanwhile_is_noticed),
        cmocka_unit_test(a_name_that_no_killed_program_left_is_kept),
        cmocka_unit_test(a_folder_that_is_gone_has_the_stamp_of_an_empty_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
