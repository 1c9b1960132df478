/* Every complaint about the content of a file, with its exact line. */
#include "job_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/text.h"

/* keepout.csv */

static void only_a_contact_reading_in_a_no_touch_area_is_warned_of(void **state)
{
    (void)state;
    /* r1, by thermocouple, and r2, by infrared, lie inside; the same area without r1 is silent */
    assert_warned("keepout.csv",
                  "ring,x_mm,y_mm,reason\n4,10,10,mains\n4,110,10,\n4,110,80,\n4,10,80,\n",
                  "readings.csv:2: warning: method: reading r1 was taken by contact in no-touch "
                  "area 4 (mains), where voltage can kill, expected infrared, from outside the "
                  "area\n");
    assert_warned("keepout.csv",
                  "ring,x_mm,y_mm,reason\n4,60,10,mains\n4,110,10,\n4,110,80,\n4,60,80,\n", "");
}

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
    assert_warned("board.csv", "key,value\nwidth,120\nheight,90\nambient,23.5\nthicknes,1.5\n",
                  "board.csv:5: warning: thicknes: unknown key is passed over; the nearest known "
                  "name is thickness\n");
}

static void a_key_given_twice_is_refused(void **state)
{
    (void)state;
    assert_refused("board.csv", "key,value\nwidth,120\nheight,90\nambient,23.5\nwidth,130\n",
                   "board.csv:5: width: the key stands on line 2 already, expected each key "
                   "once\n");
}

static void an_unknown_unit_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("board.csv", "key,value,unit\nwidth,120,furlong\nheight,90,\nambient,23.5,\n",
                   "board.csv:2: width: \"furlong\" is no unit for it, expected mm, cm, m, in, mil "
                   "or um\n");
}

static void a_unit_where_none_belongs_is_refused(void **state)
{
    (void)state;
    assert_refused("board.csv",
                   "key,value,unit\nwidth,120,\nheight,90,\nambient,23.5,\ncopper_layers,2,mm\n"
                   "air,still,C\n",
                   "board.csv:5: copper_layers: \"mm\" is no unit for it, expected a blank cell\n"
                   "board.csv:6: air: \"C\" is no unit for it, expected a blank cell\n");
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
                   "board.csv:5: copper_layers: \"1.5\" is no whole number, expected a whole "
                   "number from 1 to 64\n");
}

static void a_date_in_another_order_is_refused(void **state)
{
    (void)state;
    assert_refused("board.csv",
                   "key,value\nwidth,120\nheight,90\nambient,23.5\nsurveyed,15.01.2026\n",
                   "board.csv:5: surveyed: \"15.01.2026\" is no date, expected YYYY-MM-DD or YYYY, "
                   "from 1900 to 2100\n");
}

static void a_board_made_after_its_survey_is_refused(void **state)
{
    (void)state;
    assert_refused("board.csv",
                   "key,value\nwidth,120\nheight,90\nambient,23.5\nsurveyed,1998-05-17\n"
                   "made,2004\n",
                   "board.csv: made: 2004 lies after the survey of 1998-05-17, expected a year "
                   "before it\n");
}

static void more_run_hours_than_there_were_are_asked_about(void **state)
{
    (void)state;
    assert_warned("board.csv",
                  "key,value\nwidth,120\nheight,90\nambient,23.5\nsurveyed,2004\nmade,1998\n"
                  "run_hours,610000\n",
                  "board.csv: warning: run_hours: 610000 h are more than there are from 1998 to "
                  "2004: a typing slip?\n");
}

static void a_copper_cover_that_looks_like_a_share_is_asked_about(void **state)
{
    (void)state;
    assert_warned("board.csv", "key,value\nwidth,120\nheight,90\nambient,23.5\ncopper_cover,0.45\n",
                  "board.csv: warning: copper_cover: 0.45 % is very little copper: a typing slip? "
                  "45 % may be meant\n");
}

static void a_key_file_without_its_header_is_refused_once(void **state)
{
    (void)state;
    assert_refused("board.csv", "width,120,mm\nheight,90,mm\nambient,23.5,C\n",
                   "board.csv:1: the first line names no known column, such as key, expected a "
                   "line of column names parted by commas, semicolons or tabs\n");
}

