/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The commands new and check, and how diagnostics are told. Exit statuses are those of <sysexits.h>
 * of BSD: EX_DATAERR 65, EX_NOINPUT 66, EX_CANTCREAT 73. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/text.h"
#include "job_folder.h"
#include "program.h"

static void a_starter_job_runs_as_it_is(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    const char *job = in_folder(folder, "starter");
    ended new = run("new", job);
    assert_int_equal(new.status, 0);
    assert_string_equal(new.message, "");
    assert_has(new.out, "spotfield check ");
    assert_has(new.out, "spotfield map ");
    assert_has(new.out, "Caution: ");
    assert_ends(0, "", "check", job);
    assert_ends(0, "", "map", job);
    assert_int_equal(access(in_folder(job, "out/report.html"), R_OK), 0);
    ended_free(&new);
    remove_folder(folder);
}

static void new_touches_no_file_that_is_there(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_file(folder, "policy.csv", "mine\n");
    ended said = run("new", folder);
    char *kept = bytes_of(in_folder(folder, "policy.csv"), NULL);
    assert_int_equal(said.status, 73);
    assert_string_equal(said.out, "");
    assert_has(said.message, in_folder(folder, "policy.csv: "));
    assert_string_equal(kept, "mine\n");
    assert_int_not_equal(access(in_folder(folder, "board.csv"), F_OK), 0);
    free(kept);
    ended_free(&said);
    remove_folder(folder);
}

static void new_says_why_a_folder_cannot_be_made(void **state)
{
    (void)state;
    assert_ends(73, "/dev/null/job: the folder cannot be made: ", "new", "/dev/null/job");
}

static void what_was_understood_is_told(void **state)
{
    (void)state;
    /* the numbers of job_folder.c */
    static const char *const facts[] = {
        "Talkback amplifier, 97.5 x 71.25 mm\n",
        "FR-2, 1.55 mm, 1 copper layer of 35 um, covering 43 %\n",
        "still, 23.6 C at the bench, 31.5 +/- 2 C in service\n",
        "run 38,400 h +/- 10 %, made in 2003, surveyed 2025-10-19\n",
        "edge with 4 corners, 0 cut-outs or slots\n",
        "2 listed, 1 with a power given, 1 without\n",
        "6 from 6 rows, 0 warm-up series, 5 in the fit\n",
        "4 by thermocouple-K on board\n",
        "1 by thermocouple-K on source\n",
        "1 by infrared on board\n",
        "3.8 K at k5 to 62.7 K at k6",
        "5 capacitors, 3 of 85 C, 2 of 105 C\n",
        "1 critical, 1 with endurance not marked, 0 measured\n",
        "every value at its default\n",
        "endurance_h not given for 1 of 5 parts",
    };
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_string_equal(said.message, "");
    for (size_t i = 0; i < sizeof facts / sizeof *facts; i++)
        assert_has(said.out, facts[i]);
    ended_free(&said);
    remove_folder(folder);
}

static void what_else_a_job_may_hold_is_told(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    write_file(folder, "policy.csv", "key,value,unit\nseal_years,17.5,year\n");
    write_file(folder, "history.csv", "hours,service_ambient,load\n21300,36,0.7\n17100,30,1\n");
    write_file(folder, "keepout.csv", "ring,x_mm,y_mm,reason\n1,2,3,bare mains\n1,9,3,\n1,9,8,\n");
    write_file(folder, "controls.csv", "value_uf,measured_uf\n100,103.7\n47,48.9\n");
    change_file(folder, "readings.csv", "k4,11,12.5,29.8,C,thermocouple-K,board,\n",
                "k4,11,12.5,26.1,C,thermocouple-K,board,5\n"
                "k4,11,12.5,28.1,C,thermocouple-K,board,15\n"
                "k4,11,12.5,29.1,C,thermocouple-K,board,25\n"
                "k4,11,12.5,29.6,C,thermocouple-K,board,35\n");
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "seal_years 17.5 year instead of 15\n");
    assert_has(said.out, "2 periods, 38,400 h together\n");
    assert_has(said.out, "1 area: bare mains\n");
    assert_has(said.out, "2 new parts read on the same meter\n");
    assert_has(said.out, "6 from 9 rows, 1 warm-up series, 5 in the fit");
    ended_free(&said);
    remove_folder(folder);
}

