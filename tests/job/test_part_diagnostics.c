/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every diagnostic about parts and sources, with its exact line. */
#include "job_folder.h"

#include <stdio.h>
#include <stdlib.h>

#include "core/text.h"

/* parts.csv */

static void critical_takes_yes_or_no(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm,critical\nC1,33.5,47.25,maybe\n",
                   "parts.csv:2: critical: \"maybe\" is neither yes nor no, expected yes or no\n");
}

static void a_tolerance_that_is_none_is_explained(void **state)
{
    (void)state;
    assert_refused(
        "parts.csv", "ref,x_mm,y_mm,tolerance_pct\nC1,33.5,47.25,W\n",
        "parts.csv:2: tolerance_pct: \"W\" is not a tolerance, expected per cent such as "
        "20, a pair such as -20/+50, or a letter such as M (IEC 60062)\n");
}

static void a_condition_that_is_not_known_is_refused(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm,condition\nC1,33.5,47.25,dry\n",
                   "parts.csv:2: condition: \"dry\" is not known, expected unknown, sound, bulged, "
                   "leaking, crusted, corroded or smells\n");
}

static void an_unknown_type_is_warned_of_with_the_one_that_was_meant(void **state)
{
    (void)state;
    assert_warned(
        "parts.csv", "ref,x_mm,y_mm,type\nC1,33.5,47.25,tantal\n",
        "parts.csv:2: warning: type: \"tantal\" is not known, taken as aluminium: did you "
        "mean tantalum?, expected aluminium, bipolar, polymer, hybrid, tantalum or film\n");
}

static void a_measurement_without_anything_to_judge_it_by_is_not_passed_over(void **state)
{
    (void)state;
    assert_warned(
        "parts.csv", "ref,x_mm,y_mm,measured_esr_ohm,rated_v\nC1,33.5,47.25,0.3,25\n",
        "parts.csv:2: warning: measured_esr_ohm: it decides nothing without a limit, "
        "expected esr_limit_ohm, or capacitance_uf and rated_v or tan_delta, beside it\n");
    assert_warned("parts.csv", "ref,x_mm,y_mm,measured_uf\nC1,33.5,47.25,46\n",
                  "parts.csv:2: warning: measured_uf: it decides nothing without the marking, "
                  "expected capacitance_uf beside it\n");
    assert_warned("parts.csv",
                  "ref,x_mm,y_mm,leakage_ua,capacitance_uf,rated_v,type\n"
                  "C1,33.5,47.25,12,47,25,film\n",
                  "parts.csv:2: warning: leakage_ua: it decides nothing without a limit, expected "
                  "leakage_limit_ua, or capacitance_uf and rated_v, beside it\n");
}

static void an_endurance_read_from_a_thousands_point_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "parts.csv", "ref;x_mm;y_mm;endurance_h\nC1;33;47;2.000\n",
        "parts.csv:2: endurance_h: \"2.000\" is out of range, expected a number from 100 "
        "to 1000000 h\n");
}

static void an_odd_capacitance_and_voltage_are_asked_about(void **state)
{
    (void)state;
    assert_warned(
        "parts.csv", "ref,x_mm,y_mm,capacitance_uf,rated_v\nC1,33.5,47.25,74,53\n",
        "parts.csv:2: warning: capacitance_uf: 74 uF is in no series of preferred values: a typing "
        "slip?\n"
        "parts.csv:2: warning: rated_v: 53 V is not a usual rated voltage: a typing slip?\n");
}

static void two_parts_of_one_name_are_refused(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm\nC4,33.5,47.25\nC2,60,20\nC4,34.5,12\nC4,12,34.5\n",
                   "parts.csv:4: ref: \"C4\" is already on line 2, expected a name of its own\n"
                   "parts.csv:5: ref: \"C4\" is already on line 4, expected a name of its "
                   "own\n");
}

static void a_part_off_the_board_is_refused_beyond_two_millimetres(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm\nC1,121.75,47.25\nC2,60,93.5\n",
                   "parts.csv:3: part C2 at (60, 93.5) lies 3.5 mm from the nearest board, outside "
                   "the edge or in a cut-out, expected a place on the board\n");
}

