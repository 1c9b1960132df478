/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Linear accumulation of damage (Palmgren, Miner): hours, and the share of life they have used. */
#include "life/wear.h"

#include <math.h>

#include <gsl/gsl_math.h>

#include "job/hours.h"

/* Standard uncertainty of ln hours where they are guessed from hours a year; our choice. */
#define ESTIMATED_HOURS_SD 0.25

void history_start(history *lived, const sf_job *job)
{
    *lived = (history){.whole = {1, job->board.service_ambient_c, 1, NULL}};
    for (size_t i = 0; i < job->period_count; i++)
        lived->total_h += job->periods[i].hours;
    lived->told = lived->total_h > 0;
    lived->periods = lived->told ? job->periods : &lived->whole;
    lived->count = lived->told ? job->period_count : 1;
    if (!lived->told)
        lived->total_h = lived->whole.hours;
}

static int made_year(const sf_board *board, const sf_part *part)
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
    return years_since(board, made_year(board, part));
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

run_time board_run_time(const sf_job *job, const history *lived)
{
    if (lived->told)
        return given_run_time(job, lived->total_h);
    if (!isnan(job->board.run_hours))
        return given_run_time(job, job->board.run_hours);
    return estimated_run_time(job, NULL);
}

/* Share of the board's years that the part was there for. */
static double share_of_years(const sf_board *board, const sf_part *part)
{
    double board_age = years_since(board, board->made_year);
    double part_age = part_age_years(board, part);
    return part_age < board_age ? part_age / board_age : 1;
}

run_time part_run_time(const sf_job *job, const history *lived, const sf_part *part)
{
    if (!isnan(part->hours))
        return given_run_time(job, part->hours);
    run_time ran = board_run_time(job, lived);
    if (ran.source != HOURS_GIVEN)
        return estimated_run_time(job, part);
    ran.hours *= share_of_years(&job->board, part);
    return ran;
}

/* What an offset of 1 K at load 1 comes to in a period: the rise's part of it goes with the load,
 * the air's does not. */
static double sway(const wear *worn, const sf_period *period)
{
    double load = period->load;
    return sqrt(load * load * (1 - worn->air_share) + worn->air_share);
}

static double period_temp(const wear *worn, const sf_period *period)
{
    return worn->rise_k * period->load + period->service_ambient_c + worn->cover_rise_k;
}

static double acting_temp(const wear *worn, const sf_period *period, double offset_k)
{
    double temp_c = period_temp(worn, period) + offset_k * sway(worn, period);
    return temp_c > worn->floor_c ? temp_c : worn->floor_c;
}

/* All hours as so many at the hottest, over their sum. */
static double hottest_share(const wear *worn, double offset_k, double hottest_c)
{
    const history *lived = worn->lived;
    double sum_h = 0;
    if (lived->count == 1)
        return 1;
    for (size_t i = 0; i < lived->count; i++) {
        double under_k = hottest_c - acting_temp(worn, &lived->periods[i], offset_k);
        sum_h += lived->periods[i].hours * exp2(fmin(-under_k / worn->doubling_k, 0));
    }
    return sum_h / lived->total_h;
}

/* The hottest period is taken out of the sum, so that no temperature overflows it. */
double wear_log_used(const wear *worn, double offset_k)
{
    double hottest_c = worn->floor_c;
    for (size_t i = 0; i < worn->lived->count; i++)
        if (worn->lived->periods[i].hours > 0)
            hottest_c = fmax(hottest_c, acting_temp(worn, &worn->lived->periods[i], offset_k));
    return log(worn->stressed_h / worn->life_rated_h) +
           log(hottest_share(worn, offset_k, hottest_c)) +
           (hottest_c - worn->rated_c) * M_LN2 / worn->doubling_k;
}

double wear_share_used(double log_used)
{
    return exp(fmin(log_used, log(SF_USED_MAX)));
}

double wear_next_corner(const wear *worn, double offset_k)
{
    double next_k = INFINITY;
    for (size_t i = 0; i < worn->lived->count; i++) {
        const sf_period *period = &worn->lived->periods[i];
        double corner_k = (worn->floor_c - period_temp(worn, period)) / sway(worn, period);
        if (corner_k > offset_k && corner_k < next_k) /* never where nothing sways it */
            next_k = corner_k;
    }
    return next_k;
}