static void the_caution_ends_check_and_map_but_not_quiet_or_json(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended check = run("check", folder), map = run("map", folder);
    ended quiet = run("check", "-q", folder), json = run("map", folder, "--json");
    const char *last = strstr(check.out, "\nCaution: ");
    assert_non_null(last);
    assert_string_equal(strchr(last + 1, '\n'), "\n");
    last = strstr(map.out, "\nCaution: ");
    assert_non_null(last);
    assert_string_equal(strchr(last + 1, '\n'), "\n");
    assert_has(last, "not a safety certificate");
    assert_has(last, "can kill even when switched off. Isolate the supply; discharge");
    assert_string_equal(quiet.out, "");
    assert_has_not(json.out, "Caution");
    ended_free(&check);
    ended_free(&map);
    ended_free(&quiet);
    ended_free(&json);
    remove_folder(folder);
}

static void a_missing_folder_or_file_ends_with_66(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    unlink(in_folder(folder, "parts.csv"));
    assert_ends(66, in_folder(folder, "parts.csv: "), "check", folder);
    assert_ends(66, in_folder(folder, "parts.csv: "), "map", folder);
    remove_folder(folder);
    assert_ends(66, folder, "check", folder);
    assert_ends(66, folder, "map", folder);
}

static void all_faults_of_all_files_are_told_at_once(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "board.csv", "97.5", "-97.5");
    change_file(folder, "sources.csv", "1.35", "much");
    change_file(folder, "readings.csv", "45.3", "4500.3");
    change_file(folder, "parts.csv", "83.5,", "835,");
    change_file(folder, "parts.csv", "bulged", "fat");
    ended said = run("map", folder);
    assert_int_equal(said.status, 65);
    assert_string_equal(said.out, "");
    assert_has(said.message, in_folder(folder, "board.csv:3: width: "));
    assert_has(said.message, in_folder(folder, "sources.csv:2: power_w: \"much\""));
    assert_has(said.message, in_folder(folder, "parts.csv:6: condition: \"fat\""));
    assert_has(said.message, ", expected ");
    assert_has(said.message, "spotfield map: ");
    assert_has(said.message, " errors");
    assert_int_not_equal(access(in_folder(folder, "out"), F_OK), 0);
    ended_free(&said);
    remove_folder(folder);
}

static void a_slash_at_the_end_of_the_folder_is_not_doubled(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "parts.csv", "bulged", "fat");
    assert_ends(65, in_folder(folder, "parts.csv:6: "), "check", in_folder(folder, ""));
    remove_folder(folder);
}

/* So many parts whose diameter is not a number, and one unknown column, which is a warning. */
static void lay_bad_parts(const char *folder, size_t count)
{
    text rows = {0};
    text_add(&rows, "ref,x_mm,y_mm,diameter_mm,colour\n");
    for (size_t i = 0; i < count; i++)
        text_addf(&rows, "C%zu,%zu,%zu.5,wide,blue\n", i + 1, 10 * (i % 9) + 5,
                  7 * (i / 9 % 9) + 3);
    write_file(folder, "parts.csv", rows.bytes);
    text_clear(&rows);
}

static size_t count_lines(const char *lines, const char *part)
{
    size_t count = 0;
    for (const char *at = lines; (at = strstr(at, part)); at += strlen(part))
        count++;
    return count;
}

