/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Undo and redo that outlive the page, beside files that others change, and how many steps are
 * kept. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>

#include <gsl/gsl_errno.h>

#include "fixture.h"

static const char set_width[] =
    "{\"label\": \"width\", \"ops\": [{\"file\": \"board.csv\", \"op\": \"insert\","
    "\"set\": {\"key\": \"width\", \"value\": \"125\", \"unit\": \"mm\"}}]}";

static void steps_are_taken_back_and_again_after_the_page_was_started_anew(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_int_equal(fixture_edit(of, set_width), SF_OK);
    assert_int_equal(fixture_edit(of, rename_c7), SF_OK);
    size_t size = 0;
    char *last = fixture_bytes("parts.csv", &size);
    of = fixture_anew(of);
    assert_told_nothing(of);
    assert_string_equal(fixture_next(of, BACK), "rename C7");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", moved_parts);
    of = fixture_anew(of);
    assert_string_equal(fixture_next(of, AGAIN), "rename C7");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_int_equal(fixture_step(of, BACK), SF_ERROR_ARGUMENT);
    assert_file("parts.csv", fixture_parts);
    assert_file("board.csv", "key,value,unit\n");
    of = fixture_anew(of);
    for (int i = 0; i < 3; i++)
        assert_int_equal(fixture_step(of, AGAIN), SF_OK);
    assert_int_equal(fixture_step(of, AGAIN), SF_ERROR_ARGUMENT);
    assert_file("parts.csv", last);
    assert_file("board.csv", "key,value,unit\nwidth,125,mm\n");
    assert_told_nothing(of);
    free(last);
    fixture_close(of);
}

static void a_new_change_drops_what_was_taken_back(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_int_equal(fixture_edit(of, rename_c7), SF_OK);
    of = fixture_anew(of);
    assert_string_equal(fixture_next(of, AGAIN), "");
    assert_string_equal(fixture_next(of, BACK), "rename C7");
    fixture_close(of);
}

/* Micro as ISO 8859-1 has it is no UTF-8, and a history is. */
static void bytes_of_any_encoding_come_back_as_they_were(void **state)
{
    (void)state;
    static const char theirs[] = "ref,x_mm,note\r\nC7,12.5,\"47 \xB5"
                                 "F, \xE9t\xE9\"\r\n";
    session *of = fixture_open();
    write_file(fixture_folder, "parts.csv", theirs);
    assert_int_equal(
        fixture_edit(of, "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"delete\", \"row\": 0,"
                         "\"expect\": {\"ref\": \"C7\"}}]}"),
        SF_OK);
    assert_file("parts.csv", "ref,x_mm,note\r\n");
    of = fixture_anew(of);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", theirs);
    fixture_close(of);
}

static void a_column_that_was_added_goes_again(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_int_equal(
        fixture_edit(of, "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 0,"
                         "\"expect\": {\"ref\": \"C7\"}, \"set\": {\"year\": \"1987\"}}]}"),
        SF_OK);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", moved_parts);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

static void a_file_changed_by_another_program_drops_its_steps_and_no_others(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_int_equal(fixture_edit(of, set_width), SF_OK);
    assert_int_equal(fixture_edit(of, rename_c7), SF_OK);
    static const char theirs[] = "ref,x_mm,y_mm\nC3,7.5,3.5\n";
    write_file(fixture_folder, "parts.csv", theirs);
    of = fixture_anew(of);
    assert_told(of, "2 earlier changes no longer fit");
    assert_told_nothing(of);
    assert_string_equal(fixture_next(of, BACK), "width");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_int_equal(fixture_step(of, BACK), SF_ERROR_ARGUMENT);
    assert_string_equal(fixture_next(of, AGAIN), "width");
    assert_file("parts.csv", theirs);
    fixture_close(of);
}

static void a_file_that_came_back_to_what_it_was_loses_nothing(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    write_file(fixture_folder, "parts.csv", "ref,x_mm,y_mm\n");
    write_file(fixture_folder, "parts.csv", moved_parts);
    of = fixture_anew(of);
    assert_told_nothing(of);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    fixture_close(of);
}

/* As a kill leaves it after the history has been renamed and before the job's file has. */
static void a_change_that_a_kill_stopped_can_be_made_again(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, rename_c7), SF_OK);
    size_t size = 0;
    char *renamed = fixture_bytes("parts.csv", &size);
    assert_int_equal(
        fixture_edit(of, "{\"label\": \"remove\", \"ops\": [{\"file\": \"parts.csv\", \"op\":"
                         "\"delete\", \"row\": 1, \"expect\": {\"ref\": \"C9\"}}]}"),
        SF_OK);
    write_file(fixture_folder, "parts.csv", renamed);
    of = fixture_anew(of);
    assert_told_nothing(of);
    assert_string_equal(fixture_next(of, BACK), "rename C7");
    assert_string_equal(fixture_next(of, AGAIN), "remove");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    write_file(fixture_folder, "parts.csv", renamed);
    of = fixture_anew(of);
    assert_told_nothing(of);
    assert_string_equal(fixture_next(of, BACK), "rename C7");
    free(renamed);
    fixture_close(of);
}

