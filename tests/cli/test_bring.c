/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The command bring: files of different habits into a job, each understood or refused. Data are
 * invented; the habits are those of open design tools, named beside each. Where the origin of a
 * habit is a tool's output, it is seen in public repositories that hold such files. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "job_folder.h"
#include "program.h"

static char job[PATH_BYTES];

/* A job with a board of 120 x 80 mm and nothing else. */
static void lay_board(void)
{
    snprintf(job, sizeof job, "%s", fresh_folder());
    write_file(job, "board.csv", "key,value,unit\nwidth,120,mm\nheight,80,mm\nambient,22,C\n");
    write_file(job, "parts.csv",
               "ref,x_mm,y_mm,diameter_mm,height_mm,capacitance_uf,tolerance_pct,rated_v,rated_c,"
               "endurance_h,critical,year,note\n");
}

static const char *lay(const char *name, const char *content)
{
    write_file(job, name, content);
    return in_folder(job, name);
}

/* Brings one file with --write and compares what parts.csv then says of C1. */
static void check_c1(const char *content, const char *option, const char *expected)
{
    lay_board();
    ended said = option ? run("bring", job, lay("in.csv", content), "--write", option)
                        : run("bring", job, lay("in.csv", content), "--write");
    if (said.status != 0)
        fail_msg("ends with %d: %s", said.status, said.message);
    char *parts = bytes_of(in_folder(job, "parts.csv"), NULL);
    assert_has(parts, expected);
    free(parts);
    ended_free(&said);
    remove_folder(job);
}

/* KiCad, position file as CSV: quotation marks, six decimals, y upwards from a corner above the
 * board, so negative. 76.51 - (70.51 + 88.51)/2 + 60 = 57, likewise y. */
static void kicad_positions_are_put_on_the_board(void **state)
{
    (void)state;
    check_c1("Ref,Val,Package,PosX,PosY,Rot,Side\n"
             "\"C1\",\"470u/25V\",\"CP_Radial_D10.0mm_P5.00mm\",76.510000,-67.780000,-90.0,top\n"
             "\"R1\",\"10k\",\"R_0603_1608Metric\",70.510000,-61.780000,0.0,top\n"
             "\"R2\",\"10k\",\"R_0603_1608Metric\",88.510000,-77.780000,0.0,top\n",
             NULL, "\nC1,57,42,10,,470,,25,");
}

/* The layout of a title, blank lines and a unit before the headings, Center-X(mm) with the unit
 * behind each number as well. */
static void a_title_before_the_headings_is_passed_over(void **state)
{
    (void)state;
    check_c1("Pick and place of the desk supply\n\nUnits used: mm\n\n"
             "\"Designator\",\"Comment\",\"Layer\",\"Footprint\",\"Center-X(mm)\",\"Center-Y(mm)\","
             "\"Rotation\"\n"
             "\"C1\",\"100uF "
             "63V\",\"TopLayer\",\"CP_Radial_D8.0mm_P3.50mm\",\"12.5mm\",\"20.25mm\",\"90\"\n",
             NULL, "\nC1,12.5,20.25,8,,100,,63,");
}

/* Places are those seen from the top, on both sides. */
static void the_solder_side_is_told_in_its_column(void **state)
{
    (void)state;
    static const char places[] = "Ref,Val,Package,PosX,PosY,Rot,Side\n"
                                 "C1,470u/25V,CP_Radial_D10.0mm_P5.00mm,20,30,0,%s\n";
    char below[256], above[256];
    snprintf(below, sizeof below, places, "bottom");
    snprintf(above, sizeof above, places, "top");
    check_c1(below, NULL, "\nC1,20,30,10,,470,,25,,,,,,5,radial,solder\n");
    check_c1(above, NULL, "\nC1,20,30,10,,470,,25,,,,,,5,radial\n");
}

/* 1 mil is 0.0254 mm: 500 mil are 12.7 mm (international inch, 1959). */
static void mils_of_a_heading_are_millimetres(void **state)
{
    (void)state;
    check_c1("Designator\tComment\tFootprint\tCenter-X(mil)\tCenter-Y(mil)\n"
             "C1\t100u/63V\tCP_Elec_8x10.5\t500\t1000\n",
             NULL, "\nC1,12.7,25.4,8,10.5,100,,63,");
}