/* policy.csv */

static void a_policy_value_out_of_range_is_refused(void **state)
{
    (void)state;
    assert_refused("policy.csv", "key,value,unit\npast_life_check,1.25,\nkit_spare_pct,ten,%\n",
                   "policy.csv:2: past_life_check: \"1.25\" is out of range, expected a number "
                   "from 0 to 1\n"
                   "policy.csv:3: kit_spare_pct: \"ten\" is no number, expected a number from 0 to "
                   "1000 %\n");
}

static void an_unknown_policy_key_is_passed_over(void **state)
{
    (void)state;
    assert_warned("policy.csv", "key,value\nseal_year,17\n",
                  "policy.csv:2: warning: seal_year: unknown key is passed over; the nearest known "
                  "name is seal_years\n");
}

/* Columns and cells */

static void an_unknown_column_is_passed_over_with_the_nearest_name(void **state)
{
    (void)state;
    assert_warned("parts.csv", "ref,x_mm,y_mm,capacitence_uf\nC1,33.5,47.25,471.3\n",
                  "parts.csv:1: warning: unknown column \"capacitence_uf\" is passed over; the "
                  "nearest known name is capacitance_uf\n");
}

static void a_column_without_a_name_is_passed_over(void **state)
{
    (void)state;
    assert_warned("parts.csv", "ref,x_mm,,y_mm\nC1,33.5,8,47.25\n",
                  "parts.csv:1: warning: column 3 has no name and is passed over, expected a name "
                  "for each column\n");
}

static void a_missing_column_is_named_with_what_it_takes(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm\nC1,33.5\n",
                   "parts.csv:1: y_mm: the column is missing, expected a number from -2 to 2002 "
                   "mm\n");
}

static void a_blank_required_cell_is_refused_on_its_line(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm\nC1,33.5,47.25\n,,12.5\n",
                   "parts.csv:3: ref: the cell is blank, expected a text\n"
                   "parts.csv:3: x_mm: the cell is blank, expected a number from -2 to 2002 mm\n");
}

static void what_strtod_takes_for_a_number_is_refused(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm,rated_v\nC1,nan,0x1F,1e999\n",
                   "parts.csv:2: x_mm: \"nan\" is no number, expected a number from -2 to 2002 mm\n"
                   "parts.csv:2: y_mm: \"0x1F\" is no number, expected a number from -2 to 2002 "
                   "mm\n"
                   "parts.csv:2: rated_v: \"1e999\" is too large for a number, expected a number "
                   "from 1 to 1000 V\n");
}

static void a_decimal_comma_between_commas_is_explained(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm\nC1,\"33,5\",47.25\n",
                   "parts.csv:2: x_mm: \"33,5\" has a decimal comma, but commas part the cells of "
                   "this file, expected a number from -2 to 2002 mm\n");
}

static void a_point_and_a_comma_in_one_cell_are_refused(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref;x_mm;y_mm;endurance_h\nC1;33,5;47,25;2.000,0\n",
                   "parts.csv:2: endurance_h: \"2.000,0\" has a point and a comma, expected a "
                   "number from 100 to 1000000 h\n");
}

static void points_and_commas_in_one_file_are_warned_of(void **state)
{
    (void)state;
    assert_warned("parts.csv", "ref;x_mm;y_mm\nC1;33,5;47,25\nC2;64.5;12\n",
                  "parts.csv:3: warning: some numbers have a decimal comma, others a decimal "
                  "point, expected one of them throughout\n");
}

static void a_fault_after_a_cell_of_two_lines_is_named_by_its_own_line(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,note,x_mm,y_mm\nC1,\"one\ntwo\",33.5,forty\n",
                   "parts.csv:3: y_mm: \"forty\" is no number, expected a number from -2 to 2002 "
                   "mm\n");
}

static void a_long_cell_is_shown_cut(void **state)
{
    (void)state;
    assert_refused("parts.csv",
                   "ref,x_mm,y_mm\nC1,33.5,"
                   "a very long remark that somebody typed into the wrong column of the sheet\n",
                   "parts.csv:2: y_mm: \"a very long remark that somebody typed into the wrong "
                   "column...\" is no number, expected a number from -2 to 2002 mm\n");
}

