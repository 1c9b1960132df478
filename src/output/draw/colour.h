/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* sRGB, CIELAB and contrast: what the palette and the pens are reckoned in. */
#ifndef SPOTFIELD_OUTPUT_DRAW_COLOUR_H
#define SPOTFIELD_OUTPUT_DRAW_COLOUR_H

#include "spotfield/draw.h"

/* CIELAB under D65: lightness 0..100, a green to red, b blue to yellow. */
typedef struct lab_colour {
    double lightness, a, b;
} lab_colour;

/* sRGB by IEC 61966-2-1, CIELAB by CIE 15. Colours that no screen shows are cut to 0..255. */
sf_colour colour_from_lab(lab_colour lab);

/* Contrast ratio of WCAG 2.2, (Y1 + 0.05) / (Y2 + 0.05), 1 to 21, whichever is lighter. */
double colour_contrast(sf_colour one, sf_colour other);

/* `over` laid on `under` with `share` from 0 (nothing) to 1 (covers it). */
sf_colour colour_mix(sf_colour under, sf_colour over, double share);

#endif
