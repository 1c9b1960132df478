/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Looks for cans in the photo with its perspective taken out. */

#include <gd.h>
#include <math.h>
#include <stdlib.h>

#include "core/json_values.h"
#include "core/memory.h"
#include "page/photo.h"
#include "readings/circles.h"
#include "readings/viewpoint.h"

/* A millimetre in eight pixels, as far as the longer side has room for it. */
static const double most_px_per_mm = 8, longer_px = 1400, least_mm = 4, most_mm = 40;

static unsigned char *shades_of(gdImagePtr picture)
{
    unsigned char *shades = array_new((size_t)picture->sx * (size_t)picture->sy, 1), *next = shades;
    for (int row = 0; shades && row < picture->sy; row++)
        for (int column = 0; column < picture->sx; column++) {
            int colour = gdImageGetTrueColorPixel(picture, column, row);
            *next++ = (unsigned char)((299 * gdTrueColorGetRed(colour) +
                                       587 * gdTrueColorGetGreen(colour) +
                                       114 * gdTrueColorGetBlue(colour)) /
                                      1000);
        }
    return shades;
}

static json_t *camera_json(const straight_photo *laid)
{
    double to_board[9];
    viewpoint_invert(laid->to_pixel, to_board);
    viewpoint eye = viewpoint_find(to_board, laid->seen.width_px, laid->seen.height_px);
    return json_pack("{s:o, s:o, s:o}", "x_mm", value_number(eye.x_mm), "y_mm",
                     value_number(eye.y_mm), "above_mm", value_number(eye.above_mm));
}

static json_t *circle_json(const circle *found, double px_per_mm, double height_mm)
{
    return json_pack(
        "{s:o, s:o, s:o, s:o}", "x_mm", value_number((found->column + 0.5) / px_per_mm), "y_mm",
        value_number(height_mm - (found->row + 0.5) / px_per_mm), "diameter_mm",
        value_number(2 * found->radius_px / px_per_mm), "seen", value_number(found->seen));
}

static sf_status find_on(gdImagePtr picture, double px_per_mm, double height_mm,
                         const atomic_bool *left, json_t *into)
{
    unsigned char *shades = shades_of(picture);
    circle *found = array_new(CIRCLES_MOST, sizeof *found);
    size_t count = 0;
    sf_status status = SF_ERROR_MEMORY;
    if (shades && found) {
        grey_picture grey = {shades, (size_t)picture->sx, (size_t)picture->sy};
        status = circles_find(&grey, fmax(3, least_mm / 2 * px_per_mm), most_mm / 2 * px_per_mm,
                              found, &count, left);
        if (status == SF_ERROR_ARGUMENT) /* no can is as small as such a board */
            status = SF_OK;
    }
    for (size_t i = 0; i < count && status == SF_OK; i++)
        if (json_array_append_new(into, circle_json(&found[i], px_per_mm, height_mm)) != 0)
            status = SF_ERROR_MEMORY;
    free(shades);
    free(found);
    return status;
}

sf_status photo_circles(const char *folder, double width_mm, double height_mm,
                        const atomic_bool *left, json_t **made)
{
    straight_photo laid;
    double px_per_mm = fmin(most_px_per_mm, longer_px / fmax(width_mm, height_mm));
    *made = NULL;
    sf_status status = photo_lay_straight(folder, width_mm, height_mm, px_per_mm, &laid);
    if (status != SF_OK)
        return status;
    json_t *circles = json_array();
    status = circles ? find_on(laid.picture, px_per_mm, height_mm, left, circles) : SF_ERROR_MEMORY;
    if (status == SF_OK)
        *made = json_pack("{s:o, s:O}", "camera", camera_json(&laid), "circles", circles);
    json_decref(circles);
    gdImageDestroy(laid.picture);
    return status == SF_OK && !*made ? SF_ERROR_MEMORY : status;
}
