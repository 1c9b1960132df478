/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Boxes around places. */
#include "output/draw/place.h"

#include <math.h>

box box_around(const place *places, size_t count)
{
    box around = {places[0].x_px, places[0].y_px, places[0].x_px, places[0].y_px};
    for (size_t i = 1; i < count; i++) {
        around.left = fmin(around.left, places[i].x_px);
        around.top = fmin(around.top, places[i].y_px);
        around.right = fmax(around.right, places[i].x_px);
        around.bottom = fmax(around.bottom, places[i].y_px);
    }
    return around;
}
