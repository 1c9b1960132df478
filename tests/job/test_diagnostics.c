/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Diagnostics of columns, cells, files and folders of whatever kind, with their exact lines. */
#include "job_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Columns and cells */

static void an_unknown_column_is_passed_over_with_the_nearest_name(void **state)
{
    (void)state;
    assert_warned("parts.csv", "ref,x_mm,y_mm,capacitence_uf\nC1,33.5,47.25,471.3\n",
                  "parts.csv:1: warning: unknown column \"capacitence_uf\" is ignored; "
                  "did you mean capacitance_uf?\n");
}

/* Headings as spreadsheets and layout tools have them: common practice, no source. */
static void a_common_heading_is_read_and_told(void **state)
{
    (void)state;
    assert_warned("parts.csv", "Designator,X,y_mm,uF,Voltage\nC1,33.5,47.25,470,35\n",
                  "parts.csv:1: warning: column \"Designator\" is read as ref\n"
                  "parts.csv:1: warning: column \"X\" is read as x_mm\n"
                  "parts.csv:1: warning: column \"uF\" is read as capacitance_uf\n"
                  "parts.csv:1: warning: column \"Voltage\" is read as rated_v\n");
}

static void a_column_of_the_name_itself_goes_before_a_heading_that_means_it(void **state)
{
    (void)state;
    assert_warned("parts.csv", "x,ref,x_mm,y_mm\n1.25,C1,33.5,47.25\n",
                  "parts.csv:1: warning: column \"x\" is ignored, since there is another x_mm\n");
}

static void a_column_without_a_name_is_passed_over(void **state)
{
    (void)state;
    assert_warned("parts.csv", "ref,x_mm,,y_mm\nC1,33.5,8,47.25\n",
                  "parts.csv:1: warning: column 3 has no name and is ignored, expected a name "
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
    assert_refused(
        "parts.csv", "ref,x_mm,y_mm,rated_v\nC1,nan,0x1F,1e999\n",
        "parts.csv:2: x_mm: \"nan\" is not a number, expected a number from -2 to 2002 mm\n"
        "parts.csv:2: y_mm: \"0x1F\" is not a number, expected a number from -2 to 2002 "
        "mm\n"
        "parts.csv:2: rated_v: \"1e999\" is too large for a number, expected a number "
        "from 1 to 1000 V\n");
}

static void a_decimal_comma_between_commas_is_explained(void **state)
{
    (void)state;
    assert_refused("parts.csv", "ref,x_mm,y_mm\nC1,\"33,5\",47.25\n",
                   "parts.csv:2: x_mm: \"33,5\" has a decimal comma, but commas separate the cells "
                   "of this file, expected a number from -2 to 2002 mm\n");
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
    assert_refused(
        "parts.csv", "ref,note,x_mm,y_mm\nC1,\"one\ntwo\",33.5,forty\n",
        "parts.csv:3: y_mm: \"forty\" is not a number, expected a number from -2 to 2002 "
        "mm\n");
}

static void a_long_cell_is_shown_cut(void **state)
{
    (void)state;
    assert_refused("parts.csv",
                   "ref,x_mm,y_mm\nC1,33.5,"
                   "a very long remark that somebody typed into the wrong column of the sheet\n",
                   "parts.csv:2: y_mm: \"a very long remark that somebody typed into the wrong "
                   "column...\" is not a number, expected a number from -2 to 2002 mm\n");
}

static void a_cell_of_sixty_bytes_is_shown_whole(void **state)
{
    (void)state;
    assert_refused("parts.csv",
                   "ref,x_mm,y_mm\nC1,33.5,"
                   "sixty bytes of a remark fit the line of a complaint; no more\n",
                   "parts.csv:2: y_mm: \"sixty bytes of a remark fit the line of a complaint; no "
                   "more\" is not a number, expected a number from -2 to 2002 mm\n");
}

static void a_cut_cell_never_ends_in_half_a_character(void **state)
{
    (void)state;
    char content[256] = "ref,x_mm,y_mm\nC1,33.5,a";
    for (int i = 0; i < 40; i++)
        strcat(content, "\u00B5");
    sf_diagnostics diagnostics = {0};
    sf_job *job = NULL;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    write_file(folder, "parts.csv", content);
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_ERROR_DATA);
    assert_non_null(strstr(diagnostics.items[0].what, "\u00B5...\" is not a number"));
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

/* Folders and files */

static void check_missing(const char *folder, const char *expected)
{
    sf_job *job = (sf_job *)&job;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_ERROR_MISSING);
    assert_null(job);
    sf_job_free(job); /* NULL is fine: who reads need not ask before freeing */
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, expected);
    free(lines);
    sf_diagnostics_clear(&diagnostics);
}

static void a_missing_folder_is_told(void **state)
{
    (void)state;
    check_missing("/nonexistent/desk", "/nonexistent/desk: there is no such folder, expected the "
                                       "folder of a job\n");
    check_missing("/dev/null", "/dev/null: it is not a folder, expected the folder of a job\n");
}

static void every_missing_file_is_told(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    check_missing(
        folder, "board.csv: cannot be read: No such file or directory\n"
                "readings.csv: cannot be read: No such file or directory\n"
                "parts.csv: cannot be read: No such file or directory\n"
                "keepout.csv: warning: where are mains and high voltage? The file is missing, "
                "expected each such area as a ring in this file, or its header line alone if there "
                "are none\n");
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
    check_missing(folder, "sources.csv: cannot be read: it is not a regular file\n");
    assert_int_equal(unlink(path), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    check_missing(folder, "sources.csv: cannot be read: it is not a regular file\n");
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
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_ERROR_DATA);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, "parts.csv: is larger than the limit of 67108864 bytes\n");
    free(lines);
    sf_diagnostics_clear(&diagnostics);
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
    write_file(folder, "keepout.csv", "ring,x_mm,y_mm\n");
    write_file(folder, "policy.csv", "key,value\nwear_shape,900\n");
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_ERROR_DATA);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(
        lines,
        "board.csv:3: height: \"ninety\" is not a number, expected a number from 1 to 2000 "
        "mm\n"
        "policy.csv:2: wear_shape: \"900\" is out of range, expected a number from 0.5 to 20\n"
        "readings.csv:2: value: \"hot\" is not a number, expected a number from -1000 to 10000\n"
        "parts.csv:2: a quotation mark opened here is never closed, expected its closing quotation "
        "mark\n"
        "history.csv:2: hours: \"-1\" is out of range, expected a number from 0 to 1000000 h\n");
    free(lines);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

static void earlier_complaints_of_the_caller_do_not_fail_a_sound_job(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_diagnose(&diagnostics, SF_ERROR, "other", 3, "", "wrong", ""), SF_OK);
    sf_job *job = NULL;
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    assert_string_equal(job->folder, folder);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_unknown_column_is_passed_over_with_the_nearest_name),
        cmocka_unit_test(a_common_heading_is_read_and_told),
        cmocka_unit_test(a_column_of_the_name_itself_goes_before_a_heading_that_means_it),
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
        cmocka_unit_test(a_missing_folder_is_told),
        cmocka_unit_test(every_missing_file_is_told),
        cmocka_unit_test(a_file_that_is_no_regular_file_is_refused_without_waiting),
        cmocka_unit_test(a_file_larger_than_the_limit_is_refused_unread),
        cmocka_unit_test(the_faults_of_all_files_are_told_in_one_run),
        cmocka_unit_test(earlier_complaints_of_the_caller_do_not_fail_a_sound_job),

    };
    return cmocka_run_group_tests_name("job complaints", tests, NULL, NULL);
}