static size_t take_all_back(session *of)
{
    size_t taken = 0;
    while (fixture_step(of, BACK) == SF_OK)
        taken++;
    return taken;
}

static void the_oldest_steps_go_where_there_are_too_many(void **state)
{
    (void)state;
    history of = {.steps = json_array()};
    for (int i = 0; i < HISTORY_STEPS_MOST + 13; i++) {
        char label[32];
        history after;
        snprintf(label, sizeof label, "change %d", i);
        json_t *step = json_pack("{s:s, s:[]}", "label", label, "files");
        assert_int_equal(history_with(&of, step, &after), SF_OK);
        history_replace(&of, &after);
        json_decref(step);
    }
    assert_int_equal(json_array_size(of.steps), HISTORY_STEPS_MOST);
    assert_int_equal(of.done, HISTORY_STEPS_MOST);
    assert_string_equal(step_label(json_array_get(of.steps, 0)), "change 13");
    assert_string_equal(step_label(history_next(&of, BACK)), "change 512");
    history_clear(&of);
}

/* Half a megabyte lies between the two rows that each edit changes. */
static void the_oldest_steps_go_where_all_keep_too_many_bytes(void **state)
{
    (void)state;
    enum { ROWS = 20000 };
    session *of = fixture_open();
    text rows = {0};
    text_add(&rows, "ref,x_mm,y_mm\nC7,1.5,2.5\n");
    for (int i = 0; i < ROWS; i++)
        text_addf(&rows, "R%d,13.5,17.25\n", i);
    text_add(&rows, "C9,1.5,2.5\n");
    write_file(fixture_folder, "parts.csv", rows.bytes);
    assert_true(rows.length > HISTORY_BYTES_MOST / 4 && rows.length < HISTORY_BYTES_MOST / 2);
    for (int i = 0; i < 3; i++) {
        char words[512];
        snprintf(words, sizeof words,
                 "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"set\", \"expect\": {\"ref\":"
                 "\"C7\"}, \"set\": {\"x_mm\": \"%d.5\"}}, {\"file\": \"parts.csv\", \"op\":"
                 "\"set\", \"expect\": {\"ref\": \"C9\"}, \"set\": {\"x_mm\": \"%d.5\"}}]}",
                 i + 3, i + 3);
        assert_int_equal(fixture_edit(of, words), SF_OK);
    }
    of = fixture_anew(of);
    assert_told_nothing(of);
    assert_int_equal(take_all_back(of), 1);
    text_clear(&rows);
    fixture_close(of);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_are_taken_back_and_again_after_the_page_was_started_anew),
        cmocka_unit_test(a_new_change_drops_what_was_taken_back),
        cmocka_unit_test(bytes_of_any_encoding_come_back_as_they_were),
        cmocka_unit_test(a_column_that_was_added_goes_again),
        cmocka_unit_test(a_file_changed_by_another_program_drops_its_steps_and_no_others),
        cmocka_unit_test(a_file_that_came_back_to_what_it_was_loses_nothing),
        cmocka_unit_test(a_change_that_a_kill_stopped_can_be_made_again),
        cmocka_unit_test(the_oldest_steps_go_where_there_are_too_many),
        cmocka_unit_test(the_oldest_steps_go_where_all_keep_too_many_bytes),
    };
    return cmocka_run_group_tests_name("page: history", tests, NULL, NULL);
}
