/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the browser is told: the same verdicts as those of a job whose files say so. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "page/view.h"
#include "spotfield/output.h"

static char folder[256];

static void write_board(const char *service_ambient, const char *run_hours)
{
    char content[512];
    snprintf(content, sizeof content,
             "key,value,unit\nwidth,125,mm\nheight,85,mm\nambient,21.5,C\nservice_ambient,%s,C\n"
             "run_hours,%s,h\nmade,1999,\nsurveyed,2019-06-01,\n",
             service_ambient, run_hours);
    write_file(folder, "board.csv", content);
}

static session *open_session(void)
{
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_board("31.5", "43000");
    write_file(folder, "parts.csv",
               "ref,x_mm,y_mm,rated_c,endurance_h,hours\nC7,47.5,31,105,2000,\n"
               "C9,22.5,64,105,3000,17000\n");
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method\nr3,44,27,58.5,C,infrared\n"
               "r5,94,61,33.5,C,infrared\nr7,21,66,41.5,C,infrared\n");
    session *opened = session_new(folder, "/nowhere");
    assert_non_null(opened);
    return opened;
}

static void close_session(session *opened)
{
    session_free(opened);
    remove_folder(folder);
}

static double used_of(const json_t *parts, size_t part)
{
    return json_number_value(json_object_get(json_array_get(parts, part), "used"));
}

static double number_of(const json_t *of, const char *key)
{
    const json_t *found = json_object_get(of, key);
    assert_true(json_is_number(found));
    return json_number_value(found);
}

/* What the files now tell, beside what was foretold; ends both. */
static void assert_as_foretold(session *of, json_t *foretold)
{
    json_t *shown = view_live(of);
    const json_t *real = json_object_get(json_object_get(shown, "outcome"), "parts");
    assert_int_equal(json_array_size(real), 2);
    for (size_t i = 0; i < 2; i++) {
        assert_true(used_of(real, i) > 0.01);
        /* the same computation twice: equal but for the order of a sum */
        assert_close(used_of(foretold, i), used_of(real, i), 1e-9, 0);
    }
    json_decref(foretold);
    json_decref(shown);
    close_session(of);
}

static json_t *what_if(session *of, double air_k, double hours)
{
    return view_what_if(of, &(sf_wishes){.air_k = air_k, .grade_c = NAN, .hours = hours});
}

static void hours_to_come_are_foretold_as_the_files_would_tell_it(void **state)
{
    (void)state;
    session *of = open_session();
    json_t *foretold = what_if(of, 0, 9500);
    write_board("31.5", "52500");
    write_file(folder, "parts.csv",
               "ref,x_mm,y_mm,rated_c,endurance_h,hours\nC7,47.5,31,105,2000,\n"
               "C9,22.5,64,105,3000,26500\n");
    assert_as_foretold(of, foretold);
}

static void the_scale_is_told_from_where_rated_life_is_used_up(void **state)
{
    (void)state;
    session *of = open_session();
    static const char *const hours[] = {"52500", "900000"};
    for (int i = 0; i < 2; i++) {
        write_board("31.5", hours[i]);
        json_t *shown = view_live(of);
        const json_t *life = json_object_get(json_object_get(shown, "outcome"), "life");
        /* computed: 105 - 10 log2(52,500 / 2,000); a part at the floor of 40 C lasts 181,019 h */
        if (i == 0)
            assert_close(number_of(life, "used_up_from_c"), 105 - 10 * log2(26.25), 0, 1e-6);
        else
            assert_true(json_is_null(json_object_get(life, "used_up_from_c")));
        assert_int_equal(json_is_true(json_object_get(life, "used_up_always")), i);
        assert_close(number_of(life, "share"), 0.25, 0, 1e-12);
        json_decref(shown);
    }
    close_session(of);
}

