/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Changes of a job's files with undo and redo, beside other programs that change them too; cells
   that are refused. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "fixture.h"
#include "page/job_files.h"

static void a_change_keeps_comments_separators_and_unknown_columns(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_file("parts.csv", moved_parts);
    fixture_close(of);
}

static void undo_gives_every_byte_back_and_redo_takes_it_again(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_string_equal(fixture_next(of, BACK), "move C9");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    assert_int_equal(fixture_step(of, AGAIN), SF_OK);
    assert_file("parts.csv", moved_parts);
    fixture_close(of);
}

static void a_removed_row_comes_back_to_its_place_as_it_stood(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(
        fixture_edit(of, "{\"label\": \"remove C7\", \"ops\": [{\"file\": \"parts.csv\","
                         "\"op\": \"delete\", \"row\": 0, \"expect\": {\"ref\": \"C7\"}}]}"),
        SF_OK);
    assert_file("parts.csv", "# invented\nref;x_mm;y_mm;shelf\nC9;17,25;44,5;right\n");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

static void rows_that_were_added_are_taken_away_by_undo_one_edit_at_a_time(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(
        fixture_edit(
            of, "{\"label\": \"paste\", \"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\","
                "\"set\": {\"ref\": \"C11\", \"x_mm\": \"3.5\"}}, {\"file\": \"parts.csv\","
                "\"op\": \"insert\", \"set\": {\"y_mm\": \"6.5\", \"ref\": \"C13\"}}]}"),
        SF_OK);
    assert_file("parts.csv", "# invented\nref;x_mm;y_mm;shelf\nC7;12,5;31;left\n"
                             "C9;17,25;44,5;right\nC11;3,5\nC13;;6,5\n");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    assert_int_equal(fixture_step(of, BACK), SF_ERROR_ARGUMENT);
    fixture_close(of);
}

static void rows_that_another_program_added_are_kept(void **state)
{
    (void)state;
    session *of = fixture_open();
    write_file(fixture_folder, "parts.csv",
               "# invented\nref;x_mm;y_mm;shelf\nC5;1,5;2,5;new\nC7;12,5;31;left\n"
               "C9;17,25;44,5;right\n");
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_file("parts.csv", "# invented\nref;x_mm;y_mm;shelf\nC5;1,5;2,5;new\nC7;12,5;31;left\n"
                             "C9;18,75;44,5;right\n");
    fixture_close(of);
}

static void a_cell_that_another_program_changed_is_not_overwritten(void **state)
{
    (void)state;
    session *of = fixture_open();
    const char *theirs = "ref;x_mm;y_mm;shelf\nC7;12,5;31;left\nC9;99,5;44,5;right\n";
    write_file(fixture_folder, "parts.csv", theirs);
    assert_int_equal(fixture_edit(of, move_c9), SF_ERROR_DATA);
    assert_file("parts.csv", theirs);
    fixture_close(of);
}

static void an_undo_that_no_longer_fits_leaves_the_file_alone(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    const char *theirs = "ref;x_mm;y_mm;shelf\nC9;71,5;44,5;right\n";
    write_file(fixture_folder, "parts.csv", theirs);
    assert_int_equal(fixture_step(of, BACK), SF_ERROR_DATA);
    assert_file("parts.csv", theirs);
    fixture_close(of);
}

static void of_several_changes_none_is_made_when_one_cannot_be(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(
        fixture_edit(of,
                     "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"set\": {\"ref\":"
                     "\"C11\"}}, {\"file\": \"parts.csv\", \"op\": \"delete\", \"row\": 7,"
                     "\"expect\": {\"ref\": \"C77\"}}]}"),
        SF_ERROR_DATA);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

static void a_new_job_gets_the_files_that_it_needs(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(
        fixture_edit(of, "{\"ops\": [{\"file\": \"board.csv\", \"op\": \"insert\", \"set\":"
                         "{\"key\": \"width\", \"value\": \"125\", \"unit\": \"mm\"}}]}"),
        SF_OK);
    assert_file("board.csv", "key,value,unit\nwidth,125,mm\n");
    assert_file("parts.csv", fixture_parts);
    char path[512];
    snprintf(path, sizeof path, "%s/readings.csv", fixture_folder);
    assert_int_equal(access(path, R_OK), 0);
    fixture_close(of);
}

static void other_files_and_bytes_as_they_are_cannot_be_asked_for(void **state)
{
    (void)state;
    session *of = fixture_open();
    static const char *const refused[] = {
        "{\"ops\": [{\"file\": \"../x.csv\", \"op\": \"insert\", \"set\": {\"ref\": \"C1\"}}]}",
        "{\"ops\": [{\"file\": \"photo.jpg\", \"op\": \"insert\", \"set\": {\"ref\": \"C1\"}}]}",
        ("{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"raw\": true, \"line\": "
         "\"x\"}]}"),
        "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"set\": {\"ref\": \"C1\\n\"}}]}",
        "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"set\": {\"a,b\": \"C1\"}}]}",
        "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"set\": {\"ref\": 7}}]}",
        "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"set\": {}}]}",
        "{\"ops\": 7}",
        "[]",
    };
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        assert_int_equal(fixture_edit(of, refused[i]), SF_ERROR_ARGUMENT);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

/* 4194305 is one above the largest process number of Linux (proc(5), pid_max). */
static void what_a_killed_program_left_is_cleared_and_what_it_moved_comes_back(void **state)
{
    (void)state;
    session *of = fixture_open();
    write_file(fixture_folder, ".parts.csv.4194305-0.new", "half");
    write_file(fixture_folder, ".parts.csv.4194305-0.new.old", fixture_parts);
    write_file(fixture_folder, ".board.csv.4194305-0.new.old", "key,value\n");
    write_file(fixture_folder, ".parts.csv.mine.new", "another's");
    leftovers_clear(fixture_folder);
    char path[512];
    snprintf(path, sizeof path, "%s/.parts.csv.4194305-0.new", fixture_folder);
    assert_int_not_equal(access(path, F_OK), 0);
    assert_file("parts.csv", fixture_parts);
    assert_file("board.csv", "key,value\n");
    assert_file(".parts.csv.mine.new", "another's");
    fixture_close(of);
}

static void a_row_goes_under_headers_in_capitals_too(void **state)
{
    (void)state;
    session *of = fixture_open();
    write_file(fixture_folder, "parts.csv", "Ref,X_mm,Y_mm\n");
    assert_int_equal(fixture_edit(of, "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\","
                                      "\"set\": {\"ref\": \"C11\", \"y_mm\": \"3.5\"}}]}"),
                     SF_OK);
    assert_file("parts.csv", "Ref,X_mm,Y_mm\nC11,,3.5\n");
    fixture_close(of);
}

/* --- cells that the job could not read --- */

/* The edit is refused for exactly these reasons, and parts.csv is as it was. */
static void assert_refused(session *of, const char *ops, const char *const told[], size_t count)
{
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL, *edit = json_pack("{s:o}", "ops", json_loads(ops, 0, NULL));
    assert_non_null(edit);
    assert_int_equal(session_edit(of, edit, &conflict, &diagnostics), SF_ERROR_DATA);
    assert_null(conflict);
    assert_int_equal(diagnostics.count, count);
    for (size_t i = 0; i < count; i++) {
        char *line = sf_diagnostic_text(&diagnostics.items[i]);
        assert_string_equal(line, told[i]);
        free(line);
    }
    sf_diagnostics_clear(&diagnostics);
    json_decref(edit);
    assert_file("parts.csv", fixture_parts);
}

static void a_cell_that_is_no_number_is_refused_with_what_is_expected(void **state)
{
    (void)state;
    session *of = fixture_open();
    const char *const twice[] = {"parts.csv: diameter_mm: \"17.8119.83\" is not a number, "
                                 "expected a number from 1 to 200 mm"};
    assert_refused(of,
                   "[{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 0,"
                   "\"expect\": {\"ref\": \"C7\"}, \"set\": {\"diameter_mm\": \"17.8119.83\"}}]",
                   twice, 1);
    const char *const far[] = {"parts.csv: rated_v: \"5010.61\" is out of range, "
                               "expected a number from 1 to 1000 V"};
    assert_refused(of,
                   "[{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 1,"
                   "\"expect\": {\"ref\": \"C9\"}, \"set\": {\"rated_v\": \"5010.61\"}},"
                   "{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 0,"
                   "\"expect\": {\"ref\": \"C7\"}, \"set\": {\"rated_v\": \"5010.61\"}}]",
                   far, 1);
    assert_string_equal(fixture_next(of, BACK), "");
    fixture_close(of);
}

static void all_cells_of_all_rows_are_looked_at_at_once(void **state)
{
    (void)state;
    session *of = fixture_open();
    const char *const told[] = {
        "parts.csv: line 2: x_mm: \"wide\" is not a number, expected a number from -2 to 2002 mm",
        "parts.csv: line 4: year: \"1998.5\" is not a whole number, expected a whole number from "
        "1900 to 2100",
        "parts.csv: line 4: critical: \"perhaps\" is neither yes nor no, expected yes or no"};
    assert_refused(of,
                   "[{\"file\": \"parts.csv\", \"op\": \"check\", \"said\": \"line 2\","
                   "\"set\": {\"ref\": \"C11\", \"x_mm\": \"wide\"}},"
                   "{\"file\": \"parts.csv\", \"op\": \"insert\","
                   "\"set\": {\"ref\": \"C12\", \"x_mm\": \"3.5\"}},"
                   "{\"file\": \"parts.csv\", \"op\": \"check\", \"said\": \"line 4\","
                   "\"set\": {\"year\": \"1998.5\", \"critical\": \"perhaps\"}}]",
                   told, 3);
    assert_int_equal(fixture_edit(of, "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"check\","
                                      "\"set\": {\"ref\": \"C11\", \"x_mm\": \"3,5\"}}]}"),
                     SF_OK);
    assert_file("parts.csv", fixture_parts);
    assert_string_equal(fixture_next(of, BACK), "");
    fixture_close(of);
}

static void a_value_of_the_board_is_looked_at_in_its_unit(void **state)
{
    (void)state;
    session *of = fixture_open();
    const char *const told[] = {"board.csv: ambient: \"warm\" is not a number, expected a number "
                                "from -40 to 100 C"};
    assert_refused(of,
                   "[{\"file\": \"board.csv\", \"op\": \"insert\","
                   "\"set\": {\"key\": \"ambient\", \"value\": \"warm\", \"unit\": \"C\"}}]",
                   told, 1);
    write_file(fixture_folder, "board.csv", "key,value,unit\nwidth,oops,mm\nambient,70,F\n");
    assert_int_equal(
        fixture_edit(of, "{\"ops\": [{\"file\": \"board.csv\", \"op\": \"set\", \"row\": 1,"
                         "\"expect\": {\"key\": \"ambient\"}, \"set\": {\"value\": \"200\"}}]}"),
        SF_OK);
    /* what another program wrote, and this edit does not touch, stands in nobody's way */
    assert_file("board.csv", "key,value,unit\nwidth,oops,mm\nambient,200,F\n");
    fixture_close(of);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_change_keeps_comments_separators_and_unknown_columns),
        cmocka_unit_test(undo_gives_every_byte_back_and_redo_takes_it_again),
        cmocka_unit_test(a_removed_row_comes_back_to_its_place_as_it_stood),
        cmocka_unit_test(rows_that_were_added_are_taken_away_by_undo_one_edit_at_a_time),
        cmocka_unit_test(rows_that_another_program_added_are_kept),
        cmocka_unit_test(a_cell_that_another_program_changed_is_not_overwritten),
        cmocka_unit_test(an_undo_that_no_longer_fits_leaves_the_file_alone),
        cmocka_unit_test(of_several_changes_none_is_made_when_one_cannot_be),
        cmocka_unit_test(a_new_job_gets_the_files_that_it_needs),
        cmocka_unit_test(other_files_and_bytes_as_they_are_cannot_be_asked_for),
        cmocka_unit_test(a_row_goes_under_headers_in_capitals_too),
        cmocka_unit_test(what_a_killed_program_left_is_cleared_and_what_it_moved_comes_back),
        cmocka_unit_test(a_cell_that_is_no_number_is_refused_with_what_is_expected),
        cmocka_unit_test(all_cells_of_all_rows_are_looked_at_at_once),
        cmocka_unit_test(a_value_of_the_board_is_looked_at_in_its_unit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