/* gEDA pcb, xy file: headings and unit in comments. 1.5 in are 38.1 mm. */
static void headings_in_a_comment_are_found(void **state)
{
    (void)state;
    check_c1("# X,Y in mils.  rotation in degrees.\n"
             "# RefDes, Description, Package, X, Y, rotation, top/bottom\n"
             "C1,\"CP_Radial_D5.0mm_P2.00mm\",\"100u 16V elko\",1500.00,1000.00,0,top\n",
             NULL, "\nC1,38.1,25.4,");
}

/* A spreadsheet of a country with a decimal comma. */
static void semicolons_and_decimal_commas_are_read(void **state)
{
    (void)state;
    check_c1("sep=;\nReference;Value;Package;X;Y;Side\nC1;2,2u/"
             "400V;CP_Radial_D8.0mm_P3.50mm;12,5;20,25;F.Cu\n",
             NULL, "\nC1,12.5,20.25,8,,2.2,,400,");
}

/* Assembly houses: Mid X with the unit behind the number, no value. */
static void middles_with_a_unit_are_read(void **state)
{
    (void)state;
    check_c1("Designator,Mid X,Mid Y,Layer,Rotation,Package\n"
             "C1,0.5in,1in,Top,0,CP_Radial_D8.0mm_P3.50mm\n",
             NULL, "\nC1,12.7,25.4,8,");
}

static void y_that_counts_downwards_is_turned(void **state)
{
    (void)state;
    /* two corners at 0,-80 and 120,0 pin the board: 80 - 20 = 60 */
    check_c1("Ref,Val,Package,PosX,PosY\nC1,1u 50V,CP_Radial_D5.0mm_P2.00mm,10,20\n"
             "H1,hole,x,0,0\nH2,hole,x,120,80\n",
             "--y-down", "\nC1,10,60,5,,1,,50,");
}

static void an_origin_that_is_told_is_taken(void **state)
{
    (void)state;
    check_c1("Ref,Val,Package,PosX,PosY\nC1,1u 50V,CP_Radial_D5.0mm_P2.00mm,110,-60\n",
             "--origin=100,-100", "\nC1,10,40,5,,1,,50,");
}

/* Parts list by semicolons, references in groups and ranges. */
static void a_parts_list_is_joined_by_reference(void **state)
{
    (void)state;
    lay_board();
    char places[PATH_BYTES];
    snprintf(places, sizeof places, "%s",
             lay("p.csv", "Designator,Mid X,Mid Y\nC1,10,10\nC2,20,10\nC3,30,10\nC7,40,10\n"));
    const char *list =
        lay("b.csv", "Refs;Value;Footprint;Voltage;Qty\n"
                     "\"C1, C2-C3\";47u;CP_Radial_D6.3mm_P2.50mm;35;3\n"
                     "C7 C8;100n;C_0603_1608Metric;;2\nC9;10u/16V;CP_Elec_4x5.4;;1\n");
    ended said = run("bring", job, places, list, "--write");
    assert_int_equal(said.status, 0);
    assert_has(said.out, "4 electrolytic capacitors, 0 likely sources");
    assert_has(said.out, "1 without a place, left out: C9\n");
    char *parts = bytes_of(in_folder(job, "parts.csv"), NULL);
    assert_has(parts, "\nC1,10,10,6.3,,47,,35,");
    assert_has(parts, "\nC3,30,10,6.3,,47,,35,");
    assert_has_not(parts, "C7");
    assert_has_not(parts, "C9");
    free(parts);
    ended_free(&said);
    remove_folder(job);
}

static const char mixed[] = "Ref,Val,Package,PosX,PosY,Rot,Side\n"
                            "C1,470u/25V,CP_Radial_D10.0mm_P5.00mm,10,10,0,top\n"
                            "C2,100n,C_0603_1608Metric,20,10,0,top\n"
                            "C3,10u,,30,10,0,top\n"
                            "U1,regulator,TO-220-3_Vertical,40,10,90,top\n"
                            "U2,amplifier,SOIC-8,45,10,90,top\n"
                            "R1,47R 5W,R_Axial_Power_L20.0mm_W6.4mm_P22.40mm,60,10,0,bottom\n"
                            "R2,10k,R_0603_1608Metric,50,10,0,top\n"
                            "Q1,driver,SOT-23,55,10,0,top\n"
                            "C4,22u/16V,CP_Elec_5x5.4,far,20,0,top\n";