static const char without_own_hours[] = "ref,x_mm,y_mm,rated_c,endurance_h\nC7,47.5,31,105,2000\n"
                                        "C9,22.5,64,105,3000\n";

/* The past in its own air, the hours to come in the warmer one: a history of two periods. */
static void warmer_air_wears_only_the_hours_to_come(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "parts.csv", without_own_hours);
    json_t *foretold = what_if(of, 7.25, 9500);
    write_board("38.75", "52500");
    write_file(folder, "history.csv", "hours,service_ambient,load\n43000,31.5,1\n9500,38.75,1\n");
    assert_as_foretold(of, foretold);
}

static void other_air_leaves_what_was_used_as_it_is(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "parts.csv",
               "ref,x_mm,y_mm,rated_c,endurance_h,hours\nC7,47.5,31,105,2000,\n"
               "C9,22.5,64,105,1000,17000\n");
    json_t *now = what_if(of, 0, 0), *colder = what_if(of, -9.5, 0);
    for (size_t i = 0; i < 2; i++) {
        const json_t *then = json_array_get(colder, i), *today = json_array_get(now, i);
        assert_close(used_of(colder, i), used_of(now, i), 1e-12, 0);
        assert_close(number_of(then, "temp_c"), number_of(today, "temp_c") - 9.5, 1e-12, 0);
    }
    /* only the rest of a life grows: by the 10-kelvin rule, which credits nothing below 40 C */
    double temp_c = number_of(json_array_get(now, 1), "temp_c");
    double spared_k = fmax(temp_c, 40) - fmax(temp_c - 9.5, 40);
    assert_true(spared_k > 5);
    assert_close(number_of(json_array_get(colder, 1), "left_h"),
                 exp2(spared_k / 10) * number_of(json_array_get(now, 1), "left_h"), 1e-9, 0);
    json_decref(now);
    json_decref(colder);
    close_session(of);
}

/* Two stretches of its life so far, the second in the board's own air; then one more. */
static void what_comes_after_a_history_is_foretold_as_the_files_would_tell_it(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "parts.csv", without_own_hours);
    write_file(folder, "history.csv", "hours,service_ambient,load\n21000,27.5,1\n14000,,0.7\n");
    json_t *foretold = what_if(of, 7.25, 9500);
    write_board("38.75", "52500");
    write_file(folder, "history.csv",
               "hours,service_ambient,load\n21000,27.5,1\n14000,31.5,0.7\n9500,,1\n");
    assert_as_foretold(of, foretold);
}

/* What `map --if-air A --if-fan --if-grade G --if-hours H` tells of the same job. */
static sf_prospect mapped(const sf_wishes *wishes)
{
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    sf_outcome *outcome = NULL;
    sf_map_options options = sf_map_options_default();
    options.wishes = *wishes;
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    assert_int_equal(sf_map_job(job, &options, &outcome, &diagnostics), SF_OK);
    sf_prospect all = outcome->what_ifs[outcome->what_if_count - 1].prospect;
    sf_outcome_free(outcome);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    return all;
}

static void assert_cause(const json_t *parts, size_t part, const char *letter, const char *cause)
{
    const json_t *of = json_array_get(parts, part);
    assert_string_equal(json_string_value(json_object_get(of, "letter")), letter);
    assert_string_equal(json_string_value(json_object_get(of, "cause")), cause);
}

static void the_page_has_the_letters_of_the_printed_map(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "parts.csv",
               "ref,x_mm,y_mm,rated_c,endurance_h,hours,critical\nC7,47.5,31,85,1000,900000,\n"
               "C9,22.5,64,105,3000,17000,\n");
    json_t *shown = view_live(of);
    const json_t *parts = json_object_get(json_object_get(shown, "outcome"), "parts");
    assert_cause(parts, 0, "A", "age (hours, grade)");
    assert_cause(parts, 1, "", "");
    json_decref(shown);
    close_session(of);
}

