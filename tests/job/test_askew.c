/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings that share a slip which puts some of them off the board, or beyond any board: the error
 * names each, and one warning asks about the slip. */
#include "job_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"

/* Reads a job of 96 x 72 mm with a corner cut out at the upper right, and these readings. */
static char *told_of(const char *rows)
{
    char content[1024];
    const char *folder = fresh_folder();
    sf_diagnostics diagnostics = {0};
    sf_job *job;
    write_file(folder, "board.csv", "key,value,unit\nwidth,96,mm\nheight,72,mm\nambient,21,C\n");
    write_file(folder, "outline.csv",
               "ring,x_mm,y_mm\n0,0,0\n0,96,0\n0,96,40\n0,60,40\n0,60,72\n0,0,72\n");
    write_file(folder, "parts.csv", "ref,x_mm,y_mm\nC1,20,20\n");
    snprintf(content, sizeof content, "id,x_mm,y_mm,value,unit,method\n%s", rows);
    write_file(folder, "readings.csv", content);
    sf_job_read(folder, &job, &diagnostics);
    char *lines = diagnostic_lines(&diagnostics);
    sf_diagnostics_clear(&diagnostics);
    sf_job_free(job);
    remove_folder(folder);
    return lines;
}

static void check_asked(const char *rows, const char *asked)
{
    char *lines = told_of(rows);
    assert_int_equal(strstr(lines, "counted from the top") != NULL, strcmp(asked, "top") == 0);
    assert_int_equal(strstr(lines, "x and y swapped") != NULL, strcmp(asked, "exchanged") == 0);
    assert_int_equal(strstr(lines, "tenths of a degree") != NULL, strcmp(asked, "tenths") == 0);
    free(lines);
}

static void places_that_all_lie_on_the_board_another_way_are_asked_about(void **state)
{
    (void)state;
    check_asked("a,20,50,41,C,K\nb,80,30,39,C,K\n", "");
    check_asked("a,20,22,41,C,K\nb,80,62,39,C,K\n", "top");
    check_asked("a,50,20,41,C,K\nb,30,80,39,C,K\n", "exchanged");
    /* one place mistyped, and another that no turning explains */
    check_asked("a,20,50,41,C,K\nb,80,300,39,C,K\n", "");
}

static void values_that_no_board_has_are_asked_about_as_tenths(void **state)
{
    (void)state;
    check_asked("a,20,50,412,C,K\nb,80,30,387,C,K\n", "tenths");
    check_asked("a,20,50,398,C,K\nb,80,30,387,C,K\n", ""); /* hot, but each may be */
    check_asked("a,20,50,412,C,K\nb,80,30,38.7,C,K\n", "");
    check_asked("a,20,50,412000,C,K\nb,80,30,387,C,K\n", "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(places_that_all_lie_on_the_board_another_way_are_asked_about),
        cmocka_unit_test(values_that_no_board_has_are_asked_about_as_tenths),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