static void sources_come_with_their_size_and_without_watts(void **state)
{
    (void)state;
    lay_board();
    ended said = run("bring", job, lay("in.csv", mixed), "--write");
    assert_int_equal(said.status, 0);
    assert_has(said.out,
               "2 electrolytic capacitors, 2 likely sources, 0 readings, 2 lines not understood");
    char *sources = bytes_of(in_folder(job, "sources.csv"), NULL);
    assert_has(sources, "\nU1,40,10,10.2,4.6,90,,,,\n");
    assert_has(sources, "\nR1,60,10,20,6.4,0,,,,solder\n");
    assert_has_not(sources, "U2");
    assert_has_not(sources, "Q1");
    free(sources);
    ended_free(&said);
    remove_folder(job);
}

static void lines_that_are_not_understood_are_told_with_their_place(void **state)
{
    (void)state;
    lay_board();
    ended said = run("bring", job, lay("in.csv", mixed));
    assert_has(said.message, "in.csv:10: warning: PosX: \"far\" is not understood");
    assert_has(said.message, "in.csv:4: warning: C3, \"10u\"");
    ended_free(&said);
    remove_folder(job);
}

static void nothing_is_written_unless_asked_for(void **state)
{
    (void)state;
    lay_board();
    char *before = bytes_of(in_folder(job, "parts.csv"), NULL);
    ended said = run("bring", job, lay("in.csv", mixed));
    assert_int_equal(said.status, 0);
    assert_has(said.out, "Nothing is written yet");
    char *after = bytes_of(in_folder(job, "parts.csv"), NULL);
    assert_string_equal(after, before);
    assert_int_not_equal(access(in_folder(job, "sources.csv"), F_OK), 0);
    free(before);
    free(after);
    ended_free(&said);
    remove_folder(job);
}

static void what_the_job_has_is_kept(void **state)
{
    (void)state;
    lay_board();
    static const char own[] = "# mine\nref;x_mm;y_mm;capacitance_uf\nC1;55,5;44;330\n";
    write_file(job, "parts.csv", own);
    const char *in = lay("in.csv", mixed);
    ended said = run("bring", job, in, "--write"), again = run("bring", job, in, "--write");
    assert_int_equal(said.status, 0);
    assert_has(said.out, "1 already in the job, kept");
    assert_has(said.message, "C1 is already in parts.csv with another place, and stays");
    char *parts = bytes_of(in_folder(job, "parts.csv"), NULL);
    assert_memory_equal(parts, own, sizeof own - 1);
    assert_has(again.out, "There is nothing to write.");
    free(parts);
    ended_free(&said);
    ended_free(&again);
    remove_folder(job);
}

/* The page's history has the one step: what it takes back is in its file. */
static void it_is_one_step_of_the_history(void **state)
{
    (void)state;
    lay_board();
    ended said = run("bring", job, lay("in.csv", mixed), "--write");
    char *history = bytes_of(in_folder(job, ".spotfield-history.json"), NULL);
    const char *first = strstr(history, "\"label\"");
    assert_non_null(first);
    assert_null(strstr(first + 1, "\"label\""));
    assert_has(history, "sources.csv");
    free(history);
    ended_free(&said);
    remove_folder(job);
}

static void places_that_fit_no_board_are_refused(void **state)
{
    (void)state;
    lay_board();
    assert_ends(65, "the places span 3937 x 1000 mm, and the board of the job has 120 x 80 mm",
                "bring", job, lay("in.csv", "Ref,Val,X,Y\nC1,1u,0,0\nC2,1u,3937,1000\n"));
    assert_ends(0, "", "bring", job, lay("in.csv", "Ref,Val,X,Y\nC1,100n,0,0\nC2,100n,3937,1000\n"),
                "--unit", "mil");
    assert_int_equal(unlink(in_folder(job, "board.csv")), 0);
    assert_ends(65, "neither the job nor an option says where the board lies", "bring", job,
                in_folder(job, "in.csv"));
    remove_folder(job);
}

static void a_spreadsheet_is_refused_with_what_to_do(void **state)
{
    (void)state;
    lay_board();
    assert_ends(65, "save the sheet as CSV", "bring", job, lay("in.xlsx", "PK\x03\x04 and more"));
    assert_ends(65, "no line of column names was found", "bring", job,
                lay("in.txt", "Ref Val X Y\nC1 1u 1 2\n"));
    assert_ends(65, "one separator throughout", "bring", job,
                lay("in.csv", "Ref,a;Value;Footprint;Qty\nC1;1u;x;1\n"));
    assert_ends(66, "cannot be read", "bring", job, in_folder(job, "gone.csv"));
    assert_ends(64, "JOB FILE... is missing", "bring", job);
    remove_folder(job);
}

