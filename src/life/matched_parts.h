/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which part of one survey is which of another: by reference. */
#ifndef SPOTFIELD_LIFE_MATCHED_PARTS_H
#define SPOTFIELD_LIFE_MATCHED_PARTS_H

#include "spotfield/compare.h"

/* Fills pairs with each part of `before` and its twin in `after`, SF_NO_PART where there is none,
 * then the parts of `after` that have no twin; *count becomes their number. Room for all parts of
 * both is needed. SF_ERROR_MEMORY. */
sf_status matched_parts_pair(const sf_job *before, const sf_job *after, sf_part_change *pairs,
                             size_t *count);

#endif
