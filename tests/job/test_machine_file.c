/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* machine.csv in the folder above a job: what it says, a board need not. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "job_folder.h"

/* A machine's folder, and the one job in it. */
typedef struct machine {
    char folder[256], job[300];
} machine;

static machine lay_machine(const char *shared)
{
    machine made;
    snprintf(made.folder, sizeof made.folder, "%s", fresh_folder());
    snprintf(made.job, sizeof made.job, "%s/psu", made.folder);
    assert_int_equal(mkdir(made.job, 0755), 0);
    write_sound_job(made.job);
    write_file(made.folder, "machine.csv", shared);
    return made;
}

static void check_read(const machine *of, sf_status status, sf_job **job, const char *expected)
{
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(of->job, job, &diagnostics), status);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, expected);
    free(lines);
    sf_diagnostics_clear(&diagnostics);
}

static const char all_of_it[] = "key,value,unit,note\n"
                                "machine,mixing desk,\n"
                                "owner,\"Station, association\",\n"
                                "technician,bench 2,\n"
                                "service_goal,500,d,until the hall is rebuilt\n"
                                "service_ambient,95,F\n"
                                "service_ambient_u,4,K\n"
                                "run_hours,61000,h\n"
                                "run_hours_sd,3000,h\n"
                                "made,1998,\n"
                                "surveyed,2025-11-03,\n"
                                "hours_per_year,6000,h\n";

static void what_a_board_does_not_say_its_machine_says(void **state)
{
    (void)state;
    machine on = lay_machine(all_of_it);
    sf_job *job;
    check_read(&on, SF_OK, &job, "");
    const sf_board *board = &job->board;
    assert_string_equal(board->machine, "mixing desk");
    assert_string_equal(board->owner, "Station, association");
    assert_string_equal(board->technician, "bench 2");
    assert_string_equal(board->surveyed, "2025-11-03");
    assert_close(board->service_goal_h, 12000, 0, 0);
    assert_close(board->service_ambient_c, 31.5, 0, 0); /* its own */
    assert_close(board->service_ambient_sd_k, 4, 0, 0);
    assert_close(board->run_hours, 61000, 0, 0);
    assert_close(board->run_hours_sd, 3000, 0, 0);
    assert_close(board->hours_per_year, 6000, 0, 0);
    assert_close(board->survey_year, 2025.84, 0.01, 0);
    assert_int_equal(board->made_year, 1998);
    assert_true(
        has_assumption(job, "owner not given: Station, association taken from machine.csv"));
    assert_true(has_assumption(job, "service_goal not given: 12000 h taken from machine.csv"));
    assert_true(has_assumption(job, "made not given: 1998 year taken from machine.csv"));
    assert_false(has_assumption(job, "service_ambient not given: 35 C taken from machine.csv"));
    sf_job_free(job);
    remove_folder(on.folder);
}

static void what_a_board_says_itself_holds(void **state)
{
    (void)state;
    machine on = lay_machine(all_of_it);
    char own[1024];
    snprintf(own, sizeof own, "%s%s", sound_board,
             "owner,Hall trust,\ntechnician,,\nservice_goal,7,h\nmade,2001,\nrun_hours,130000,h\n"
             "surveyed,2024,\n");
    write_file(on.job, "board.csv", own);
    sf_job *job;
    check_read(&on, SF_OK, &job, "");
    const sf_board *board = &job->board;
    assert_string_equal(board->owner, "Hall trust");
    assert_string_equal(board->technician, "bench 2"); /* a blank says nothing */
    assert_string_equal(board->surveyed, "2024");
    assert_close(board->service_goal_h, 7, 0, 0);
    assert_int_equal(board->made_year, 2001);
    assert_close(board->run_hours, 130000, 0, 0);
    assert_true(isnan(board->run_hours_sd)); /* the doubt goes with the hours */
    assert_close(board->run_hours_sd_pct, 10, 0, 0);
    sf_job_free(job);
    remove_folder(on.folder);
}

static void a_fault_is_told_where_it_stands(void **state)
{
    (void)state;
    machine on = lay_machine("key,value,unit\n"
                             "width,120,mm\n"
                             "servce_goal,1,h\n"
                             "service_goal,soon,h\n"
                             "hours_per_year,1,C\n"
                             "owner,a,\n"
                             "owner,b,\n"
                             "technician,c,mm\n");
    sf_job *job;
    check_read(
        &on, SF_ERROR_DATA, &job,
        "../machine.csv:2: warning: width: this key belongs to one board and is ignored here, "
        "expected it in the board.csv of each board\n"
        "../machine.csv:3: warning: servce_goal: unknown key is ignored; did you mean "
        "service_goal?\n"
        "../machine.csv:4: service_goal: \"soon\" is not a number, expected a number from 0 "
        "to 1000000 h\n"
        "../machine.csv:5: hours_per_year: \"C\" is not a unit for it, expected h or d\n"
        "../machine.csv:7: owner: the key is already on line 6, expected each key once\n"
        "../machine.csv:8: technician: \"mm\" is not a unit for it, expected a blank cell\n");
    write_file(on.folder, "machine.csv", "key,value\nrun_hours,5\nrun_hours_sd,7\n");
    check_read(&on, SF_ERROR_DATA, &job,
               "../machine.csv:3: run_hours_sd: 7 h are more than the 5 h that the board has run, "
               "expected one standard uncertainty of run_hours, no more than run_hours itself\n");
    remove_folder(on.folder);
}

static void a_machine_has_one_history(void **state)
{
    (void)state;
    machine on = lay_machine("key,value\nowner,a\n");
    sf_job *job;
    write_file(on.folder, "history.csv", "hours,load\n4000,1\n700,0.5\n");
    check_read(&on, SF_OK, &job, "");
    assert_int_equal(job->period_count, 2);
    assert_close(job->periods[1].hours, 700, 0, 0);
    assert_true(
        has_assumption(job, "history.csv not given: the one beside machine.csv taken, 2 periods"));
    sf_job_free(job);
    write_file(on.job, "history.csv", "hours,load\n10,1\n");
    check_read(&on, SF_OK, &job, "");
    assert_int_equal(job->period_count, 1);
    sf_job_free(job);
    remove_folder(on.folder);
}

/* A history.csv in the folder above may be of a job that lies there. */
static void without_machine_csv_nothing_is_taken(void **state)
{
    (void)state;
    machine on = lay_machine("key,value\nowner,a\n");
    char path[300];
    sf_job *job;
    snprintf(path, sizeof path, "%s/machine.csv", on.folder);
    assert_int_equal(remove(path), 0);
    write_file(on.folder, "history.csv", "hours,load\n4000,1\n");
    check_read(&on, SF_OK, &job, "");
    assert_int_equal(job->period_count, 0);
    assert_string_equal(job->board.owner, "");
    sf_job_free(job);
    remove_folder(on.folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_board_does_not_say_its_machine_says),
        cmocka_unit_test(what_a_board_says_itself_holds),
        cmocka_unit_test(a_fault_is_told_where_it_stands),
        cmocka_unit_test(a_machine_has_one_history),
        cmocka_unit_test(without_machine_csv_nothing_is_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
