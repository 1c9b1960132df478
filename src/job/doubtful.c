/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

#include "job/doubtful.h"

#include <math.h>

#include "job/number.h"

/* Nobody works at a bench in such air (common practice, no source). */
#define BENCH_AIR_C_MOST 45.0
/* Air in service is that much colder than at the bench only outdoors or in a cold room: asked
 * about, and held against parts (judgement). */
#define COLDER_ASKED_K 5.0
#define COLDER_DOUBTED_K 10.0
/* As near as somebody knows who measured it. */
#define MEASURED_AIR_SD_K 1.0
/* Hours that catalogues promise of cans up to 35 mm wide, and grades of wet or polymer cans, at
 * most (common practice, no source). A digit too many makes a worn part a new one. */
#define PROMISED_85C_H_MOST 5000.0
#define PROMISED_H_MOST 15000.0
#define CAN_MM_MOST 35.0
#define CAN_RATED_C_MOST 150.0
#define DIGIT_SLIPPED 2.0

bool air_too_warm(double air_c)
{
    return air_c > BENCH_AIR_C_MOST;
}

double job_air_missing_k(const sf_job *job)
{
    double bench_c = job->board.ambient_c, colder_k = bench_c - job->board.service_ambient_c;
    if (!(colder_k > COLDER_ASKED_K))
        return 0;
    return air_too_warm(bench_c) ? fmax(bench_c - fahrenheit_to_c(bench_c), colder_k) : colder_k;
}

double job_air_doubted_k(const sf_job *job)
{
    double missing_k = job_air_missing_k(job);
    bool measured =
        job->board.service_ambient_sd_k <= MEASURED_AIR_SD_K && !air_too_warm(job->board.ambient_c);
    return missing_k > COLDER_DOUBTED_K && !measured ? missing_k : 0;
}

static bool is_can(const sf_part *part)
{
    return part->type != SF_TYPE_TANTALUM && part->type != SF_TYPE_FILM;
}

double part_rating_against(const sf_part *part)
{
    return is_can(part) && part->rated_c > CAN_RATED_C_MOST ? CAN_RATED_C_MOST : (double)NAN;
}

double part_endurance_against(const sf_part *part)
{
    double most_h = part->rated_c < 105 ? PROMISED_85C_H_MOST : PROMISED_H_MOST;
    bool wide = part->diameter_mm > CAN_MM_MOST;
    return is_can(part) && !wide && part->endurance_h > most_h ? most_h : (double)NAN;
}

bool part_grade_doubted(const sf_part *part)
{
    return !isnan(part_rating_against(part)) ||
           part->endurance_h > DIGIT_SLIPPED * part_endurance_against(part);
}