static void at_most_50_complaints_are_shown_errors_first_and_the_rest_counted(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    lay_bad_parts(folder, 73);
    ended said = run("check", folder);
    assert_int_equal(said.status, 65);
    assert_int_equal(count_lines(said.message, "diameter_mm: \"wide\""), 50);
    assert_int_equal(count_lines(said.message, "warning: "), 0);
    assert_has(said.message, "\nand 24 more\n");
    assert_has(said.message, "73 errors, 1 warning");
    ended_free(&said);
    lay_bad_parts(folder, 50);
    said = run("check", folder);
    assert_has(said.message, "\nand 1 more\n");
    ended_free(&said);
    lay_bad_parts(folder, 49);
    said = run("check", folder);
    assert_int_equal(count_lines(said.message, "warning: "), 1);
    assert_null(strstr(said.message, " more\n"));
    ended_free(&said);
    remove_folder(folder);
}

static void errors_come_before_warnings(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    lay_bad_parts(folder, 3);
    ended said = run("check", folder);
    const char *warning = strstr(said.message, "warning: ");
    assert_non_null(warning);
    assert_int_equal(count_lines(warning, "\"wide\""), 0);
    assert_int_equal(count_lines(said.message, "\"wide\""), 3);
    ended_free(&said);
    remove_folder(folder);
}

static void quiet_leaves_warnings_out_and_errors_in(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    lay_bad_parts(folder, 3);
    ended said = run("check", "--quiet", folder);
    assert_int_equal(said.status, 65);
    assert_int_equal(count_lines(said.message, "\"wide\""), 3);
    assert_int_equal(count_lines(said.message, "warning: "), 0);
    ended_free(&said);
    remove_folder(folder);
}

/* What check says of a job with an error and a warning. */
static ended check_coloured(const char *folder, bool terminal, const char *variables)
{
    surroundings about = {.terminal = terminal, .variables = variables};
    return run_in(&about, (const char *const[]){"check", folder, NULL});
}

static void places_are_coloured_on_a_terminal_only_and_not_against_no_color(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    lay_bad_parts(folder, 1);
    ended coloured = check_coloured(folder, true, NULL);
    /* https://no-color.org: "when present and not an empty string" */
    ended refused = check_coloured(folder, true, "NO_COLOR=1");
    ended empty = check_coloured(folder, true, "NO_COLOR=");
    ended dumb = check_coloured(folder, true, "TERM=dumb");
    ended file = check_coloured(folder, false, NULL);
    assert_int_equal(coloured.status, 65);
    /* ECMA-48 select graphic rendition: 31 red, 33 yellow, 0 default */
    assert_has(coloured.message, "\033[1;31m");
    assert_has(coloured.message, "\033[1;33m");
    assert_has(coloured.message, "parts.csv:2\033[0m: ");
    assert_has(empty.message, "\033[");
    assert_has_not(refused.message, "\033");
    assert_has_not(dumb.message, "\033");
    assert_has_not(file.message, "\033");
    assert_has(file.message, "parts.csv:2: ");
    ended *all[] = {&coloured, &refused, &empty, &dumb, &file};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        ended_free(all[i]);
    remove_folder(folder);
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_starter_job_runs_as_it_is),
        cmocka_unit_test(new_touches_no_file_that_is_there),
        cmocka_unit_test(new_says_why_a_folder_cannot_be_made),
        cmocka_unit_test(what_was_understood_is_told),
        cmocka_unit_test(what_else_a_job_may_hold_is_told),
        cmocka_unit_test(the_caution_ends_check_and_map_but_not_quiet_or_json),
        cmocka_unit_test(a_missing_folder_or_file_ends_with_66),
        cmocka_unit_test(all_faults_of_all_files_are_told_at_once),
        cmocka_unit_test(a_slash_at_the_end_of_the_folder_is_not_doubled),
        cmocka_unit_test(at_most_50_complaints_are_shown_errors_first_and_the_rest_counted),
        cmocka_unit_test(errors_come_before_warnings),
        cmocka_unit_test(quiet_leaves_warnings_out_and_errors_in),
        cmocka_unit_test(places_are_coloured_on_a_terminal_only_and_not_against_no_color),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("check", tests, NULL, NULL);
}
