/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Photos of invented boards, drawn with what makes circles hard to find: cans that lean over the
 * board as a camera sees them, their shadows, tilted light, text, screws, chips and noise. */
#ifndef SPOTFIELD_TESTS_PAGE_DRAWN_PHOTO_H
#define SPOTFIELD_TESTS_PAGE_DRAWN_PHOTO_H

#include <stddef.h>

#include "spotfield/geometry.h"

enum { DRAWN_CANS_MOST = 80, DRAWN_SCREWS_MOST = 8 };

typedef struct drawn_can {
    double x_mm, y_mm, diameter_mm, height_mm;
} drawn_can;

typedef struct drawn_view {
    unsigned long seed;
    size_t cans;
    double width_mm, height_mm;              /* of the board */
    double eye_x_mm, eye_y_mm, eye_above_mm; /* of the camera, which looks at the middle */
    double light;                            /* how much darker the far side is, 0 to 1 */
    double noise;                            /* shades, one standard deviation */
} drawn_view;

typedef struct drawn_photo {
    drawn_can cans[DRAWN_CANS_MOST];
    size_t count;
    sf_point screws[DRAWN_SCREWS_MOST]; /* round as a can of 6 mm, and none */
    size_t screw_count;
    sf_point corners_px[4]; /* lower left, lower right, upper right, upper left of the board */
} drawn_photo;

/* Writes photo.jpg, 2,000 x 1,500 pixels, into the folder; fails the test where it cannot. */
void photo_draw(const drawn_view *view, const char *folder, drawn_photo *made);

#endif