static void page_and_map_answer_one_what_if_alike(void **state)
{
    (void)state;
    const sf_wishes asked[] = {{-12, false, NAN, 0},    {-12, false, NAN, 4000},
                               {12, false, NAN, 20000}, {0, false, NAN, 20000},
                               {0, true, NAN, 20000},   {0, false, 105, 20000},
                               {5, true, 125, 9000}};
    session *of = open_session();
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        json_t *shown = view_what_if(of, &asked[i]);
        sf_prospect told = mapped(&asked[i]);
        size_t counts[SF_VERDICT_COUNT] = {0};
        for (size_t part = 0; part < json_array_size(shown); part++)
            for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
                counts[verdict] +=
                    strcmp(
                        json_string_value(json_object_get(json_array_get(shown, part), "verdict")),
                        sf_verdict_text((sf_verdict)verdict)) == 0;
        assert_memory_equal(counts, told.verdicts, sizeof counts);
        json_decref(shown);
    }
    close_session(of);
}

static void a_reading_far_from_what_the_others_expect_is_marked(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method\nr3,44,27,38.5,C,infrared\n"
               "r5,94,61,33.5,C,infrared\nr7,21,66,36.5,C,infrared\nr8,60,40,37,C,infrared\n"
               "r9,75,25,35.5,C,infrared\nr11,35,50,37.5,C,infrared\nr13,50,47,137.5,C,infrared\n"
               "r15,62,60,36,C,infrared\nr17,30,15,37,C,infrared\n");
    json_t *shown = view_live(of);
    const json_t *readings = json_object_get(json_object_get(shown, "outcome"), "readings");
    assert_int_equal(json_array_size(readings), 9);
    assert_true(json_is_true(json_object_get(json_array_get(readings, 6), "misfit")));
    assert_false(json_is_true(json_object_get(json_array_get(readings, 1), "misfit")));
    json_decref(shown);
    close_session(of);
}

/* Three equal steps towards 61.5 C with 9 min, or beyond, where a slower body stands behind. Value
 * and errors are those of the correction, which tests/readings holds; with u_k given the doubt is
 * hardly more than that of the steady state. */
static void a_warm_up_series_is_one_reading_with_its_steady_state(void **state)
{
    (void)state;
    session *of = open_session();
    const double minute[] = {4, 13, 22}, temp_c[] = {42.26, 54.42, 58.9};
    text rows = {0};
    text_add(&rows, "id,x_mm,y_mm,value,unit,method,u_k,minute\nr3,84,27,38.5,C,infrared,0.7,\n");
    for (size_t i = 0; i < 3; i++)
        text_addf(&rows, "s1,44,61,%g,C,infrared,0.05,%g\n", temp_c[i], minute[i]);
    write_file(folder, "readings.csv", rows.bytes);
    json_t *shown = view_live(of);
    const json_t *readings = json_object_get(json_object_get(shown, "outcome"), "readings");
    const json_t *once = json_array_get(readings, 0), *series = json_array_get(readings, 1);
    sf_observation *made = NULL;
    size_t count = 0;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_readings_correct(session_live(of)->job, &made, &count, &diagnostics),
                     SF_OK);
    assert_int_equal(count, 2);
    assert_int_equal(json_array_size(readings), 2);
    assert_int_equal(json_integer_value(json_object_get(once, "rows")), 1);
    assert_int_equal(json_integer_value(json_object_get(series, "rows")), 3);
    assert_close(number_of(once, "steady_sd_k"), 0, 0, 0);
    assert_close(number_of(series, "temp_c"), made[1].temp_c, 1e-6, 0);
    assert_close(number_of(series, "steady_sd_k"), made[1].steady_sd_k, 1e-6, 0);
    assert_close(number_of(series, "sd_k"), made[1].sd_k, 1e-6, 0);
    assert_true(made[1].sd_k > made[1].steady_sd_k && made[1].sd_k < made[1].steady_sd_k + 0.05);
    assert_true(number_of(series, "temp_c") > 61.5);
    assert_close(number_of(series, "temp_c"), 61.5, 0, 1.6449 * made[1].steady_sd_k);
    sf_observations_free(made, count);
    sf_diagnostics_clear(&diagnostics);
    json_decref(shown);
    text_clear(&rows);
    close_session(of);
}

