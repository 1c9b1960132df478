/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* draw_photo FOLDER: a photo of an invented board of 220 x 160 mm with 60 cans, for runs in a
   browser. Prints the corners of the board in it, column and row, then the cans: x, y, diameter and
   height. */
#include <stdio.h>

#include "drawn_photo.h"

int main(int count, char **words)
{
    const drawn_view view = {17, 60, 220, 160, 110, 80, 450, 0.3, 4};
    drawn_photo made;
    if (count != 2)
        return 64;
    photo_draw(&view, words[1], &made);
    for (int i = 0; i < 4; i++)
        printf("%.1f,%.1f\n", made.corners_px[i].x_mm, made.corners_px[i].y_mm);
    for (size_t i = 0; i < made.count; i++)
        printf("%.1f,%.1f,%g,%.0f\n", made.cans[i].x_mm, made.cans[i].y_mm,
               made.cans[i].diameter_mm, made.cans[i].height_mm);
    return 0;
}
