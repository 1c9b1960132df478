/* Undo and redo that outlive the page, beside files that others change and a history that others
 * have put there. What a step holds is computed from its definition in page/step.h. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "fixture.h"
#include "page/view.h"

static const char rename_c7[] =
    "{\"label\": \"rename C7\", \"ops\": [{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 0,"
    "\"expect\": {\"ref\": \"C7\"}, \"set\": {\"ref\": \"C71\"}}]}";
static const char set_width[] =
    "{\"label\": \"width\", \"ops\": [{\"file\": \"board.csv\", \"op\": \"insert\","
    "\"set\": {\"key\": \"width\", \"value\": \"125\", \"unit\": \"mm\"}}]}";

/* What the browser is told of the history; the caller frees it. NULL where it is told nothing. */
static char *told(session *of)
{
    json_t *job = view_job(of);
    assert_non_null(job);
    const char *words = json_string_value(json_object_get(job, "note"));
    char *copy = words ? strdup(words) : NULL;
    json_decref(job);
    return copy;
}

static void assert_told(session *of, const char *part)
{
    char *words = told(of);
    assert_non_null(words);
    if (!strstr(words, part))
        fail_msg("\"%s\" is not told in \"%s\"", part, words);
    free(words);
}

static void assert_told_nothing(session *of)
{
    char *words = told(of);
    if (words)
        fail_msg("told: %s", words);
}

static void path_of(const char *name, char *path, size_t size)
{
    snprintf(path, size, "%s/%s", fixture_folder, name);
}

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

/* --- a history that is none --- */

/* A sound history but for one word, which is replaced. */
static char *history_but(const char *word, const char *replacement)
{
    size_t size = 0;
    char *sound = fixture_bytes(HISTORY_NAME, &size), *at = strstr(sound, word);
    if (!at)
        fail_msg("%s is not in %s", word, sound);
    char *made = malloc(size + strlen(replacement) + 1);
    assert_non_null(made);
    sprintf(made, "%.*s%s%s", (int)(at - sound), sound, replacement, at + strlen(word));
    free(sound);
    return made;
}

/* The page says so, leaves the file alone, works, and takes its own changes back. */
static void assert_ignored(const char *words)
{
    session *of = fixture_open();
    write_file(fixture_folder, HISTORY_NAME, words);
    of = fixture_anew(of);
    assert_told(of, "is left as it is");
    assert_string_equal(fixture_next(of, BACK), "");
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_file("parts.csv", moved_parts);
    assert_file(HISTORY_NAME, words);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    assert_file(HISTORY_NAME, words);
    fixture_close(of);
}

static void what_is_no_history_is_told_and_left_alone(void **state)
{
    (void)state;
    static const char *const none[] = {
        "",
        "half a {",
        "7",
        "[]",
        "{}",
        "{\"spotfield_history\":2,\"done\":0,\"steps\":[]}",
        "{\"spotfield_history\":1,\"done\":1,\"steps\":[]}",
        "{\"spotfield_history\":1,\"done\":-1,\"steps\":[]}",
        "{\"spotfield_history\":1,\"done\":0.5,\"steps\":[]}",
        "{\"spotfield_history\":1,\"done\":0,\"steps\":{}}",
        "{\"spotfield_history\":1,\"done\":0,\"done\":0,\"steps\":[]}",
        "{\"spotfield_history\":1,\"done\":0,\"steps\":[7]}",
        "{\"spotfield_history\":1,\"done\":0,\"steps\":[{\"label\":\"x\",\"files\":[]}]}",
    };
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        assert_ignored(none[i]);
}

static void one_wrong_member_makes_it_no_history(void **state)
{
    (void)state;
    static const char *const changed[][2] = {
        {"parts.csv", "photo.jpg"},
        {"parts.csv", "../parts.csv"},
        {"\"at\":", "\"at\":-"},
        {"\"at\":", "\"at\":0.5,\"a\":"},
        {"\"was\":\"", "\"was\":\"\xC4\x80"},
        {"\"now\":", "\"now\":7,\"n\":"},
        {"\"was\":", "\"was\":null,\"w\":"},
        {"\"from\":\"", "\"from\":\"0"},
        {"\"to\":\"", "\"to\":\"x"},
        {"\"label\"", "\"lapel\""},
        {"\"files\"", "\"flies\""},
    };
    for (size_t i = 0; i < sizeof changed / sizeof *changed; i++) {
        session *of = fixture_open();
        assert_int_equal(fixture_edit(of, move_c9), SF_OK);
        char *wrong = history_but(changed[i][0], changed[i][1]);
        fixture_close(of);
        assert_ignored(wrong);
        free(wrong);
    }
}

static void a_step_that_names_a_file_twice_makes_it_no_history(void **state)
{
    (void)state;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    size_t size = 0;
    char *sound = fixture_bytes(HISTORY_NAME, &size);
    const char *from = strstr(sound, "{\"file\""), *to = strchr(from, '}') + 1;
    char *twice = malloc(2 * size);
    assert_non_null(twice);
    sprintf(twice, "%.*s,%s", (int)(to - sound), sound, from);
    fixture_close(of);
    assert_ignored(twice);
    free(sound);
    free(twice);
}

/* The contents it names are those of the file, but its bytes do not lead from one to the other. */
static void a_step_whose_bytes_do_not_lead_where_it_says_is_not_taken(void **state)
{
    (void)state;
    static const char *const changed[][2] = {
        {"\"was\":\"7,2\"", "\"was\":\"9,2\""},
        {"\"now\":\"8,7\"", "\"now\":\"4,7\""},
        {"\"at\":", "\"at\":9"},
        {"\"was\":\"7,2\"", "\"was\":\"\\\"\""},
    };
    for (size_t i = 0; i < sizeof changed / sizeof *changed; i++) {
        session *of = fixture_open();
        assert_int_equal(fixture_edit(of, move_c9), SF_OK);
        char *wrong = history_but(changed[i][0], changed[i][1]);
        write_file(fixture_folder, HISTORY_NAME, wrong);
        of = fixture_anew(of);
        assert_string_equal(fixture_next(of, BACK), "move C9");
        assert_int_equal(fixture_step(of, BACK), SF_ERROR_DATA);
        assert_file("parts.csv", moved_parts);
        free(wrong);
        fixture_close(of);
    }
}

static void a_folder_in_the_place_of_the_history_stops_no_change(void **state)
{
    (void)state;
    char path[512];
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    path_of(HISTORY_NAME, path, sizeof path);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(fixture_edit(of, rename_c7), SF_OK);
    assert_told(of, "cannot be written");
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_file("parts.csv", fixture_parts);
    of = fixture_anew(of);
    assert_told(of, "is left as it is");
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_int_equal(rmdir(path), 0);
    fixture_close(of);
}

/* --- bounds --- */

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
        cmocka_unit_test(what_is_no_history_is_told_and_left_alone),
        cmocka_unit_test(one_wrong_member_makes_it_no_history),
        cmocka_unit_test(a_step_that_names_a_file_twice_makes_it_no_history),
        cmocka_unit_test(a_step_whose_bytes_do_not_lead_where_it_says_is_not_taken),
        cmocka_unit_test(a_folder_in_the_place_of_the_history_stops_no_change),
        cmocka_unit_test(the_oldest_steps_go_where_there_are_too_many),
        cmocka_unit_test(the_oldest_steps_go_where_all_keep_too_many_bytes),
    };
    return cmocka_run_group_tests_name("page: history", tests, NULL, NULL);
}
