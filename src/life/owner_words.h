/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers as an owner reads them, for the sentences of the room. Each adds to a growing text; none
 * but a deviation is negative. */
#ifndef SPOTFIELD_LIFE_OWNER_WORDS_H
#define SPOTFIELD_LIFE_OWNER_WORDS_H

#include "core/text.h"
#include "life/decide.h"

/* Hours of an estimated life, to three figures or the nearest hundred: "1,970 h", "131,400 h". */
void add_hours(text *into, double hours);

/* A share as percent, at two figures below 10: "133 %", "4.7 %", "under 0.1 %". */
void add_percent(text *into, double share);

/* Two shares as percent: "105 to 168 %". */
void add_percent_range(text *into, double low, double high);

/* A deviation in percent with its sign: "+3.6 %". */
void add_deviation(text *into, double pct);

/* A quantity as short as it can be told, to four figures and no more than four decimals: "52.05",
 * "0.33", "4,700". */
void add_quantity(text *into, double value);

/* --- what meter, eye and nose found, in clauses of a reason --- */

/* "worn: bulged; reads 31.2 uF, -34 % against its marking, limit -20 %". */
void add_evidence(text *into, const part_context *of);

/* A reading that does not condemn: of use where it sides with the heat or against it. Nothing where
 * the meter was not used. */
void add_meter_fine(text *into, const part_context *of, const char *before);

/* What asks for a better look; nothing where nothing does. */
void add_meter_doubts(text *into, const part_context *of);

#endif
