/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pictures drawn and decoded again, for the tests that look at their pixels. */
#ifndef SPOTFIELD_TESTS_DRAWN_H
#define SPOTFIELD_TESTS_DRAWN_H

#include <gd.h>

#include "invented.h"
#include "support/check.h"

/* The image is ended with gdImageDestroy. */
typedef struct drawn {
    gdImagePtr image;
    sf_picture_frame frame;
} drawn;

drawn draw_at(const sf_scene *scene, int width_px);

sf_colour colour_at_px(const drawn *in, int x, int y);
sf_colour colour_at_mm(const drawn *in, double x_mm, double y_mm);

/* How far apart they look: CIEDE2000. */
double difference(sf_colour one, sf_colour other);

/* An L without anything on it. */
void make_bare(invented *made);

#endif