static void a_cell_of_sixty_bytes_is_shown_whole(void **state)
{
    (void)state;
    assert_refused("parts.csv",
                   "ref,x_mm,y_mm\nC1,33.5,"
                   "sixty bytes of a remark fit the line of a complaint; no more\n",
                   "parts.csv:2: y_mm: \"sixty bytes of a remark fit the line of a complaint; no "
                   "more\" is no number, expected a number from -2 to 2002 mm\n");
}

static void a_cut_cell_never_ends_in_half_a_character(void **state)
{
    (void)state;
    char content[256] = "ref,x_mm,y_mm\nC1,33.5,a";
    for (int i = 0; i < 40; i++)
        strcat(content, "\u00B5");
    sf_complaints complaints = {0};
    sf_job *job = NULL;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    write_file(folder, "parts.csv", content);
    assert_int_equal(sf_job_read(folder, &job, &complaints), SF_ERROR_DATA);
    assert_non_null(strstr(complaints.items[0].what, "\u00B5...\" is no number"));
    sf_complaints_clear(&complaints);
    remove_folder(folder);
}

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
    assert_refused("parts.csv", "ref,x_mm,y_mm,tolerance_pct\nC1,33.5,47.25,W\n",
                   "parts.csv:2: tolerance_pct: \"W\" is no tolerance, expected per cent such as "
                   "20, a pair such as -20/+50, or a letter such as M (IEC 60062)\n");
}

static void a_condition_that_is_not_known_is_refused(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm,condition\nC1,33.5,47.25,dry\n",
                   "parts.csv:2: condition: \"dry\" is not known, expected unknown, sound, bulged "
                   "or leaking\n");
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
        "parts.csv:2: warning: capacitance_uf: 74 uF is on no series of preferred "
        "values: a typing slip?\n"
        "parts.csv:2: warning: rated_v: 53 V is no usual rated voltage: a typing slip?\n");
}

static void two_parts_of_one_name_are_refused(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm\nC4,33.5,47.25\nC2,60,20\nC4,34.5,12\nC4,12,34.5\n",
                   "parts.csv:4: ref: \"C4\" stands on line 2 already, expected a name of its own\n"
                   "parts.csv:5: ref: \"C4\" stands on line 4 already, expected a name of its "
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
    write_file(folder, "board.csv",
               "key,value\nwidth,120\nheight,90\nambient,23.5\nsurveyed,2004-02-11\n");
    write_file(folder, "parts.csv", "ref,x_mm,y_mm,year\nC1,33.5,47.25,2040\nC2,60,20,2004\n");
    sf_job *job = NULL;
    sf_complaints complaints = {0};
    assert_int_equal(sf_job_read(folder, &job, &complaints), SF_ERROR_DATA);
    char *lines = complaint_lines(&complaints);
    assert_string_equal(lines, "parts.csv:2: year: 2040 lies after the survey of 2004-02-11, "
                               "expected a year before it\n");
    free(lines);
    sf_complaints_clear(&complaints);
    remove_folder(folder);
}

static void a_job_without_parts_is_warned_of(void **state)
{
    (void)state;
    assert_warned("parts.csv", "ref,x_mm,y_mm\n", "parts.csv: warning: the file holds no part\n");
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
                   "sources.csv:3: ref: \"R7\" stands on line 2 already, expected a name of its "
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
                  "sources.csv:2: warning: power_u_w: without a power_w it is passed over\n");
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

/* readings.csv */

static const char *readings_of(const char *rows)
{
    static char content[1024];
    snprintf(content, sizeof content, "id,x_mm,y_mm,value,unit,method,spot,minute,junction_c\n%s",
             rows);
    return content;
}

static void a_job_without_readings_is_refused(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of(""),
                   "readings.csv: the file holds no reading, expected at least one\n");
}

static void one_reading_is_enough(void **state)
{
    (void)state;
    assert_warned("readings.csv", readings_of("a,31,44,58.5,C,infrared,board,,\n"), "");
}

static void an_unknown_unit_of_a_reading_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,Re,infrared,board,,\n"),
                   "readings.csv:2: unit: \"Re\" is not known, expected C, F, K or mV\n");
}

