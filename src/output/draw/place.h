/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Places and boxes in the picture, in pixels from its upper left corner; pixel (i, j) covers
 * i..i+1, j..j+1. */
#ifndef SPOTFIELD_OUTPUT_DRAW_PLACE_H
#define SPOTFIELD_OUTPUT_DRAW_PLACE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct place {
    double x_px, y_px;
} place;

typedef struct box {
    double left, top, right, bottom;
} box;

static inline box box_about(place centre, double width_px, double height_px)
{
    return (box){centre.x_px - width_px / 2, centre.y_px - height_px / 2,
                 centre.x_px + width_px / 2, centre.y_px + height_px / 2};
}

static inline void box_corners(box of, place corners[4])
{
    corners[0] = (place){of.left, of.top};
    corners[1] = (place){of.right, of.top};
    corners[2] = (place){of.right, of.bottom};
    corners[3] = (place){of.left, of.bottom};
}

/* The box around places, count at least 1. */
box box_around(const place *places, size_t count);

static inline place box_centre(box in)
{
    return (place){(in.left + in.right) / 2, (in.top + in.bottom) / 2};
}

static inline bool boxes_meet(box a, box b)
{
    return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

static inline bool box_holds(box outer, box inner)
{
    return inner.left >= outer.left && inner.right <= outer.right && inner.top >= outer.top &&
           inner.bottom <= outer.bottom;
}

#endif
