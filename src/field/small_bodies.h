/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Small bodies that lie on the board. A bead or an infrared spot in the middle of one can touch
 * nothing but the body, and the top of that is hotter than the board as a sheet: its heat has the
 * solder joints to pass, and narrows where it enters a board thicker than the body is wide. So what
 * was read there is the rise of the board times a share above one. */
#ifndef SPOTFIELD_FIELD_SMALL_BODIES_H
#define SPOTFIELD_FIELD_SMALL_BODIES_H

#include "field/grid.h"
#include "spotfield/field.h"

/* Judgement, from what a chip of 2.0 x 1.25 mm has on 1.6 mm of FR-4. Bare, the sheet below rises
 * by some 340 K/W (fin of 7 to 9 mm); body and joints add some 40 K/W (makers of chip resistors,
 * from memory), and the top of a half-space by which the heat narrows up to 350 K/W more (uniform
 * disc, H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959) section 8.2),
 * most of which pads and tracks take away. So between 1.1 and 2.1, and 1.5 amid. */
#define BODY_SHARE 1.5
#define BODY_SHARE_SD 0.35

/* Whether a reading that is said to be of the board was taken on a small body: one without leads or
 * heat sink, narrower than a bead with its tape. */
bool body_was_read(const sf_field_input *input, const sf_observation *seen);

/* Whether a place lies on a listed source's body. */
bool body_covers(const sf_source *source, double x_mm, double y_mm);

#endif