static void a_logger_becomes_a_series(void **state)
{
    (void)state;
    lay_board();
    char rows[2048] = "Bench logger\nTime,near T1 (C),air (C)\n";
    size_t length = strlen(rows);
    for (int i = 0; i < 34; i++) /* over midnight */
        length += (size_t)snprintf(rows + length, sizeof rows - length,
                                   "2026-03-%02d %02d:%02d:00,%d.5,22\n", i < 20 ? 1 : 2,
                                   i < 20 ? 23 : 0, i < 20 ? 40 + i : i - 20, 22 + i);
    const char *in = lay("log.csv", rows);
    assert_ends(65, "--channel NAME=X,Y", "bring", job, in);
    assert_ends(65, "no file has a channel \"nowhere\"", "bring", job, in, "-c", "air=1,2", "-c",
                "nowhere=3,4");
    ended said = run("bring", job, in, "-c", "near T1=30.5,12", "--write");
    assert_int_equal(said.status, 0);
    char *readings = bytes_of(in_folder(job, "readings.csv"), NULL);
    size_t count = 0;
    for (const char *at = readings; (at = strstr(at, "\nnear T1,30.5,12,")); at++)
        count++;
    assert_int_equal(count, 12);
    assert_has(readings, "\nnear T1,30.5,12,22.5,C,thermocouple-K,board,,,,,,,0,");
    assert_has(readings, "\nnear T1,30.5,12,55.5,C,thermocouple-K,board,,,,,,,33,");
    free(readings);
    ended_free(&said);
    remove_folder(job);
}

static void seconds_of_a_logger_are_minutes(void **state)
{
    (void)state;
    lay_board();
    ended said = run("bring", job, lay("log.csv", "Time (s);ch1 (F)\n10;72,5\n100;80\n190;85\n"),
                     "-c", "ch1=30,12,C7", "-w", "--method", "infrared");
    assert_int_equal(said.status, 0);
    char *readings = bytes_of(in_folder(job, "readings.csv"), NULL);
    assert_has(readings, "\nch1,30,12,80,F,infrared,part,C7,,,,,,1.5,");
    free(readings);
    ended_free(&said);
    remove_folder(job);
}

static void wrong_options_are_usage(void **state)
{
    (void)state;
    assert_ends(64, "--unit parsec", "bring", "JOB", "x.csv", "--unit", "parsec");
    assert_ends(64, "--origin 1", "bring", "JOB", "x.csv", "--origin", "1");
    assert_ends(64, "--channel a=1", "bring", "JOB", "x.csv", "--channel", "a=1");
    assert_ends(64, "--method guess", "bring", "JOB", "x.csv", "--method", "guess");
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kicad_positions_are_put_on_the_board),
        cmocka_unit_test(a_title_before_the_headings_is_passed_over),
        cmocka_unit_test(the_solder_side_is_told_in_its_column),
        cmocka_unit_test(mils_of_a_heading_are_millimetres),
        cmocka_unit_test(headings_in_a_comment_are_found),
        cmocka_unit_test(semicolons_and_decimal_commas_are_read),
        cmocka_unit_test(middles_with_a_unit_are_read),
        cmocka_unit_test(y_that_counts_downwards_is_turned),
        cmocka_unit_test(an_origin_that_is_told_is_taken),
        cmocka_unit_test(a_parts_list_is_joined_by_reference),
        cmocka_unit_test(sources_come_with_their_size_and_without_watts),
        cmocka_unit_test(lines_that_are_not_understood_are_told_with_their_place),
        cmocka_unit_test(nothing_is_written_unless_asked_for),
        cmocka_unit_test(what_the_job_has_is_kept),
        cmocka_unit_test(it_is_one_step_of_the_history),
        cmocka_unit_test(places_that_fit_no_board_are_refused),
        cmocka_unit_test(a_spreadsheet_is_refused_with_what_to_do),
        cmocka_unit_test(a_logger_becomes_a_series),
        cmocka_unit_test(seconds_of_a_logger_are_minutes),
        cmocka_unit_test(wrong_options_are_usage),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("bring", tests, NULL, NULL);
}
