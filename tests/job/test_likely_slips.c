/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Values that each may have and that do not agree: asked about once, by their line. */
#include "job_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* --- parts --- */

static void warned_of_parts(const char *rows, const char *expected)
{
    char content[1024];
    snprintf(content, sizeof content,
             "ref,x_mm,y_mm,diameter_mm,height_mm,capacitance_uf,rated_v,working_v\n%s", rows);
    assert_warned("parts.csv", content, expected);
}

static void more_volts_than_the_part_is_rated_for_are_asked_about(void **state)
{
    (void)state;
    warned_of_parts("C1,33,47,10,16,470,35,50\n",
                    "parts.csv:2: warning: working_v: 50 V on a part rated 35 V: are the two "
                    "swapped, or is the part overloaded?, expected at most rated_v\n");
    warned_of_parts("C1,33,47,10,16,470,35,35\nC2,60,47,10,16,470,,50\nC3,90,47,10,16,470,35,\n",
                    "");
}

/* Common catalogue sizes, the densest of their kind first, all from memory. */
static void what_goes_into_a_can_is_not_asked_about(void **state)
{
    (void)state;
    warned_of_parts("C1,10,47,18,35.5,4700,35,\n"
                    "C2,35,47,12.5,20,3300,6.3,\n"
                    "C3,60,47,35,50,10000,63,\n"
                    "C4,85,47,5,11,100,16,\n"
                    "C5,105,47,18,31.5,100,450,\n"
                    "C6,10,80,10,16,1000,25,\n"
                    "C7,30,80,5,,10000,16,\n",
                    "");
}

static void what_goes_into_no_can_is_asked_about(void **state)
{
    (void)state;
    warned_of_parts(
        "C1,33,47,5,11,10000,16,\n",
        "parts.csv:2: warning: capacitance_uf: 10000 uF at 16 V does not fit into a can "
        "of 5 x 11 mm: a slip in the value, its unit or the size?\n");
    /* at the least voltage that there is */
    warned_of_parts(
        "C1,33,47,5,11,10000,,\n",
        "parts.csv:2: warning: capacitance_uf: 10000 uF at 2.5 V does not fit into a can "
        "of 5 x 11 mm: a slip in the value, its unit or the size?\n");
    /* 60 uF V in each of 216 mm3 are 12,959 uF V (computed from the formula): 810 uF at 16 V */
    warned_of_parts("C1,33,47,5,11,800,16,\n", "");
    warned_of_parts(
        "C1,33,47,5,11,820,16,\n",
        "parts.csv:2: warning: capacitance_uf: 820 uF at 16 V does not fit into a can of "
        "5 x 11 mm: a slip in the value, its unit or the size?\n");
}

static void warned_of_grades(const char *rows, const char *expected)
{
    char content[512];
    snprintf(content, sizeof content, "ref,x_mm,y_mm,diameter_mm,type,rated_c,endurance_h\n%s",
             rows);
    assert_warned("parts.csv", content, expected);
}

/* Bounds: common practice, no source. */
static void grades_and_hours_that_no_catalogue_has_are_asked_about(void **state)
{
    (void)state;
    warned_of_grades("C1,33,47,10,,85,5000\nC2,60,47,10,polymer,150,15000\n"
                     "C3,90,47,36,,85,12000\nC4,33,20,5,tantalum,175,20000\nC5,60,20,10,,85,\n",
                     "");
    warned_of_grades("C1,33,47,10,,85,20000\nC2,60,47,10,,105,20000\n",
                     "parts.csv:2: warning: endurance_h: 20,000 h at 85 C is more than catalogues "
                     "promise for such cans, 5,000 h: a typing slip?\n"
                     "parts.csv:3: warning: endurance_h: 20,000 h at 105 C is more than catalogues "
                     "promise for such cans, 15,000 h: a typing slip?\n");
    warned_of_grades("C1,33,47,10,,185,2000\n",
                     "parts.csv:2: warning: rated_c: 185 C is more than capacitors of its type are "
                     "rated for, 150 C: a typing slip?\n");
}

