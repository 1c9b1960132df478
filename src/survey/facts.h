/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What several files of the results ask of an outcome. */
#ifndef SPOTFIELD_SURVEY_FACTS_H
#define SPOTFIELD_SURVEY_FACTS_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "spotfield/survey.h"

/* The hottest and coldest cell of the board in service; NAN where no cell is board. */
typedef struct heat_range {
    double least_c, most_c;
    double most_x_mm, most_y_mm;
} heat_range;

heat_range board_heat(const sf_outcome *outcome);

/* Centre of a cell, mm. */
sf_point cell_centre(const sf_grid *grid, size_t cell);

/* What the board is called; words in its place where it has no name. */
const char *board_name(const sf_job *job);

/* Parts of one verdict. */
size_t verdict_count(const sf_outcome *outcome, sf_verdict verdict);

/* A letter that stands for a cause on a map, and the cause in a word or two; "" for none. Static.
 */
const char *cause_letter(sf_cause cause);
const char *cause_text(sf_cause cause);

/* The zone a part stands in; NULL for none. */
const sf_zone *part_zone(const sf_outcome *outcome, size_t part);

/* For each observation its fit, one of NAN where it was not fitted; freed with free(). NULL when
 * memory is short. */
const sf_reading_fit **observation_fits(const sf_outcome *outcome);

/* Whether the watts listed for a source lie more than three standard deviations from those that the
 * readings give it. One that would have to cool is a contradiction, whatever its watts. */
bool listed_watts_denied(const sf_source_fit *source);

/* The reference model that predicts the readings best; NULL where none could be fitted. */
const sf_reference *best_reference(const sf_outcome *outcome);

/* That one where it predicts the readings better than the map by more than the uncertainty of the
 * comparison, else NULL. A root mean square of n errors is itself known to a relative 1 / sqrt(2 n)
 * (computed from the formula of the chi-square distribution, for normal errors). */
const sf_reference *reference_that_wins(const sf_outcome *outcome);

/* Whether heat and meter contradict each other on a part: worn though heat alone would let it stay,
 * or probably past its rated life though its capacitance reads within tolerance. */
bool heat_and_meter_disagree(const sf_outcome *outcome, size_t part);

/* Indices of the parts, worst first: by verdict, then by the chance that the rated life is used
 * up, then by the share used; freed with free(). NULL when memory is short. */
size_t *parts_worst_first(const sf_outcome *outcome);

/* A piece of the board on which nothing was read. */
typedef struct unread_piece {
    const char *where; /* on the board, in words; static */
    size_t parts;      /* that stand on it */
    sf_point amid;     /* the middle of its cell that is nearest to its own */
} unread_piece;

/* Those of a board in pieces, but for specks of the grid without a part. *found is a new array of
 * *count, freed with free() in any case. Errors: SF_ERROR_MEMORY, those of sf_pieces_read. */
sf_status unread_pieces_find(const sf_outcome *outcome, unread_piece **found, size_t *count);

/* The side that a source is on, as the job lists it; either for one that was found. */
sf_side source_side(const sf_job *job, const sf_source_fit *of);

#endif