static void a_job_that_cannot_be_read_is_told_with_its_faults(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "board.csv",
               "key,value,unit\nwidth,wide,mm\nheight,85,mm\nambient,21.5,C\n");
    json_t *shown = view_live(of), *job = view_job(of);
    assert_true(json_is_false(json_object_get(shown, "whole")));
    assert_true(json_is_null(json_object_get(shown, "outcome")));
    const char *first = json_string_value(json_array_get(json_object_get(shown, "complaints"), 0));
    assert_non_null(first);
    assert_non_null(strstr(first, "board.csv:2: width"));
    /* the tables are still shown, so that the fault can be mended */
    assert_non_null(json_object_get(json_object_get(job, "files"), "parts.csv"));
    json_decref(shown);
    json_decref(job);
    close_session(of);
}

/* A comment, a cell of two lines and CR LF come before the row, which begins on line 6. */
static void a_fault_is_told_by_the_line_that_its_row_is_told_with(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "parts.csv",
               "# by hand\r\nref,x_mm,y_mm,note\r\nC7,47.5,31,\"two\r\nlines\"\r\n\r\n"
               "C9,22.5,down,\r\n");
    json_t *shown = view_live(of), *job = view_job(of);
    const json_t *place = json_array_get(json_object_get(shown, "places"), 0);
    assert_string_equal(json_string_value(json_object_get(place, "file")), "parts.csv");
    assert_string_equal(json_string_value(json_object_get(place, "column")), "y_mm");
    assert_true(json_is_true(json_object_get(place, "error")));
    assert_close(number_of(place, "line"), 6, 0, 0);
    const json_t *parts = json_object_get(json_object_get(job, "files"), "parts.csv");
    const json_t *lines = json_object_get(parts, "lines");
    assert_int_equal(json_array_size(lines), 2);
    assert_int_equal(json_integer_value(json_array_get(lines, 0)), 3);
    assert_int_equal(json_integer_value(json_array_get(lines, 1)), 6);
    assert_int_equal(json_array_size(json_object_get(shown, "complaints")),
                     json_array_size(json_object_get(shown, "places")));
    json_decref(shown);
    json_decref(job);
    close_session(of);
}

static void can_and_board_are_told_apart_and_how_far_a_can_reaches(void **state)
{
    (void)state;
    session *of = open_session();
    write_file(folder, "policy.csv", "key,value,unit\nposition_sd_mm,1.5,mm\n");
    json_t *shown = view_live(of);
    const json_t *part =
        json_array_get(json_object_get(json_object_get(shown, "outcome"), "parts"), 0);
    /* a can rises less than the board below it; twice the doubt of a place */
    assert_true(number_of(part, "board_c") > number_of(part, "temp_c") + 1);
    assert_true(number_of(part, "board_sd_k") > 0);
    assert_close(number_of(shown, "can_reach_mm"), 3, 1e-12, 0);
    json_decref(shown);
    close_session(of);
}

/* One content of photo-marks.csv, and how the diagnostics about it begin. */
typedef struct faulty_marks {
    const char *content, *told[4];
} faulty_marks;

/* Fails unless so many diagnostics are about the marks, each beginning as is told. */
static void assert_told(const json_t *diagnostics, const char *const told[4])
{
    size_t about_marks = 0, expected = 0;
    while (expected < 4 && told[expected])
        expected++;
    for (size_t i = 0; i < json_array_size(diagnostics); i++) {
        const char *line = json_string_value(json_array_get(diagnostics, i));
        if (strncmp(line, "photo-marks.csv", strlen("photo-marks.csv")) != 0)
            continue;
        const char *start = about_marks < expected ? told[about_marks] : "nothing more";
        if (strncmp(line, start, strlen(start)) != 0)
            fail_msg("%s, expected %s", line, start);
        about_marks++;
    }
    assert_int_equal(about_marks, expected);
}

