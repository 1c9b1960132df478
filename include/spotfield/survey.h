/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The whole chain from a job to its outcome; nothing is printed or written here. */
#ifndef SPOTFIELD_SURVEY_H
#define SPOTFIELD_SURVEY_H

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

/* What-if questions about the hours to come. What is not asked is NAN or false. */
typedef struct sf_wishes {
    double air_k;   /* air in service warmer by so much; negative: colder */
    bool fan;       /* a fan blows over the board */
    double grade_c; /* parts to replace are fitted new, of this grade */
    double hours;   /* hours to come until the parts are judged; not asked: the service goal where
                       one is known, else none */
} sf_wishes;

/* Start from sf_map_options_default. */
typedef struct sf_map_options {
    sf_field_options field; /* position_sd_mm is taken from the job's policy instead */
    sf_wishes wishes;
    bool no_reference;                                 /* their rmse_k stays NAN; default false */
    void (*on_step)(const char *doing, void *context); /* called as each step begins with what it
                                                          does, a static text; NULL: not called */
    void *on_step_context;
} sf_map_options;

/* Defaults of the field, no what-if, on_step NULL. */
SF_API sf_map_options sf_map_options_default(void);

/* One answer, as a row of a table: what is asked, and what would come of it. */
typedef struct sf_what_if_row {
    char *asked; /* "as it is, today", "air 5 K colder, after 20,000 h" */
    sf_prospect prospect;
} sf_what_if_row;

/* A model that did not make the map, to compare the map with. */
typedef struct sf_reference {
    const char *model; /* its name; static */
    double rmse_k;     /* its left-out error; NAN where it could not fit */
} sf_reference;

/* Everything that was found out about a job. All but `job` is owned. */
typedef struct sf_outcome {
    const sf_job *job;
    sf_observation *observations;
    size_t observation_count;
    sf_pixels *pixels; /* of the job's thermogram; NULL where it has none */
    sf_field *field;
    sf_reference *references; /* every other model of sf_field_models */
    size_t reference_count;
    char *whole_file;        /* what all readings seem to share, as a slip of the pen or of the
                                instrument, in a sentence; NULL where nothing does */
    char *one_slip;          /* the slip of the pen in one reading or two that explains the
                                readings far better, in a sentence; NULL where none does */
    double *temps_c;         /* per grid cell, in service; NAN outside */
    sf_part_result *results; /* per part */
    sf_zones *zones;
    sf_kit *kit;
    sf_what_if_row *what_ifs; /* today first, each wish, all of them together; none asked: none */
    size_t what_if_count;
} sf_outcome;

/* Runs the whole chain: readings, field, verdicts, zones, kit. On SF_OK *outcome is new
 * and freed with sf_outcome_free; it keeps `job`, which must outlive it. On error NULL, with the
 * errors of each step. */
SF_API sf_status sf_map_job(const sf_job *job, const sf_map_options *options, sf_outcome **outcome,
                            sf_diagnostics *diagnostics);
SF_API void sf_outcome_free(sf_outcome *outcome);

/* The error to expect of the temperature of a part: root mean square of temp_sd_k over all parts;
 * NAN where there is none. */
SF_API double sf_outcome_part_error_k(const sf_outcome *outcome);

SF_END_C

#endif
