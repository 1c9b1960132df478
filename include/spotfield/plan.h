/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where the next readings are worth most: the few places that settle the most verdicts. */
#ifndef SPOTFIELD_PLAN_H
#define SPOTFIELD_PLAN_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/diagnostic.h"
#include "spotfield/field.h"
#include "spotfield/job.h"
#include "spotfield/life.h"
#include "spotfield/reading.h"
#include "spotfield/status.h"

SF_BEGIN_C

#define SF_PLAN_POINTS_DEFAULT 8
#define SF_PLAN_POINTS_MAX 100

/* A plan ends where no further reading is expected to gain as much: a twentieth of a check at the
 * default policy (a judgement). */
#define SF_PLAN_GAIN_LEAST 0.0025

/* Start from sf_plan_options_default. */
typedef struct sf_plan_options {
    size_t points;          /* asked for; 1 to SF_PLAN_POINTS_MAX, default SF_PLAN_POINTS_DEFAULT */
    sf_field_options field; /* the model is "heat-balance"; position_sd_mm is taken from the job's
                               policy instead */
    const sf_pixels *pixels; /* of a thermogram of the board; NULL (default): none */
} sf_plan_options;

/* The options that hold where the caller asks for nothing: the defaults named above. */
SF_API sf_plan_options sf_plan_options_default(void);

/* One place to read, as good as the ones before it leave it. */
typedef struct sf_plan_point {
    double x_mm, y_mm; /* on the board, to half a millimetre; the middle of a can that is read */
    sf_spot spot;      /* the board or a part's can; never the body of a source, which says nothing
                          about the board (see sf_observation.in_fit) */
    sf_side side;
    sf_method method; /* infrared in and close to no-touch areas, else as most readings of the job,
                         thermocouple-K where there are none */
    double gain;  /* expected fall of the summed cost of wrong verdicts; 1 is a part left in place
                     that  is past its rated life; not negative */
    char *on;     /* the part whose can is read, else the part beside it or the source above it;
                     "" open board */
    char *reason; /* one line: what it settles, and how to read there safely */
} sf_plan_point;

/* The plan, and what it rests on. All is owned. */
typedef struct sf_plan {
    sf_plan_point *points; /* best first; count may be 0 */
    size_t count;
    bool settled;            /* ended early: no further reading would change a verdict */
    size_t readings;         /* in the fit; 0: made before any reading, from what is expected */
    double loss, loss_after; /* expected, summed over parts: today, and with all points read */
    sf_field *field;         /* of today's readings, or as expected before any */
    sf_part_result *results; /* of today, per part of the job */
    size_t part_count;
} sf_plan;

/* Plans where to read next. Each point is chosen so that it and those before it lower the expected
 * loss of the verdicts most: for every part the cost of the best verdict under what is known,
 * averaged over what the readings may show (preposterior analysis: H. Raiffa and R. Schlaifer,
 * Applied Statistical Decision Theory, 1961). Costs follow from the policy: a verdict costs what
 * makes the rules switch where the policy's probabilities say.
 * observations: of sf_readings_correct; none in the fit plans from construction and sources.
 * On SF_OK *plan is new, freed with sf_plan_free; diagnostics hold the warnings of the field and
 * whatever limits the plan. On error NULL.
 * Errors: SF_ERROR_ARGUMENT (options), those of sf_field_fit_joint. */
SF_API sf_status sf_plan_make(const sf_job *job, const sf_observation *observations,
                              size_t observation_count, const sf_plan_options *options,
                              sf_plan **plan, sf_diagnostics *diagnostics);
SF_API void sf_plan_free(sf_plan *plan);

SF_END_C

#endif
