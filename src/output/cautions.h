/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is said to whoever reads on a running board. */
#ifndef SPOTFIELD_OUTPUT_CAUTIONS_H
#define SPOTFIELD_OUTPUT_CAUTIONS_H

/* Asked of whoever reads on a board of which nobody has told the no-touch areas. Plain ASCII,
 * without a sign that means something in HTML. */
extern const char keepout_question[];

/* What to mind before reading on a running board, the gravest first; ended by NULL. Plain ASCII
 * too. */
extern const char *const probing_cautions[];

#endif