static void a_part_made_after_the_survey_is_refused(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    write_file(
        folder, "board.csv",
        "key,value\nwidth,120\nheight,90\nambient,23.5\nservice_ambient,31\nsurveyed,2004-02-11\n");
    write_file(folder, "parts.csv", "ref,x_mm,y_mm,year\nC1,33.5,47.25,2040\nC2,60,20,2004\n");
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_ERROR_DATA);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, "parts.csv:2: year: 2040 is after the survey of 2004-02-11, "
                               "expected a year before it\n");
    free(lines);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

static void a_job_without_parts_is_warned_of(void **state)
{
    (void)state;
    assert_warned("parts.csv", "ref,x_mm,y_mm\n", "parts.csv: warning: the file has no part\n");
}

/* sources.csv */

static const char source_header[] = "ref,x_mm,y_mm,width_mm,height_mm,power_w,power_u_w\n";

static const char *sources_of(const char *rows)
{
    static char content[1024];
    snprintf(content, sizeof content, "%s%s", source_header, rows);
    return content;
}

static void two_sources_of_one_name_are_refused(void **state)
{
    (void)state;
    assert_refused("sources.csv", sources_of("R7,31,44,8,12,,\nR7,62,44,8,12,,\n"),
                   "sources.csv:3: ref: \"R7\" is already on line 2, expected a name of its "
                   "own\n");
}

static void a_source_larger_than_the_board_is_refused(void **state)
{
    (void)state;
    assert_refused("sources.csv", sources_of("R7,31,44,151,12,,\n"),
                   "sources.csv:2: source R7 of 151 x 12 mm is larger than the board, expected a "
                   "footprint that fits the board\n");
}

static void a_source_may_hang_over_the_edge_but_not_leave_the_board(void **state)
{
    (void)state;
    assert_warned("sources.csv", sources_of("R7,125.5,44,8,12,,\n"), "");
    assert_refused("sources.csv", sources_of("R7,128.25,44,8,12,,\n"),
                   "sources.csv:2: source R7 at (128.25, 44) lies 4.2 mm from the nearest board, "
                   "outside the edge or in a cut-out, expected a place on the board\n");
}

static void an_uncertainty_without_a_power_is_passed_over(void **state)
{
    (void)state;
    assert_warned("sources.csv", sources_of("R7,31,44,8,12,,0.25\n"),
                  "sources.csv:2: warning: power_u_w: without a power_w it is ignored\n");
}

static void more_sources_than_the_limit_are_refused(void **state)
{
    (void)state;
    text rows = {0};
    text_add(&rows, source_header);
    for (unsigned i = 0; i <= SF_SOURCES_MAX; i++)
        text_addf(&rows, "R%u,31,44,8,12,,\n", i);
    char *content = text_take(&rows);
    assert_refused("sources.csv", content,
                   "sources.csv: the file has more sources than the limit of 1000\n");
    free(content);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(critical_takes_yes_or_no),
        cmocka_unit_test(a_tolerance_that_is_none_is_explained),
        cmocka_unit_test(a_condition_that_is_not_known_is_refused),
        cmocka_unit_test(an_unknown_type_is_warned_of_with_the_one_that_was_meant),
        cmocka_unit_test(a_measurement_without_anything_to_judge_it_by_is_not_passed_over),
        cmocka_unit_test(an_endurance_read_from_a_thousands_point_is_refused),
        cmocka_unit_test(an_odd_capacitance_and_voltage_are_asked_about),
        cmocka_unit_test(two_parts_of_one_name_are_refused),
        cmocka_unit_test(a_part_off_the_board_is_refused_beyond_two_millimetres),
        cmocka_unit_test(a_part_made_after_the_survey_is_refused),
        cmocka_unit_test(a_job_without_parts_is_warned_of),
        cmocka_unit_test(two_sources_of_one_name_are_refused),
        cmocka_unit_test(a_source_larger_than_the_board_is_refused),
        cmocka_unit_test(a_source_may_hang_over_the_edge_but_not_leave_the_board),
        cmocka_unit_test(an_uncertainty_without_a_power_is_passed_over),
        cmocka_unit_test(more_sources_than_the_limit_are_refused),
    };
    return cmocka_run_group_tests_name("complaints of parts and sources", tests, NULL, NULL);
}
