/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The heat's word on each part against the meter's. */
#ifndef SPOTFIELD_LIFE_AGREEMENT_H
#define SPOTFIELD_LIFE_AGREEMENT_H

#include "spotfield/compare.h"

/* Fills pulled, heat, meter and reading_pct of each pair, whose rises are known, and counts them.
 * rises_k: at the parts of the first survey. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status agreement_find(const sf_job *before, const sf_job *after, const sf_estimate *rises_k,
                         sf_part_change *pairs, size_t count, sf_agreement *found);

#endif
