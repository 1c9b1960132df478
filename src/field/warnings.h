/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What of a fitted field a person is to look at. */
#ifndef SPOTFIELD_FIELD_WARNINGS_H
#define SPOTFIELD_FIELD_WARNINGS_H

#include "field/grid.h"
#include "spotfield/field.h"

typedef struct judged_fit {
    const sf_field_input *input;
    const sf_field_summary *summary;
    sf_source_fit *sources; /* the listed first, in their order */
    size_t source_count;
    sf_reading_fit *readings; /* as many as the summary tells */
} judged_fit;

/* Sets how far the watts of each source are from those listed, and at each reading the listed
 * source that it lies on and that hardly warms the board by it. */
void judge_sources(const judged_fit *made);

/* Warns of readings, sources and watts that do not agree, and of readings that a model left aside.
 * judge_sources comes before it. SF_ERROR_MEMORY. */
sf_status warn_of_fit(const judged_fit *made, sf_diagnostics *diagnostics);

/* What to do about a found source, in words: look there, or read the one reading again first that
 * alone speaks for it. `fits` are `count`, each of one of the observations. The caller frees it;
 * NULL where memory is short. */
char *found_next_step(const sf_source_fit *found, const sf_observation *observations,
                      const sf_reading_fit *fits, size_t count);

/* Warns of readings on bodies of sources that are colder than the field below them. */
sf_status warn_of_bodies(const sf_field_input *input, const sf_field *made,
                         sf_diagnostics *diagnostics);

/* Says that a fit would take so many bytes, and what makes it so. */
void diagnose_of_room(const sf_field_input *input, const grid *laid, double bytes,
                      sf_diagnostics *diagnostics);

#endif
