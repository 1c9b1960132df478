/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether the hours told of a board agree with its years. */
#ifndef SPOTFIELD_JOB_HOURS_H
#define SPOTFIELD_JOB_HOURS_H

#include "spotfield/job.h"

/* The hours there are between the two dates of a board, either of which may be a year off; NAN
 * where one is not known. */
double board_hours_most(const sf_board *board);

/* The hours of all periods, or run_hours; NAN where neither is told. */
double job_hours_told(const sf_job *job);

/* One standard deviation of the hours told, as a share of them. */
double board_hours_sd(const sf_board *board);

/* hours_per_year times the years of the board, where the hours told are so far from it that one of
 * the three may be a slip; NAN where they agree, or one is not known. */
double job_hours_against(const sf_job *job);

/* The same where they are farther apart and no meter counted the hours told: what a part would be
 * worn by counts against it. */
double job_hours_doubted(const sf_job *job);

#endif
