/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Draws, decodes, and looks at pixels. */
#include "drawn.h"

#include <math.h>
#include <stdlib.h>

#include "colour_difference.h"

drawn draw_at(const sf_scene *scene, int width_px)
{
    sf_picture_options options = sf_picture_options_default();
    options.width_px = width_px;
    unsigned char *png = NULL;
    size_t size = 0;
    drawn made;
    assert_int_equal(sf_scene_draw(scene, &options, &png, &size, &made.frame), SF_OK);
    made.image = gdImageCreateFromPngPtr((int)size, png);
    assert_non_null(made.image);
    free(png);
    return made;
}

sf_colour colour_at_px(const drawn *in, int x, int y)
{
    int index = gdImageGetPixel(in->image, x, y);
    return (sf_colour){(unsigned char)gdImageRed(in->image, index),
                       (unsigned char)gdImageGreen(in->image, index),
                       (unsigned char)gdImageBlue(in->image, index)};
}

sf_colour colour_at_mm(const drawn *in, double x_mm, double y_mm)
{
    return colour_at_px(in, (int)floor(in->frame.left_px + x_mm * in->frame.px_per_mm),
                        (int)floor(in->frame.bottom_px - y_mm * in->frame.px_per_mm));
}

double difference(sf_colour one, sf_colour other)
{
    return colour_difference(colour_to_lab(one), colour_to_lab(other));
}

void make_bare(invented *made)
{
    invention wanted = invention_usual();
    wanted.parts = wanted.readings = 0;
    wanted.keepout = false;
    invented_make(&wanted, made);
    made->scene.source_count = 0;
    made->scene.zones = NULL;
}