/* The four forms of being no table of marks: lines and columns counted by hand. */
static const faulty_marks faulty[] = {
    {"mark,column_px,row_px,x_mm,y_mm\n1,7,9,3,four\n2,17,9,13\n3,1e9,19,13,14\n",
     {"photo-marks.csv:2: y_mm: \"four\" is not a number, expected a number from",
      "photo-marks.csv:3: y_mm: the cell is blank, expected a number from",
      "photo-marks.csv:4: column_px: \"1e9\" is out of range, expected a number from"}},
    {"mark,column_px,y_mm\n1,7,9\n",
     {"photo-marks.csv:1: row_px: the column is missing, expected a number from",
      "photo-marks.csv:1: x_mm: the column is missing, expected a number from"}},
    {"# invented\nshelf;box\nleft;7\n",
     {"photo-marks.csv:2: the first line names no known column, such as mark, expected a line of"}},
    {"mark,column_px,row_px,x_mm,y_mm\n1,7,9,3,4\n2,\"17,9,13,14\n", {"photo-marks.csv:3: "}},
};

static void marks_of_the_photo_that_are_no_table_are_told(void **state)
{
    (void)state;
    session *of = open_session();
    for (size_t i = 0; i < sizeof faulty / sizeof *faulty; i++) {
        write_file(folder, "photo-marks.csv", faulty[i].content);
        json_t *shown = view_live(of);
        assert_told(json_object_get(shown, "complaints"), faulty[i].told);
        /* the verdicts need no photo */
        assert_true(json_is_true(json_object_get(shown, "whole")));
        assert_non_null(json_object_get(json_object_get(shown, "outcome"), "parts"));
        json_decref(shown);
    }
    close_session(of);
}

/* From the moment another program has mended it. */
static void marks_that_were_mended_are_told_of_no_more(void **state)
{
    (void)state;
    session *of = open_session();
    static const char *const none[4] = {NULL};
    write_file(folder, "photo-marks.csv", faulty[0].content);
    json_decref(view_live(of));
    write_file(folder, "photo-marks.csv",
               "mark,column_px,row_px,x_mm,y_mm\n1,200,300,10,20\n2,200,180,40,20\n");
    json_t *shown = view_live(of);
    assert_told(json_object_get(shown, "complaints"), none);
    json_decref(shown);
    close_session(of);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(warmer_air_wears_only_the_hours_to_come),
        cmocka_unit_test(other_air_leaves_what_was_used_as_it_is),
        cmocka_unit_test(the_page_has_the_letters_of_the_printed_map),
        cmocka_unit_test(page_and_map_answer_one_what_if_alike),
        cmocka_unit_test(the_scale_is_told_from_where_rated_life_is_used_up),
        cmocka_unit_test(hours_to_come_are_foretold_as_the_files_would_tell_it),
        cmocka_unit_test(what_comes_after_a_history_is_foretold_as_the_files_would_tell_it),
        cmocka_unit_test(a_reading_far_from_what_the_others_expect_is_marked),
        cmocka_unit_test(a_warm_up_series_is_one_reading_with_its_steady_state),
        cmocka_unit_test(a_job_that_cannot_be_read_is_told_with_its_faults),
        cmocka_unit_test(a_fault_is_told_by_the_line_that_its_row_is_told_with),
        cmocka_unit_test(can_and_board_are_told_apart_and_how_far_a_can_reaches),
        cmocka_unit_test(marks_of_the_photo_that_are_no_table_are_told),
        cmocka_unit_test(marks_that_were_mended_are_told_of_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
