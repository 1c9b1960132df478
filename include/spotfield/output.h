/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How an outcome is presented: pictures, files, findings and words. */
#ifndef SPOTFIELD_OUTPUT_H
#define SPOTFIELD_OUTPUT_H

#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/compare.h"
#include "spotfield/diagnostic.h"
#include "spotfield/draw.h"
#include "spotfield/plan.h"
#include "spotfield/status.h"
#include "spotfield/survey.h"

SF_BEGIN_C

/* The pictures of an outcome. */
typedef struct sf_pictures {
    unsigned char *heat_png; /* the field in service, with parts, sources and readings */
    size_t heat_png_size;
    unsigned char *doubt_png; /* its standard deviation */
    size_t doubt_png_size;
    sf_picture_frame frame; /* of both */
} sf_pictures;

/* Draws both. On SF_OK *pictures is ended with sf_pictures_clear; on error it is empty, and the
 * reason is added to diagnostics. Errors: SF_ERROR_MEMORY, those of sf_scene_draw. */
SF_API sf_status sf_outcome_draw(const sf_outcome *outcome, const sf_picture_options *options,
                                 sf_pictures *pictures, sf_diagnostics *diagnostics);
SF_API void sf_pictures_clear(sf_pictures *pictures);

/* One file of the results. Ends with a row whose name is NULL. */
typedef struct sf_output {
    const char *name;        /* such as "parts.csv" */
    const char *description; /* one clause for --help and manual */
} sf_output;

/* Every file that sf_outcome_write writes, in the order of writing; the table is static. */
SF_API const sf_output *sf_outputs(void);

/* Writes every file of sf_outputs into `folder`, made when it is not there: all of them or none;
 * earlier files survive a failure. pictures: of this outcome. The reason of a failure is added to
 * diagnostics. Errors: SF_ERROR_WRITE, SF_ERROR_MEMORY. */
SF_API sf_status sf_outcome_write(const sf_outcome *outcome, const sf_pictures *pictures,
                                  const char *folder, sf_diagnostics *diagnostics);

/* Writes plan.csv, its points as rank,x_mm,y_mm,spot,side,method,gain,on,reason, plan.png, the heat
 * map of today or, before any reading, the one to expect, with a numbered ring at each point, and
 * worksheet.html, the same to print and fill in, into `folder`, made when it is not there: all or
 * none; earlier files survive a failure. The reason of
 * a failure is added to diagnostics. observations: those the plan was made with.
 * Errors: SF_ERROR_WRITE, SF_ERROR_MEMORY, those of sf_scene_draw. */
SF_API sf_status sf_plan_write(const sf_plan *plan, const sf_job *job,
                               const sf_observation *observations, size_t observation_count,
                               const sf_picture_options *picture, const char *folder,
                               sf_diagnostics *diagnostics);

/* Writes compare.csv (one row a part of either survey), difference.png (the change of the rise in
 * the frame of heat.png, hatched where it lies within its uncertainty) and compare.html (all of it
 * on one page) into `folder`, made when it is not there: all three or none; earlier files survive a
 * failure. The reason of a failure is added to diagnostics. comparison: of the fields of the two
 * outcomes, which sf_map_job made.
 * Errors: SF_ERROR_WRITE, SF_ERROR_MEMORY, those of sf_scene_draw. */
SF_API sf_status sf_comparison_write(const sf_comparison *comparison, const sf_outcome *before,
                                     const sf_outcome *after, const sf_picture_options *picture,
                                     const char *folder, sf_diagnostics *diagnostics);

/* One part's whole chain of reasoning: its reference, the readings nearest to it and how the field
 * fits them, then the lines of sf_part_explain. index: of the part in the job. On SF_OK *explained
 * is a new string freed with free(); on error NULL. Errors: SF_ERROR_ARGUMENT (no such part),
 * SF_ERROR_MEMORY, those of sf_field_at. */
SF_API sf_status sf_outcome_explain(const sf_outcome *outcome, size_t index, char **explained);

/* Something to look at before the verdicts are acted on. */
typedef struct sf_finding {
    const char *section; /* of the report with the details: "readings", "sources", "parts", "map",
                            "cautions"; static */
    char *words;         /* one line: what, and what to do where that is not obvious */
    const char *ref;     /* reading (its id), part or listed source to begin with; valid as long as
                            the outcome; NULL where no one is meant */
    double x_mm, y_mm;   /* where to look on the board; NAN nowhere */
} sf_finding;

/* All that is to be looked at first, the gravest first; report, terminal and JSON give the same. On
 * SF_OK *findings is a new array of *count, which may be 0, freed with sf_findings_free; on error
 * NULL. SF_ERROR_MEMORY. */
SF_API sf_status sf_outcome_findings(const sf_outcome *outcome, sf_finding **findings,
                                     size_t *count);
SF_API void sf_findings_free(sf_finding *findings, size_t count);

/* Why the parts that are left are not replaced as well, for the owner: how many of them to expect
 * failed, what replacing them would cost in parts, work and risk, and what to look at again when.
 * New string, freed with free(); "" where none is left; NULL when memory is short. */
SF_API char *sf_outcome_why_not_all(const sf_outcome *outcome);

/* The verdict in a few sentences: "Replace 12 of 90 capacitors, check 9, leave 69.", then how many
 * go for what cause, and how much of their life those left have used. New string, freed with
 * free(); NULL when memory is short. */
SF_API char *sf_outcome_sentence(const sf_outcome *outcome);

SF_END_C

#endif