static void two_parts_in_one_place_are_asked_about_once(void **state)
{
    (void)state;
    warned_of_parts(
        "C1,33,47,10,16,470,35,\nC2,60,20,10,16,470,35,\nC3,33,47,10,16,470,35,\n",
        "parts.csv:4: warning: x_mm: C3 is in the same place as C1 on line 2: entered twice, "
        "or a slip in a place?, expected a place of its own\n");
    /* the earlier row lies to the right; a small can amid a large one */
    warned_of_parts(
        "C1,34,47,6,16,47,35,\nC2,32,46,30,40,4700,35,\n",
        "parts.csv:3: warning: x_mm: C2 is in the same place as C1 on line 2: entered twice, "
        "or a slip in a place?, expected a place of its own\n");
    /* side by side, and overlapping by what a ruler may be off */
    warned_of_parts("C1,33,47,10,16,470,35,\nC2,43,47,10,16,470,35,\nC3,33,54,10,16,470,35,\n", "");
}

static void of_many_parts_in_one_place_a_score_is_told_and_the_rest_counted(void **state)
{
    (void)state;
    static char content[400 * 24 + 64];
    size_t length = (size_t)snprintf(content, sizeof content, "ref,x_mm,y_mm\n");
    for (int i = 0; i < 400; i++)
        length += (size_t)snprintf(content + length, sizeof content - length, "C%d,33,47\n", i);
    const char *folder = fresh_folder();
    write_sound_job(folder);
    write_file(folder, "parts.csv", content);
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    remove_folder(folder);
    assert_int_equal(diagnostics.warning_count, 21);
    assert_string_equal(diagnostics.items[20].what,
                        "379 more parts are in the same place as another");
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
}

/* --- readings --- */

static void warned_of_readings(const char *rows, const char *expected)
{
    char content[1024];
    snprintf(content, sizeof content, "id,x_mm,y_mm,value,unit,method,spot,ambient_c,minute\n%s",
             rows);
    assert_warned("readings.csv", content, expected);
}

static void a_double_click_is_asked_about(void **state)
{
    (void)state;
    warned_of_readings(
        "r1,31,44,58.5,C,infrared,board,,\nr2,31,44,58.5,C,infrared,board,,\n"
        "r3,60,44,40,C,infrared,board,,\n",
        "readings.csv:3: warning: value: r2 has the same place and value as r1 just above: "
        "entered twice?\n");
}

static void a_reading_taken_again_is_not_asked_about(void **state)
{
    (void)state;
    /* another value, another instrument, other air, and with one between */
    warned_of_readings("r1,31,44,58.5,C,infrared,board,,\nr2,31,44,58.6,C,infrared,board,,\n", "");
    warned_of_readings("r1,31,44,58.5,C,infrared,board,,\n"
                       "r2,31,44,58.5,C,thermocouple-K,board,,\n",
                       "");
    warned_of_readings("r1,31,44,58.5,C,infrared,board,21,\nr2,31,44,58.5,C,infrared,board,23,\n",
                       "");
    warned_of_readings("r1,31,44,58.5,C,infrared,board,,\nr2,60,44,40,C,infrared,board,,\n"
                       "r3,31,44,58.5,C,infrared,board,,\n",
                       "");
    /* a series that has come to rest */
    warned_of_readings("r1,31,44,58.5,C,infrared,board,,20\nr1,31,44,58.5,C,infrared,board,,30\n",
                       "");
}

static void air_of_readings_in_fahrenheit_is_asked_about_once(void **state)
{
    (void)state;
    warned_of_readings("r1,31,44,158.5,C,infrared,board,72,\nr2,60,44,140,C,infrared,board,72,\n",
                       "readings.csv:2: warning: ambient_c: 72 C is hot for air at a bench; 72 F "
                       "are 22.2 C: is the unit F?\n");
}

/* --- board --- */

