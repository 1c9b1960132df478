/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A history of changes that others have put there, and that is none. What a step holds is computed
 * from its definition in page/step.h. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "fixture.h"

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
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    const char *path = fixture_path(HISTORY_NAME);
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

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_no_history_is_told_and_left_alone),
        cmocka_unit_test(one_wrong_member_makes_it_no_history),
        cmocka_unit_test(a_step_that_names_a_file_twice_makes_it_no_history),
        cmocka_unit_test(a_step_whose_bytes_do_not_lead_where_it_says_is_not_taken),
        cmocka_unit_test(a_folder_in_the_place_of_the_history_stops_no_change),
    };
    return cmocka_run_group_tests_name("page: odd histories", tests, NULL, NULL);
}
