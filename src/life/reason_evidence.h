/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What meter, eye and nose found, in clauses of a reason. */
#ifndef SPOTFIELD_LIFE_REASON_EVIDENCE_H
#define SPOTFIELD_LIFE_REASON_EVIDENCE_H

#include "core/text.h"
#include "life/decide.h"

/* "worn: bulged; reads 31.2 uF, -34 % on its marking, limit -20 %". */
void add_evidence(text *into, const part_context *of);

/* A reading that does not condemn: of use where it sides with the heat or against it. Nothing where
 * the meter was not used. */
void add_meter_fine(text *into, const part_context *of, const char *before);

/* What asks for a better look; nothing where nothing does. */
void add_meter_doubts(text *into, const part_context *of);

#endif