static void warned_of_board(const char *rows, const char *expected)
{
    char content[1024];
    snprintf(content, sizeof content, "key,value,unit\nwidth,120,mm\nheight,90,mm\n%s", rows);
    assert_warned("board.csv", content, expected);
}

static void air_of_the_bench_in_fahrenheit_is_asked_about(void **state)
{
    (void)state;
    warned_of_board("ambient,69,C\nservice_ambient,75,C\n",
                    "board.csv:4: warning: ambient: 69 C is hot for air at a bench; 69 F are 20.6 "
                    "C: is the unit F?\n");
    warned_of_board("ambient,69,F\nservice_ambient,31,C\n", "");
    warned_of_board("ambient,45,C\nservice_ambient,52,C\n", "");
}

static void air_in_service_colder_than_the_bench_is_asked_about(void **state)
{
    (void)state;
    warned_of_board("ambient,22,C\nservice_ambient,4,C\n",
                    "board.csv:5: warning: service_ambient: service air of 4 C is 18 K colder than "
                    "the bench, but a cabinet is usually warmer: a typing slip? If you measured "
                    "the air in service, set service_ambient_u to 1 or less; until then parts that "
                    "would wear too much in warmer air get the verdict check\n");
    warned_of_board("ambient,22,C\nservice_ambient,4,C\nservice_ambient_u,1,K\n",
                    "board.csv:5: warning: service_ambient: service air of 4 C is 18 K colder than "
                    "the bench, but a cabinet is usually warmer: a typing slip?\n");
    warned_of_board(
        "ambient,22,C\nservice_ambient,12,C\n",
        "board.csv:5: warning: service_ambient: service air of 12 C is 10 K colder than "
        "the bench, but a cabinet is usually warmer: a typing slip?\n");
    warned_of_board("ambient,72,C\nservice_ambient,31,C\n",
                    "board.csv:4: warning: ambient: 72 C is hot for air at a bench; 72 F are 22.2 "
                    "C: is the unit F?\n"
                    "board.csv:5: warning: service_ambient: service air of 31 C is 41 K colder "
                    "than the bench, but a cabinet is usually warmer: a typing slip? Check the "
                    "unit of the bench air first\n");
    warned_of_board("ambient,22,C\nservice_ambient,17,C\n", "");
}

static void air_in_service_that_nobody_gave_is_asked_for(void **state)
{
    (void)state;
    static const char asked[] = "warning: service_ambient: not given, so the 22 C of the bench "
                                "is used; a cabinet is usually warmer, and 10 K more halves the "
                                "rated life, expected the air around the board in service\n";
    char line[512];
    snprintf(line, sizeof line, "board.csv: %s", asked);
    warned_of_board("ambient,22,C\n", line);
    snprintf(line, sizeof line, "board.csv:5: %s", asked);
    warned_of_board("ambient,22,C\nservice_ambient,,C\n", line);
}

/* The covers are told otherwise. */
static void nobody_is_asked_who_gave_the_rise_of_the_covers(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    write_sound_job(folder);
    write_file(folder, "board.csv", "key,value,unit\nwidth,120,mm\nheight,90,mm\nambient,22,C\n");
    write_file(folder, "policy.csv", "key,value,unit\ncover_rise_k,8.5,K\n");
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    remove_folder(folder);
    assert_int_equal(diagnostics.count, 0);
    sf_job_free(job);
}

#define METER                                                                                      \
    " If a meter counted them, set run_hours_u to 5 or less; until then parts that would be worn " \
    "by the other count get the verdict check"

