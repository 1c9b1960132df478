/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One part at a time under a what-if: its own past at today's heat, then hours under the change. */
#ifndef SPOTFIELD_LIFE_PROSPECT_H
#define SPOTFIELD_LIFE_PROSPECT_H

#include "spotfield/life.h"

/* A board that is asked about; all borrowed. */
typedef struct prospect_board {
    const sf_job *job;
    const bool *can_read;        /* of cans_read */
    const sf_part_result *today; /* whose trust stays as it is */
} prospect_board;

/* Decides one part of the job under a what-if, `index` of it; `renewed`: a new part of the
 * what-if's grade stands there from today on. On SF_OK result->reason is freed with
 * free(); NULL where the share of the rise that stays is in doubt. */
sf_status prospect_part(const prospect_board *of, size_t index, sf_estimate rise_k,
                        const sf_what_if *asked, bool renewed, sf_part_result *result);

#endif
