/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

#include "job/hours.h"

#include <math.h>

/* Hours and hours a year may belong to different years: threefold is asked about, and fivefold is
 * what a lost digit makes and hardly a board that stood idle (judgement). */
#define RATIO_ASKED 3.0
#define RATIO_DOUBTED 5.0
/* As near as somebody knows who read them from a meter or a log. */
#define METERED_SD 0.05

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

double board_hours_sd(const sf_board *board)
{
    bool in_hours = !isnan(board->run_hours_sd) && board->run_hours > 0;
    return in_hours ? board->run_hours_sd / board->run_hours : board->run_hours_sd_pct / 100;
}

/* hours_per_year times the years of the board, where the hours told are that far from it. */
static double hours_beyond(const sf_job *job, double ratio)
{
    const sf_board *board = &job->board;
    double told = job_hours_told(job), yearly = board->hours_per_year;
    double years = board->made_year == 0 ? NAN : board->survey_year - board->made_year;
    /* either year may be counted from its first day or to its last */
    bool astray = told > ratio * yearly * (years + 1) || ratio * told < yearly * (years - 1);
    return astray ? yearly * years : (double)NAN;
}

double job_hours_against(const sf_job *job)
{
    return hours_beyond(job, RATIO_ASKED);
}

double job_hours_doubted(const sf_job *job)
{
    return board_hours_sd(&job->board) <= METERED_SD ? (double)NAN
                                                     : hours_beyond(job, RATIO_DOUBTED);
}