static void hours_that_do_not_agree_with_hours_a_year_are_asked_about(void **state)
{
    (void)state;
    static const char board[] = "ambient,22,C\nservice_ambient,31,C\nmade,1998,\n"
                                "surveyed,2026,\nhours_per_year,2200,h\nrun_hours,%s\n";
    static const struct {
        const char *hours;
        const char *told; /* where it is asked about */
        const char *then;
    } tried[] = {
        {"61000,h", NULL, NULL}, /* 28 years: 61,600 h (computed) */
        {"191000,h", NULL, NULL},
        {"192000,h", "192,000", ""}, /* three times 29 years: 191,400 h */
        {"20000,h", NULL, NULL},
        {"19000,h", "19,000", ""}, /* a third of 27 years: 19,800 h */
        {"12000,h", "12,000", ""},
        {"11800,h", "11,800", METER}, /* a fifth of them: 11,880 h */
        {"6100,h", "6,100", METER},
        {"6100,h\nrun_hours_u,5,%", "6,100", ""},
        {"6100,h\nrun_hours_u,6,%", "6,100", METER},
        {"6100,h\nrun_hours_sd,305,h", "6,100", ""},
    };
    for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
        char rows[256], expected[320] = "";
        snprintf(rows, sizeof rows, board, tried[i].hours);
        if (tried[i].told)
            snprintf(expected, sizeof expected,
                     "board.csv:9: warning: run_hours: %s h is far from the 61,600 h that 2,200 h "
                     "a year gives from 1998 to 2026: a typing slip?%s\n",
                     tried[i].told, tried[i].then);
        warned_of_board(rows, expected);
    }
}

static void hours_of_all_periods_are_held_against_hours_a_year(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    write_sound_job(folder);
    write_file(folder, "board.csv",
               "key,value,unit\nwidth,120,mm\nheight,90,mm\nambient,22,C\nservice_ambient,31,C\n"
               "made,1998,\nsurveyed,2026,\nhours_per_year,2200,h\n");
    write_file(folder, "history.csv", "hours\n6000\n1000\n");
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    remove_folder(folder);
    sf_job_free(job);
    assert_int_equal(diagnostics.count, 1);
    char *told = sf_diagnostic_text(&diagnostics.items[0]);
    assert_string_equal(told, "history.csv: warning: hours: 7,000 h is far from the 61,600 h that "
                              "2,200 h a year gives from 1998 to 2026: a typing slip?" METER);
    free(told);
    sf_diagnostics_clear(&diagnostics);
}

/* More than there are in all those years: told of as such, and once. */
static void hours_beyond_the_calendar_are_warned_of_once(void **state)
{
    (void)state;
    warned_of_board("ambient,22,C\nservice_ambient,31,C\nmade,1998,\nsurveyed,2026,\n"
                    "hours_per_year,2200,h\nrun_hours,610000,h\n",
                    "board.csv:9: warning: run_hours: 610,000 h are more than there are from 1998 "
                    "to 2026: a typing slip?\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(more_volts_than_the_part_is_rated_for_are_asked_about),
        cmocka_unit_test(what_goes_into_a_can_is_not_asked_about),
        cmocka_unit_test(what_goes_into_no_can_is_asked_about),
        cmocka_unit_test(grades_and_hours_that_no_catalogue_has_are_asked_about),
        cmocka_unit_test(two_parts_in_one_place_are_asked_about_once),
        cmocka_unit_test(of_many_parts_in_one_place_a_score_is_told_and_the_rest_counted),
        cmocka_unit_test(a_double_click_is_asked_about),
        cmocka_unit_test(a_reading_taken_again_is_not_asked_about),
        cmocka_unit_test(air_of_readings_in_fahrenheit_is_asked_about_once),
        cmocka_unit_test(air_of_the_bench_in_fahrenheit_is_asked_about),
        cmocka_unit_test(air_in_service_colder_than_the_bench_is_asked_about),
        cmocka_unit_test(air_in_service_that_nobody_gave_is_asked_for),
        cmocka_unit_test(nobody_is_asked_who_gave_the_rise_of_the_covers),
        cmocka_unit_test(hours_that_do_not_agree_with_hours_a_year_are_asked_about),
        cmocka_unit_test(hours_of_all_periods_are_held_against_hours_a_year),
        cmocka_unit_test(hours_beyond_the_calendar_are_warned_of_once),
    };
    return cmocka_run_group_tests_name("slips", tests, NULL, NULL);
}
