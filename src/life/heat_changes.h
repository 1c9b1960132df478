/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sources and readings that both surveys have, held against each other. */
#ifndef SPOTFIELD_LIFE_HEAT_CHANGES_H
#define SPOTFIELD_LIFE_HEAT_CHANGES_H

#include "spotfield/compare.h"

/* Whether a change counts. */
sf_change change_judge(sf_estimate change_k);

/* The change of the rise at a place that is board in both, as sf_surveys_compare says. */
typedef sf_status (*change_at)(const void *context, sf_point at, sf_heat_change *found);

/* Fills sources and readings of a comparison; what was made is the comparison's also on failure. */
sf_status heat_changes_find(const sf_survey *before, const sf_survey *after, change_at changed,
                            const void *context, sf_comparison *into);

#endif
