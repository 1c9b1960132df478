/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Jobs and command lines at the edge of what is allowed: what is said where a thing is not known,
 * is there once, or many times. Exit statuses are those of <sysexits.h> of BSD: EX_USAGE 64,
 * EX_DATAERR 65, EX_NOINPUT 66. */
#include "support/check.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include <jansson.h>

#include "job_folder.h"
#include "program.h"

/* --- check --- */

static void hours_that_nobody_knows_are_said_to_be_unknown(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "board.csv", "run_hours,38400,h\n", "");
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "run hours not known, made in 2003");
    ended_free(&said);
    remove_folder(folder);
}

static void each_no_touch_area_is_told_with_its_reason_or_that_it_has_none(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    write_file(folder, "keepout.csv",
               "ring,x_mm,y_mm,reason\n1,2,3,bare mains\n1,9,3,\n1,9,8,\n"
               "2,50,60,\n2,57,60,\n2,57,66,\n");
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "2 areas: bare mains, no reason given\n");
    ended_free(&said);
    remove_folder(folder);
}

static void rows_of_two_warm_up_series_are_two_series(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "readings.csv", "k4,11,12.5,29.8,C,thermocouple-K,board,\n",
                "k4,11,12.5,26.1,C,thermocouple-K,board,5\n"
                "k4,11,12.5,28.1,C,thermocouple-K,board,15\n"
                "k4,11,12.5,29.1,C,thermocouple-K,board,25\n"
                "k4,11,12.5,29.6,C,thermocouple-K,board,35\n"
                "k8,61,12.5,27.1,C,thermocouple-K,board,5\n"
                "k8,61,12.5,30.1,C,thermocouple-K,board,15\n"
                "k8,61,12.5,31.6,C,thermocouple-K,board,25\n"
                "k8,61,12.5,32.3,C,thermocouple-K,board,35\n");
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "7 from 13 rows, 2 warm-up series, 6 in the fit");
    ended_free(&said);
    remove_folder(folder);
}

static void a_part_with_either_meter_reading_counts_as_measured(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "parts.csv", "year,condition\n",
                "year,condition,measured_uf,measured_esr_ohm,esr_limit_ohm\n");
    change_file(folder, "parts.csv", "1,yes,2003,sound\n", "1,yes,2003,sound,433,,\n");
    change_file(folder, "parts.csv", "8,12,100,25,105,2000,1,no,2003,sound\n",
                "8,12,100,25,105,2000,1,no,2003,sound,,0.37,1.2\n");
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "1 critical, 1 with endurance not marked, 2 measured\n");
    ended_free(&said);
    remove_folder(folder);
}

static void the_json_of_a_check_tells_the_same_as_its_words(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "parts.csv", "5,11,10,63,105,,1,no,2003,sound",
                "5,11,10,63,wide,,1,no,2003,sound");
    ended said = run("check", "--json", folder);
    assert_int_equal(said.status, 65);
    json_t *read = json_loads(said.out, 0, NULL);
    assert_non_null(read);
    json_t *diagnostic = json_array_get(json_object_get(read, "complaints"), 0);
    assert_string_equal(json_string_value(json_object_get(diagnostic, "severity")), "error");
    assert_string_equal(json_string_value(json_object_get(diagnostic, "file")), "parts.csv");
    assert_int_equal(json_integer_value(json_object_get(diagnostic, "line")), 5);
    json_decref(read);
    ended_free(&said);
    remove_folder(folder);
}

static void a_full_device_does_not_hide_that_the_job_is_faulty(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "board.csv", "width,97.5", "width,wide");
    ended said = run_in(&(surroundings){.out_path = "/dev/full"},
                        (const char *const[]){"check", "--json", folder, NULL});
    assert_int_equal(said.status, 65);
    assert_has(said.message, "board.csv:3");
    assert_has(said.message, "standard output: ");
    ended_free(&said);
    remove_folder(folder);
}

/* --- map --- */

