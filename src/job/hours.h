/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Hours told of a board, whether they agree with its years, and how long its parts have run. */
#ifndef SPOTFIELD_JOB_HOURS_H
#define SPOTFIELD_JOB_HOURS_H

#include "spotfield/job.h"

/* The hours there are between the two dates of a board, either of which may be a year off; NAN
 * where one is not known. */
double board_hours_most(const sf_board *board);

/* The hours of all periods; 0 where there is none. */
double job_periods_h(const sf_job *job);

/* The same, or run_hours; NAN where neither is told. */
double job_hours_told(const sf_job *job);

/* One standard deviation of the hours told, as a share of them. */
double board_hours_sd(const sf_board *board);

/* hours_per_year times the years of the board, where the hours told are so far from it that one of
 * the three may be a slip; NAN where they agree, or one is not known. */
double job_hours_against(const sf_job *job);

/* The same where they are farther apart and no meter counted the hours told: what a part would be
 * worn by counts against it. */
double job_hours_doubted(const sf_job *job);

/* Where the hours of a part come from. */
typedef enum hours_source {
    HOURS_UNKNOWN,
    HOURS_GIVEN,    /* the part's own, the board's, or those of its history */
    HOURS_ESTIMATED /* hours a year times age */
} hours_source;

typedef struct run_time {
    double hours; /* NAN where the source is unknown */
    double sd;    /* standard uncertainty of ln hours */
    hours_source source;
} run_time;

/* Hours the board has run: those of its history, else as given, else estimated from its age. */
run_time board_run_time(const sf_job *job);

/* Hours a part has run: its own, or the board's, cut to its share of the years where it was
 * fitted later. Duty is not in them. */
run_time part_run_time(const sf_job *job, const sf_part *part);

/* The year a part was made in: its own, or the board's, which alone is told with NULL; 0 unknown.
 */
int part_made_year(const sf_board *board, const sf_part *part);

/* Years from the making of a part to the survey, not negative; NAN unknown. */
double part_age_years(const sf_board *board, const sf_part *part);

#endif
