/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The pieces of an explanation. */
#ifndef SPOTFIELD_LIFE_PART_EXPLAIN_H
#define SPOTFIELD_LIFE_PART_EXPLAIN_H

#include "core/text.h"
#include "life/decide.h"

/* Adds the lines about calendar, meter and eye, and about the ordered rules. */
void explain_evidence(text *into, const part_context *of);
void explain_rules(text *into, const part_context *of);

#endif