static void where_no_hours_are_known_a_what_if_says_so(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "board.csv", "run_hours,38400,h\n", "");
    ended said = run("map", folder, "--if-air", "-7.25");
    assert_int_equal(said.status, 0);
    assert_has(said.out, "air 7.25 K cooler");
    assert_has(said.out, "   unknown  none left\n");
    ended_free(&said);
    remove_folder(folder);
}

static void a_part_cannot_be_explained_where_none_is_listed(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    write_file(folder, "parts.csv", "ref,x_mm,y_mm\n");
    ended said = run("map", folder, "--explain", "C11");
    assert_int_equal(said.status, 64);
    assert_has(said.message, "--explain C11: no such part; did you mean none, parts.csv "
                             "lists no part");
    assert_int_not_equal(access(in_folder(folder, "out"), F_OK), 0);
    ended_free(&said);
    remove_folder(folder);
}

/* --- plan --- */

static void a_plan_after_a_single_reading_says_so(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method\nk1,31,37.5,58.9,C,thermocouple-K\n");
    ended said = run("plan", folder, "--points", "1");
    assert_int_equal(said.status, 0);
    assert_has(said.out, ", after 1 reading.\n");
    ended_free(&said);
    remove_folder(folder);
}

/* --- compare --- */

/* Parts D1 to D15 in a row, all of which run hotter in the second survey. */
static void add_parts(const char *folder)
{
    char rows[2048] = "ref,x_mm,y_mm,rated_c,endurance_h\n";
    for (int i = 1; i <= 15; i++) {
        size_t length = strlen(rows);
        snprintf(rows + length, sizeof rows - length, "D%d,%d,36,105,2000\n", i, 22 + i);
    }
    write_file(folder, "parts.csv", rows);
}

static void of_many_parts_that_run_hotter_twelve_are_named_and_the_rest_counted(void **state)
{
    (void)state;
    char before[PATH_BYTES], after[PATH_BYTES];
    lay_job(before);
    lay_job(after);
    add_parts(before);
    add_parts(after);
    /* one hot reading leaves the parts away from it in doubt: all readings are 60 K up */
    change_file(after, "readings.csv", "37.5,58.9", "37.5,118.9");
    change_file(after, "readings.csv", "52,45.3", "52,105.3");
    change_file(after, "readings.csv", "29,41.7", "29,101.7");
    change_file(after, "readings.csv", "12.5,29.8", "12.5,89.8");
    change_file(after, "readings.csv", "63,27.4", "63,87.4");
    ended said = run("compare", before, after);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "Hotter by more than the uncertainty:\n  D");
    assert_has(said.out, "  and 3 more in compare.csv\n");
    assert_has_not(said.out, "Cooler by more");
    ended_free(&said);
    remove_folder(before);
    remove_folder(after);
}

static void a_part_of_the_second_survey_alone_is_in_the_json_without_a_change(void **state)
{
    (void)state;
    char before[PATH_BYTES], after[PATH_BYTES];
    lay_job(before);
    lay_job(after);
    change_file(after, "parts.csv", "C11,19,55", "C91,19,55");
    ended said = run("compare", "--json", before, after);
    assert_int_equal(said.status, 0);
    json_t *read = json_loads(said.out, 0, NULL), *part = NULL, *found = NULL;
    size_t index;
    assert_non_null(read);
    json_array_foreach(json_object_get(read, "parts"), index, part)
    {
        if (strcmp(json_string_value(json_object_get(part, "ref")), "C91") == 0)
            found = part;
    }
    assert_non_null(found);
    assert_true(json_is_null(json_object_get(found, "change_k")));
    assert_string_equal(json_string_value(json_object_get(found, "heat")), "");
    json_decref(read);
    ended_free(&said);
    remove_folder(before);
    remove_folder(after);
}

/* --- command lines --- */