static void an_unknown_method_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,C,finger,board,,\n"),
                   "readings.csv:2: method: \"finger\" is not known, expected thermocouple-K, "
                   "thermocouple-J, thermocouple-T or infrared\n");
}

static void an_unknown_spot_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,C,infrared,wall,,\n"),
                   "readings.csv:2: spot: \"wall\" is not known, expected board, part or source\n");
}

static void a_temperature_no_board_survives_is_refused(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,K,infrared,board,,\n"),
                   "readings.csv:2: value: -214.65 C is out of range, expected -60 to 400 C\n");
}

static void a_millivolt_reading_needs_its_junction_and_a_thermocouple(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,1.45,mV,infrared,board,,\n"),
                   "readings.csv:2: method: an infrared thermometer does not show millivolts, "
                   "expected a thermocouple\n"
                   "readings.csv:2: junction_c: a reading in mV needs it, expected the temperature "
                   "of the reference junction in C\n");
    assert_refused("readings.csv", readings_of("a,31,44,91.5,mV,thermocouple-K,board,,21\n"),
                   "readings.csv:2: value: 91.5 mV is out of range, expected -10 to 80 mV\n");
}

static void a_junction_without_a_voltage_is_passed_over(void **state)
{
    (void)state;
    assert_warned("readings.csv", readings_of("a,31,44,58.5,C,thermocouple-K,board,,21.5\n"),
                  "readings.csv:2: warning: junction_c: it is passed over, since the value is not "
                  "in mV\n");
}

static void a_reading_just_off_the_board_is_warned_of(void **state)
{
    (void)state;
    assert_warned("readings.csv", readings_of("a,31,-1.5,58.5,C,infrared,board,,\n"),
                  "readings.csv:2: warning: reading a at (31, -1.5) lies 1.5 mm off the board and "
                  "counts at its nearest place\n");
}

static void a_reading_far_off_the_board_is_refused(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,92.25,58.5,C,infrared,board,,\n"),
                   "readings.csv:2: reading a at (31, 92.25) lies 2.2 mm from the nearest board, "
                   "outside the edge or in a cut-out, expected a place on the board\n");
}

static void a_second_row_of_an_id_needs_a_minute(void **state)
{
    (void)state;
    assert_refused("readings.csv",
                   readings_of("a,31,44,58.5,C,infrared,board,,\nb,60,20,40,C,infrared,board,,\n"
                               "a,31,44,59.5,C,infrared,board,,\n"),
                   "readings.csv:4: minute: the cell is blank, and line 2 has the same id \"a\", "
                   "expected a minute in each row of a warm-up series, or an id of its own\n");
}

static void a_series_with_one_blank_minute_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "readings.csv",
        readings_of("a,31,44,58.5,C,infrared,board,,\na,31,44,59.5,C,infrared,board,12,\n"),
        "readings.csv:2: minute: the cell is blank, and line 3 has the same id \"a\", "
        "expected a minute in each row of a warm-up series, or an id of its own\n");
}

static void a_series_with_one_minute_twice_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "readings.csv",
        readings_of("a,31,44,58.5,C,infrared,board,7.5,\n"
                    "a,31,44,59.5,C,infrared,board,7.5,\n"),
        "readings.csv:3: minute: 7.5 is also the minute of line 2, which has the same id "
        "\"a\", expected different minutes in a warm-up series\n");
}

static void a_series_that_changes_anything_but_time_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *row, *column;
    } changed[] = {
        {"a,32,44,59.5,C,infrared,board,9,\n", "x_mm"},
        {"a,31,45,59.5,C,infrared,board,9,\n", "y_mm"},
        {"a,31,44,59.5,C,thermocouple-K,board,9,\n", "method"},
        {"a,31,44,139.5,F,infrared,board,9,\n", "unit"},
        {"a,31,44,59.5,C,infrared,part,9,\n", "spot"},
    };
    for (size_t i = 0; i < sizeof changed / sizeof changed[0]; i++) {
        char rows[256], expected[256];
        snprintf(rows, sizeof rows, "a,31,44,58.5,C,infrared,board,5,\n%s", changed[i].row);
        snprintf(
            expected, sizeof expected,
            "readings.csv:3: %s: it differs from line 2, which has the same id \"a\", expected "
            "the same in each row of a warm-up series\n",
            changed[i].column);
        assert_refused("readings.csv", readings_of(rows), expected);
    }
}

