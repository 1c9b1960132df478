/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a palette is judged by: colour difference, and colours as colour-blind eyes see them. */
#ifndef SPOTFIELD_TESTS_COLOUR_DIFFERENCE_H
#define SPOTFIELD_TESTS_COLOUR_DIFFERENCE_H

#include "output/draw/colour.h"

/* CIEDE2000 with all weights 1: CIE 142, in the form of Sharma, Wu, Dalal, Color Res. Appl. 30
 * (2005) 21. */
double colour_difference(lab_colour one, lab_colour other);

typedef enum sight { SIGHT_FULL, SIGHT_PROTAN, SIGHT_DEUTAN, SIGHT_TRITAN, SIGHT_COUNT } sight;

/* A colour as this sight perceives it: Machado, Oliveira, Fernandes, IEEE TVCG 15 (2009) 1291,
 * severity 1, on linear sRGB. */
sf_colour colour_seen(sf_colour colour, sight eye);

/* CIELAB of a colour of a screen, by IEC 61966-2-1 (D65) and CIE 15. */
lab_colour colour_to_lab(sf_colour colour);

#endif
