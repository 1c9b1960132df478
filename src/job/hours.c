/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

#include "job/hours.h"

#include <math.h>

/* Hours and hours a year may belong to different years, but not so far apart. */
#define HOURS_RATIO_MOST 3.0

double board_hours_most(const sf_board *board)
{
    const double yearly_h = 8784; /* of a leap year */
    return board->made_year == 0 ? NAN : (board->survey_year - board->made_year + 1) * yearly_h;
}

double job_hours_told(const sf_job *job)
{
    double sum = 0;
    for (size_t i = 0; i < job->period_count; i++)
        sum += job->periods[i].hours;
    return sum > 0 ? sum : job->board.run_hours;
}

double job_hours_against(const sf_job *job)
{
    const sf_board *board = &job->board;
    double told = job_hours_told(job), yearly = board->hours_per_year;
    double years = board->made_year == 0 ? NAN : board->survey_year - board->made_year;
    /* either year may be counted from its first day or to its last */
    bool astray = told > HOURS_RATIO_MOST * yearly * (years + 1) ||
                  HOURS_RATIO_MOST * told < yearly * (years - 1);
    return astray ? yearly * years : (double)NAN;
}