static void every_command_holds_its_numbers_against_their_range(void **state)
{
    (void)state;
    assert_ends(64, "--width 5: expected a whole number from 400 to 8000", "compare", "a", "b",
                "--width", "5");
    assert_ends(64, "--dpi 49: expected a whole number from 50 to 1200", "compare", "a", "b",
                "--dpi", "49");
    assert_ends(64, "--points 0: expected a whole number from 1 to", "plan", "a", "--points", "0");
    assert_ends(64, "--width 5: expected", "plan", "a", "--width", "5");
    assert_ends(64, "--dpi 1201: expected", "plan", "a", "--dpi", "1201");
    assert_ends(64, "--cell 100.5: expected a number from 0.1 to 100", "map", "a", "--cell",
                "100.5");
    assert_ends(64, "--port 65536: expected a whole number from 1024 to 65535", "page", "a",
                "--port", "65536");
    assert_ends(64, "--out needs the name of a folder", "compare", "a", "b", "--out", "");
}

static void the_first_of_several_faults_is_told(void **state)
{
    (void)state;
    ended said = run("map", "x", "--widht", "--verbous", "-z");
    assert_int_equal(said.status, 64);
    assert_has(said.message, "unknown option --widht");
    assert_has_not(said.message, "--verbous");
    ended_free(&said);
}

static void an_end_of_options_and_nothing_after_it_asks_for_a_command(void **state)
{
    (void)state;
    assert_ends(64, "Usage: spotfield", "--");
}

/* U+00A7 is C2 A7 in UTF-8; C2 before a letter, or at the end, is no UTF-8. */
static void bytes_like_those_of_a_control_character_go_through(void **state)
{
    (void)state;
    assert_ends(66, "/no \302\247 7", "check", "/no \302\247 7");
    assert_ends(66, "/no \302such", "check", "/no \302such");
    assert_ends(66, "/no such \302", "check", "/no such \302");
}

static void a_port_that_another_program_has_is_told(void **state)
{
    (void)state;
    char folder[PATH_BYTES], port[16];
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof at;
    int taken = socket(AF_INET, SOCK_STREAM, 0);
    assert_int_equal(bind(taken, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(listen(taken, 1), 0);
    assert_int_equal(getsockname(taken, (struct sockaddr *)&at, &size), 0);
    snprintf(port, sizeof port, "%u", (unsigned)ntohs(at.sin_port));
    lay_job(folder);
    ended said = run("page", folder, "--port", port);
    assert_int_equal(said.status, 66);
    assert_string_equal(said.out, "");
    assert_has(said.message, "the page cannot be served there");
    ended_free(&said);
    close(taken);
    remove_folder(folder);
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hours_that_nobody_knows_are_said_to_be_unknown),
        cmocka_unit_test(each_no_touch_area_is_told_with_its_reason_or_that_it_has_none),
        cmocka_unit_test(rows_of_two_warm_up_series_are_two_series),
        cmocka_unit_test(a_part_with_either_meter_reading_counts_as_measured),
        cmocka_unit_test(the_json_of_a_check_tells_the_same_as_its_words),
        cmocka_unit_test(a_full_device_does_not_hide_that_the_job_is_faulty),
        cmocka_unit_test(where_no_hours_are_known_a_what_if_says_so),
        cmocka_unit_test(a_part_cannot_be_explained_where_none_is_listed),
        cmocka_unit_test(a_plan_after_a_single_reading_says_so),
        cmocka_unit_test(of_many_parts_that_run_hotter_twelve_are_named_and_the_rest_counted),
        cmocka_unit_test(a_part_of_the_second_survey_alone_is_in_the_json_without_a_change),
        cmocka_unit_test(every_command_holds_its_numbers_against_their_range),
        cmocka_unit_test(the_first_of_several_faults_is_told),
        cmocka_unit_test(an_end_of_options_and_nothing_after_it_asks_for_a_command),
        cmocka_unit_test(bytes_like_those_of_a_control_character_go_through),
        cmocka_unit_test(a_port_that_another_program_has_is_told),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("odd jobs", tests, NULL, NULL);
}
