/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the comparison of two surveys rests on: pairs of parts, the heat's word on each against the
 * meter's, and changes of sources and readings. */
#ifndef SPOTFIELD_LIFE_COMPARE_PARTS_H
#define SPOTFIELD_LIFE_COMPARE_PARTS_H

#include "spotfield/compare.h"

/* Fills pulled, heat, meter and reading_pct of each pair, whose rises are known, and counts them.
 * rises_k: at the parts of the first survey. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status agreement_find(const sf_job *before, const sf_job *after, const sf_estimate *rises_k,
                         sf_part_change *pairs, size_t count, sf_agreement *found);

/* --- pairs --- */

/* Fills pairs with each part of `before` and its twin in `after`, SF_NO_PART where there is none,
 * then the parts of `after` that have no twin; *count becomes their number. Room for all parts of
 * both is needed. SF_ERROR_MEMORY. */
sf_status matched_parts_pair(const sf_job *before, const sf_job *after, sf_part_change *pairs,
                             size_t *count);

/* --- sources and readings that both surveys have --- */

/* Whether a change counts. */
sf_change change_judge(sf_estimate change_k);

/* The change of the rise at a place that is board in both, as sf_surveys_compare says. */
typedef sf_status (*change_at)(const void *context, sf_point at, sf_heat_change *found);

/* Fills sources and readings of a comparison; what was made is the comparison's also on failure. */
sf_status heat_changes_find(const sf_survey *before, const sf_survey *after, change_at changed,
                            const void *context, sf_comparison *into);

#endif