/* history.csv and controls.csv */

static void a_period_of_negative_hours_is_refused(void **state)
{
    (void)state;
    assert_refused("history.csv", "hours,load\n-250,1\n",
                   "history.csv:2: hours: \"-250\" is out of range, expected a number from 0 to "
                   "1000000 h\n");
}

static void a_control_without_a_reading_is_refused(void **state)
{
    (void)state;
    assert_refused("controls.csv", "value_uf,measured_uf\n47,\n",
                   "controls.csv:2: measured_uf: the cell is blank, expected a number from 0.001 "
                   "to 10000000 uF\n");
}

/* Folders and files */

static void check_missing(const char *folder, const char *expected)
{
    sf_job *job = (sf_job *)&job;
    sf_complaints complaints = {0};
    assert_int_equal(sf_job_read(folder, &job, &complaints), SF_ERROR_MISSING);
    assert_null(job);
    char *lines = complaint_lines(&complaints);
    assert_string_equal(lines, expected);
    free(lines);
    sf_complaints_clear(&complaints);
}

static void a_missing_folder_is_told(void **state)
{
    (void)state;
    check_missing("/nonexistent/desk", "/nonexistent/desk: there is no such folder, expected the "
                                       "folder of a job\n");
    check_missing("/dev/null", "/dev/null: it is no folder, expected the folder of a job\n");
}

static void every_missing_file_is_told(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    check_missing(folder, "board.csv: cannot be read: No such file or directory\n"
                          "readings.csv: cannot be read: No such file or directory\n"
                          "parts.csv: cannot be read: No such file or directory\n");
    remove_folder(folder);
}

