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
/* Standard uncertainty of ln hours where they are guessed from hours a year; our choice. */
#define ESTIMATED_HOURS_SD 0.25

double board_hours_most(const sf_board *board)
{
    const double yearly_h = 8784; /* of a leap year */
    return board->made_year == 0 ? NAN : (board->survey_year - board->made_year + 1) * yearly_h;
}

double job_periods_h(const sf_job *job)
{
    double sum_h = 0;
    for (size_t i = 0; i < job->period_count; i++)
        sum_h += job->periods[i].hours;
    return sum_h;
}

double job_hours_told(const sf_job *job)
{
    double periods_h = job_periods_h(job);
    return periods_h > 0 ? periods_h : job->board.run_hours;
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

/* --- how long board and parts have run --- */

int part_made_year(const sf_board *board, const sf_part *part)
{
    return part && part->year > 0 ? part->year : board->made_year;
}

static double years_since(const sf_board *board, int year)
{
    double years = year > 0 ? board->survey_year - year : (double)NAN;
    /* a part fitted in the year of the survey may be dated after it */
    return years < 0 ? 0 : years;
}

double part_age_years(const sf_board *board, const sf_part *part)
{
    return years_since(board, part_made_year(board, part));
}

/* One hand told all hours: those of the board, of its periods and of parts that were changed. */
static run_time given_run_time(const sf_job *job, double hours)
{
    return (run_time){hours, board_hours_sd(&job->board), HOURS_GIVEN};
}

static run_time estimated_run_time(const sf_job *job, const sf_part *part)
{
    double hours = job->board.hours_per_year * part_age_years(&job->board, part);
    if (isnan(hours))
        return (run_time){NAN, 0, HOURS_UNKNOWN};
    return (run_time){hours, ESTIMATED_HOURS_SD, HOURS_ESTIMATED};
}

run_time board_run_time(const sf_job *job)
{
    double told_h = job_hours_told(job);
    return isnan(told_h) ? estimated_run_time(job, NULL) : given_run_time(job, told_h);
}

/* Share of the board's years that the part was there for. */
static double share_of_years(const sf_board *board, const sf_part *part)
{
    double board_age = years_since(board, board->made_year);
    double part_age = part_age_years(board, part);
    return part_age < board_age ? part_age / board_age : 1;
}

run_time part_run_time(const sf_job *job, const sf_part *part)
{
    if (!isnan(part->hours))
        return given_run_time(job, part->hours);
    run_time ran = board_run_time(job);
    if (ran.source != HOURS_GIVEN)
        return estimated_run_time(job, part);
    ran.hours *= share_of_years(&job->board, part);
    return ran;
}
