/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How long board and parts have run. The hours and years are invented. */
#include "support/check.h"

#include <math.h>

#include "job/hours.h"

static sf_part plain_part(void)
{
    return (sf_part){.ref = "C7", .hours = NAN};
}

/* Made 2009, surveyed mid 2021, 24,000 h run, all else unknown. Borrows the part. */
static sf_job plain_job(sf_part *part)
{
    return (sf_job){.board = {.run_hours = 24000,
                              .run_hours_sd = NAN,
                              .made_year = 2009,
                              .survey_year = 2021.5,
                              .hours_per_year = NAN},
                    .parts = part,
                    .part_count = 1};
}

static void a_part_has_run_as_long_as_its_board(void **state)
{
    (void)state;
    sf_part part = plain_part();
    sf_job job = plain_job(&part);
    job.board.run_hours_sd_pct = 4;
    run_time ran = part_run_time(&job, &part);
    assert_close(ran.hours, 24000, 0, 0);
    assert_close(ran.sd, 0.04, 1e-15, 0);
    assert_int_equal(ran.source, HOURS_GIVEN);
    job.board.run_hours_sd = 1800;
    assert_close(part_run_time(&job, &part).sd, 0.075, 1e-15, 0);
    part.hours = 8600; /* its own, told by the same hand */
    assert_close(part_run_time(&job, &part).sd, 0.075, 1e-15, 0);
    job.board.run_hours_sd = NAN;
    assert_close(part_run_time(&job, &part).sd, 0.04, 1e-15, 0);
}

static void a_history_tells_the_hours_where_there_is_one(void **state)
{
    (void)state;
    sf_part part = plain_part();
    sf_job job = plain_job(&part);
    sf_period periods[] = {{4100, 25, 1, ""}, {770, 30, 1, ""}};
    job.periods = periods;
    job.period_count = 2;
    job.board.run_hours = NAN;
    job.board.run_hours_sd = 300;
    job.board.run_hours_sd_pct = 3;
    assert_close(part_run_time(&job, &part).hours, 4870, 0, 0);
    assert_close(part_run_time(&job, &part).sd, 0.03, 1e-15, 0);
    job.board.run_hours = 24000;
    periods[0].hours = periods[1].hours = 0;
    assert_close(part_run_time(&job, &part).hours, 24000, 0, 0);
}

static void a_part_fitted_later_has_run_its_share_of_the_years(void **state)
{
    (void)state;
    sf_part part = plain_part();
    sf_job job = plain_job(&part);
    part.year = 2016;
    assert_close(part_run_time(&job, &part).hours, 24000 * 5.5 / 12.5, 1e-14, 0);
    part.year = 2004; /* old stock on a newer board */
    assert_close(part_run_time(&job, &part).hours, 24000, 0, 0);
    part.year = 2022; /* dated after the survey */
    assert_close(part_run_time(&job, &part).hours, 0, 0, 0);
    part.hours = 310;
    assert_close(part_run_time(&job, &part).hours, 310, 0, 0);
}

static void unknown_years_leave_a_part_the_hours_of_its_board(void **state)
{
    (void)state;
    sf_part part = plain_part();
    sf_job job = plain_job(&part);
    part.year = 2016;
    job.board.survey_year = NAN;
    assert_close(part_run_time(&job, &part).hours, 24000, 0, 0);
    job.board.survey_year = 2021.5;
    job.board.made_year = 0;
    assert_close(part_run_time(&job, &part).hours, 24000, 0, 0);
}

static void unknown_hours_are_estimated_from_hours_a_year(void **state)
{
    (void)state;
    sf_part part = plain_part();
    sf_job job = plain_job(&part);
    job.board.run_hours = NAN;
    job.board.run_hours_sd = 500;
    assert_int_equal(part_run_time(&job, &part).source, HOURS_UNKNOWN);
    assert_true(isnan(part_run_time(&job, &part).hours));
    job.board.hours_per_year = 2100;
    run_time ran = part_run_time(&job, &part);
    assert_int_equal(ran.source, HOURS_ESTIMATED);
    assert_close(ran.hours, 2100 * 12.5, 1e-14, 0);
    assert_close(ran.sd, 0.25, 0, 0);
    part.year = 2018;
    assert_close(part_run_time(&job, &part).hours, 2100 * 3.5, 1e-14, 0);
    part.year = job.board.made_year = 0;
    assert_int_equal(part_run_time(&job, &part).source, HOURS_UNKNOWN);
}

static void age_counts_to_the_survey(void **state)
{
    (void)state;
    sf_part part = plain_part();
    sf_job job = plain_job(&part);
    assert_close(part_age_years(&job.board, &part), 12.5, 1e-14, 0);
    part.year = 2017;
    assert_close(part_age_years(&job.board, &part), 4.5, 1e-14, 0);
    part.year = 2023;
    assert_close(part_age_years(&job.board, &part), 0, 0, 0);
    job.board.survey_year = NAN;
    assert_true(isnan(part_age_years(&job.board, &part)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_part_has_run_as_long_as_its_board),
        cmocka_unit_test(a_history_tells_the_hours_where_there_is_one),
        cmocka_unit_test(a_part_fitted_later_has_run_its_share_of_the_years),
        cmocka_unit_test(unknown_years_leave_a_part_the_hours_of_its_board),
        cmocka_unit_test(unknown_hours_are_estimated_from_hours_a_year),
        cmocka_unit_test(age_counts_to_the_survey),
    };
    return cmocka_run_group_tests_name("hours", tests, NULL, NULL);
}