static void a_file_that_is_no_regular_file_is_refused_without_waiting(void **state)
{
    (void)state;
    char folder[256], path[512];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    snprintf(path, sizeof path, "%s/sources.csv", folder);
    assert_int_equal(mkfifo(path, 0600), 0);
    check_missing(folder, "sources.csv: cannot be read: it is no regular file\n");
    assert_int_equal(unlink(path), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    check_missing(folder, "sources.csv: cannot be read: it is no regular file\n");
    remove_folder(folder);
}

static void a_file_larger_than_the_limit_is_refused_unread(void **state)
{
    (void)state;
    char folder[256], path[512];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    snprintf(path, sizeof path, "%s/parts.csv", folder);
    assert_int_equal(truncate(path, (off_t)SF_FILE_BYTES_MAX + 1), 0);
    sf_job *job = NULL;
    sf_complaints complaints = {0};
    assert_int_equal(sf_job_read(folder, &job, &complaints), SF_ERROR_DATA);
    char *lines = complaint_lines(&complaints);
    assert_string_equal(lines, "parts.csv: is larger than the limit of 67108864 bytes\n");
    free(lines);
    sf_complaints_clear(&complaints);
    remove_folder(folder);
}

static void the_faults_of_all_files_are_told_in_one_run(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_file(folder, "board.csv", "key,value\nwidth,120\nheight,ninety\nambient,23.5\n");
    write_file(folder, "readings.csv", "id,x_mm,y_mm,value,unit,method\na,31,44,hot,C,infrared\n");
    write_file(folder, "parts.csv", "ref,x_mm,y_mm\nC1,33.5,\"47.25\n");
    write_file(folder, "history.csv", "hours,load\n-1,1\n");
    write_file(folder, "policy.csv", "key,value\nwear_shape,900\n");
    sf_job *job = NULL;
    sf_complaints complaints = {0};
    assert_int_equal(sf_job_read(folder, &job, &complaints), SF_ERROR_DATA);
    char *lines = complaint_lines(&complaints);
    assert_string_equal(
        lines,
        "board.csv:3: height: \"ninety\" is no number, expected a number from 1 to 2000 "
        "mm\n"
        "policy.csv:2: wear_shape: \"900\" is out of range, expected a number from 0.5 to 20\n"
        "readings.csv:2: value: \"hot\" is no number, expected a number from -1000 to 10000\n"
        "parts.csv:2: a quotation mark opened here is never closed, expected its closing quotation "
        "mark\n"
        "history.csv:2: hours: \"-1\" is out of range, expected a number from 0 to 1000000 h\n");
    free(lines);
    sf_complaints_clear(&complaints);
    remove_folder(folder);
}

static void earlier_complaints_of_the_caller_do_not_fail_a_sound_job(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    sf_complaints complaints = {0};
    assert_int_equal(sf_complain(&complaints, SF_ERROR, "other", 3, "", "wrong", ""), SF_OK);
    sf_job *job = NULL;
    assert_int_equal(sf_job_read(folder, &job, &complaints), SF_OK);
    assert_string_equal(job->folder, folder);
    sf_job_free(job);
    sf_complaints_clear(&complaints);
    remove_folder(folder);
}

static void freeing_no_job_is_fine(void **state)
{
    (void)state;
    sf_job_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_a_contact_reading_in_a_no_touch_area_is_warned_of),
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
        cmocka_unit_test(an_unknown_column_is_passed_over_with_the_nearest_name),
        cmocka_unit_test(a_column_without_a_name_is_passed_over),
        cmocka_unit_test(a_missing_column_is_named_with_what_it_takes),
        cmocka_unit_test(a_blank_required_cell_is_refused_on_its_line),
        cmocka_unit_test(what_strtod_takes_for_a_number_is_refused),
        cmocka_unit_test(a_decimal_comma_between_commas_is_explained),
        cmocka_unit_test(a_point_and_a_comma_in_one_cell_are_refused),
        cmocka_unit_test(points_and_commas_in_one_file_are_warned_of),
        cmocka_unit_test(a_fault_after_a_cell_of_two_lines_is_named_by_its_own_line),
        cmocka_unit_test(a_long_cell_is_shown_cut),
        cmocka_unit_test(a_cell_of_sixty_bytes_is_shown_whole),
        cmocka_unit_test(a_cut_cell_never_ends_in_half_a_character),
        cmocka_unit_test(critical_takes_yes_or_no),
        cmocka_unit_test(a_tolerance_that_is_none_is_explained),
        cmocka_unit_test(a_condition_that_is_not_known_is_refused),
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
        cmocka_unit_test(a_job_without_readings_is_refused),
        cmocka_unit_test(one_reading_is_enough),
        cmocka_unit_test(an_unknown_unit_of_a_reading_names_the_known_ones),
        cmocka_unit_test(an_unknown_method_names_the_known_ones),
        cmocka_unit_test(an_unknown_spot_names_the_known_ones),
        cmocka_unit_test(a_temperature_no_board_survives_is_refused),
        cmocka_unit_test(a_millivolt_reading_needs_its_junction_and_a_thermocouple),
        cmocka_unit_test(a_junction_without_a_voltage_is_passed_over),
        cmocka_unit_test(a_reading_just_off_the_board_is_warned_of),
        cmocka_unit_test(a_reading_far_off_the_board_is_refused),
        cmocka_unit_test(a_second_row_of_an_id_needs_a_minute),
        cmocka_unit_test(a_series_with_one_blank_minute_is_refused),
        cmocka_unit_test(a_series_with_one_minute_twice_is_refused),
        cmocka_unit_test(a_series_that_changes_anything_but_time_is_refused),
        cmocka_unit_test(a_period_of_negative_hours_is_refused),
        cmocka_unit_test(a_control_without_a_reading_is_refused),
        cmocka_unit_test(a_missing_folder_is_told),
        cmocka_unit_test(every_missing_file_is_told),
        cmocka_unit_test(a_file_that_is_no_regular_file_is_refused_without_waiting),
        cmocka_unit_test(a_file_larger_than_the_limit_is_refused_unread),
        cmocka_unit_test(the_faults_of_all_files_are_told_in_one_run),
        cmocka_unit_test(earlier_complaints_of_the_caller_do_not_fail_a_sound_job),
        cmocka_unit_test(freeing_no_job_is_fine),
    };
    return cmocka_run_group_tests_name("job complaints", tests, NULL, NULL);
}
