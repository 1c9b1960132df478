/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every diagnostic about the keys of board and policy, with its exact line. */
#include "job_folder.h"

/* board.csv */

static void a_missing_key_is_named_with_what_it_takes(void **state)
{
    (void)state;
    assert_refused("board.csv", "key,value,unit\nwidth,120,mm\nambient,23.5,C\n",
                   "board.csv: height: the key is missing, expected a number from 1 to 2000 mm\n");
}

static void a_blank_required_value_is_refused_on_its_line(void **state)
{
    (void)state;
    assert_refused("board.csv", "key,value\nwidth,120\nheight,90\nambient,\n",
                   "board.csv:4: ambient: the value is blank, expected a number from -40 to "
                   "100 C\n");
}

static void an_unknown_key_is_passed_over_with_the_nearest_name(void **state)
{
    (void)state;
    assert_warned(
        "board.csv",
        "key,value\nwidth,120\nheight,90\nambient,23.5\nthicknes,1.5\nservice_ambient,31\n",
        "board.csv:5: warning: thicknes: unknown key is ignored; did you mean thickness?\n");
}

static void a_key_given_twice_is_refused(void **state)
{
    (void)state;
    assert_refused("board.csv", "key,value\nwidth,120\nheight,90\nambient,23.5\nwidth,130\n",
                   "board.csv:5: width: the key is already on line 2, expected each key "
                   "once\n");
}

static void an_unknown_unit_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused(
        "board.csv", "key,value,unit\nwidth,120,furlong\nheight,90,\nambient,23.5,\n",
        "board.csv:2: width: \"furlong\" is not a unit for it, expected mm, cm, m, in, mil "
        "or um\n");
}

static void a_unit_where_none_belongs_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "board.csv",
        "key,value,unit\nwidth,120,\nheight,90,\nambient,23.5,\ncopper_layers,2,mm\n"
        "air,still,C\n",
        "board.csv:5: copper_layers: \"mm\" is not a unit for it, expected a blank cell\n"
        "board.csv:6: air: \"C\" is not a unit for it, expected a blank cell\n");
}

static void a_negative_and_a_huge_board_are_refused(void **state)
{
    (void)state;
    assert_refused(
        "board.csv", "key,value,unit\nwidth,-120,mm\nheight,90,in\nambient,23.5,\n",
        "board.csv:2: width: \"-120\" is out of range, expected a number from 1 to 2000 mm\n"
        "board.csv:3: height: \"90\" in is 2286 mm and out of range, expected a number "
        "from 1 to 2000 mm\n");
}

static void a_board_of_no_width_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "board.csv", "key,value\nwidth,0\nheight,90\nambient,23.5\n",
        "board.csv:2: width: \"0\" is out of range, expected a number from 1 to 2000 mm\n");
}

static void an_unknown_grade_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("board.csv", "key,value\nwidth,120\nheight,90\nambient,23.5\ngrade,FR-9\n",
                   "board.csv:5: grade: \"FR-9\" is not known, expected FR-1, FR-2, CEM-1, CEM-3 "
                   "or FR-4\n");
}

static void half_a_layer_is_refused(void **state)
{
    (void)state;
    assert_refused("board.csv",
                   "key,value\nwidth,120\nheight,90\nambient,23.5\ncopper_layers,1.5\n",
                   "board.csv:5: copper_layers: \"1.5\" is not a whole number, expected a whole "
                   "number from 1 to 64\n");
}

static void a_date_in_another_order_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "board.csv", "key,value\nwidth,120\nheight,90\nambient,23.5\nsurveyed,15.01.2026\n",
        "board.csv:5: surveyed: \"15.01.2026\" is not a date, expected YYYY-MM-DD or YYYY, "
        "from 1900 to 2100\n");
}

static void a_board_made_after_its_survey_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "board.csv",
        "key,value\nwidth,120\nheight,90\nambient,23.5\nservice_ambient,31\nsurveyed,1998-05-17\n"
        "made,2004\n",
        "board.csv:7: made: 2004 is after the survey of 1998-05-17, expected a year "
        "before it\n");
}

static void more_run_hours_than_there_were_are_asked_about(void **state)
{
    (void)state;
    assert_warned("board.csv",
                  "key,value\nwidth,120\nheight,90\nambient,23.5\nservice_ambient,31\nsurveyed,"
                  "2004\nmade,1998\n"
                  "run_hours,610000\n",
                  "board.csv:8: warning: run_hours: 610,000 h are more than there are from 1998 to "
                  "2004: a typing slip?\n");
}

static void a_copper_cover_that_looks_like_a_share_is_asked_about(void **state)
{
    (void)state;
    assert_warned(
        "board.csv",
        "key,value\nwidth,120\nheight,90\nambient,23.5\ncopper_cover,0.45\nservice_ambient,31\n",
        "board.csv:5: warning: copper_cover: 0.45 % is very little copper: a typing slip? "
        "45 % may be meant\n");
}

static void a_key_file_without_its_header_is_refused_once(void **state)
{
    (void)state;
    assert_refused("board.csv", "width,120,mm\nheight,90,mm\nambient,23.5,C\n",
                   "board.csv:1: the first line names no known column, such as key, expected a "
                   "line of column names separated by commas, semicolons or tabs\n");
}

/* policy.csv */

static void a_policy_value_out_of_range_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "policy.csv", "key,value,unit\npast_life_check,1.25,\nkit_spare_pct,ten,%\n",
        "policy.csv:2: past_life_check: \"1.25\" is out of range, expected a number "
        "from 0 to 1\n"
        "policy.csv:3: kit_spare_pct: \"ten\" is not a number, expected a number from 0 to "
        "1000 %\n");
}

static void an_unknown_policy_key_is_passed_over(void **state)
{
    (void)state;
    assert_warned(
        "policy.csv", "key,value\nseal_year,17\n",
        "policy.csv:2: warning: seal_year: unknown key is ignored; did you mean seal_years?\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_missing_key_is_named_with_what_it_takes),
        cmocka_unit_test(a_blank_required_value_is_refused_on_its_line),
        cmocka_unit_test(an_unknown_key_is_passed_over_with_the_nearest_name),
        cmocka_unit_test(a_key_given_twice_is_refused),
        cmocka_unit_test(an_unknown_unit_names_the_known_ones),
        cmocka_unit_test(a_unit_where_none_belongs_is_refused),
        cmocka_unit_test(a_negative_and_a_huge_board_are_refused),
        cmocka_unit_test(a_board_of_no_width_is_refused),
        cmocka_unit_test(an_unknown_grade_names_the_known_ones),
        cmocka_unit_test(half_a_layer_is_refused),
        cmocka_unit_test(a_date_in_another_order_is_refused),
        cmocka_unit_test(a_board_made_after_its_survey_is_refused),
        cmocka_unit_test(more_run_hours_than_there_were_are_asked_about),
        cmocka_unit_test(a_copper_cover_that_looks_like_a_share_is_asked_about),
        cmocka_unit_test(a_key_file_without_its_header_is_refused_once),
        cmocka_unit_test(a_policy_value_out_of_range_is_refused),
        cmocka_unit_test(an_unknown_policy_key_is_passed_over),
    };
    return cmocka_run_group_tests_name("complaints of board and policy", tests, NULL, NULL);
}
