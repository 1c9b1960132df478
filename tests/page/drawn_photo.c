/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Draws a board as a pinhole camera sees it. */
#include "drawn_photo.h"

#include "support/check.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>

#include <gd.h>
#include <gdfontl.h>
#include <gdfonts.h>

#include "support/chance.h"

enum { WIDE_PX = 2000, HIGH_PX = 1500, SIDES = 48 };

typedef struct space {
    double x, y, z;
} space;

typedef struct scene {
    const drawn_view *view;
    drawn_photo *made;
    gdImagePtr picture;
    space eye, right, up, ahead;
    double focal_px;
    unsigned long seed;
} scene;

/* --- the camera --- */

static double dot(space a, space b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static space scaled(space a, double by)
{
    return (space){a.x * by, a.y * by, a.z * by};
}

static space minus(space a, space b)
{
    return (space){a.x - b.x, a.y - b.y, a.z - b.z};
}

static space one_long(space a)
{
    return scaled(a, 1 / sqrt(dot(a, a)));
}

/* The lens fits the board's longer way into nine tenths of the picture. */
static void hang_camera(scene *in)
{
    const drawn_view *view = in->view;
    in->eye = (space){view->eye_x_mm, view->eye_y_mm, view->eye_above_mm};
    in->ahead = one_long(minus((space){view->width_mm / 2, view->height_mm / 2, 0}, in->eye));
    space north = {0, 1, 0};
    in->up = one_long(minus(north, scaled(in->ahead, dot(north, in->ahead))));
    in->right = (space){in->ahead.y * in->up.z - in->ahead.z * in->up.y,
                        in->ahead.z * in->up.x - in->ahead.x * in->up.z,
                        in->ahead.x * in->up.y - in->ahead.y * in->up.x};
    in->focal_px = 0.8 * fmin(WIDE_PX / view->width_mm, HIGH_PX / view->height_mm) *
                   sqrt(dot(minus(in->eye, (space){view->width_mm / 2, view->height_mm / 2, 0}),
                            minus(in->eye, (space){view->width_mm / 2, view->height_mm / 2, 0})));
}

static sf_point seen_at(const scene *in, double x, double y, double z)
{
    space to = minus((space){x, y, z}, in->eye);
    double depth = dot(to, in->ahead);
    return (sf_point){WIDE_PX / 2.0 + in->focal_px * dot(to, in->right) / depth,
                      HIGH_PX / 2.0 - in->focal_px * dot(to, in->up) / depth};
}

static gdPoint pixel_at(const scene *in, double x, double y, double z)
{
    sf_point at = seen_at(in, x, y, z);
    return (gdPoint){(int)lround(at.x_mm), (int)lround(at.y_mm)};
}

/* --- shapes --- */

static int shade(int red, int green, int blue, double by)
{
    return gdTrueColor((int)fmin(red * by, 255), (int)fmin(green * by, 255),
                       (int)fmin(blue * by, 255));
}

static void fill_disc(scene *in, double x, double y, double z, double radius, int colour)
{
    gdPoint points[SIDES];
    for (int i = 0; i < SIDES; i++)
        points[i] = pixel_at(in, x + radius * cos(2 * M_PI * i / SIDES),
                             y + radius * sin(2 * M_PI * i / SIDES), z);
    gdImageFilledPolygon(in->picture, points, SIDES, colour);
}

static void fill_box(scene *in, double x, double y, double wide, double high, double z, int colour)
{
    gdPoint points[] = {pixel_at(in, x, y, z), pixel_at(in, x + wide, y, z),
                        pixel_at(in, x + wide, y + high, z), pixel_at(in, x, y + high, z)};
    gdImageFilledPolygon(in->picture, points, 4, colour);
}

static void write_at(scene *in, double x, double y, double z, const char *words, int colour)
{
    gdPoint at = pixel_at(in, x, y, z);
    gdImageString(in->picture, gdFontGetLarge(), at.x, at.y, (unsigned char *)(uintptr_t)words,
                  colour);
}

/* --- what lies on the board --- */

static double between(scene *in, double low, double high)
{
    return next_between(low, high, &in->seed);
}

static void draw_ground(scene *in)
{
    const drawn_view *view = in->view;
    gdImageFilledRectangle(in->picture, 0, 0, WIDE_PX - 1, HIGH_PX - 1, gdTrueColor(150, 145, 135));
    fill_box(in, 0, 0, view->width_mm, view->height_mm, 0, gdTrueColor(52, 96, 60));
    for (int i = 0; i < 160; i++) {
        double x = between(in, 0, view->width_mm - 30), y = between(in, 1, view->height_mm - 1);
        double wide = between(in, 5, 30), thick = between(in, 0.4, 2.2);
        fill_box(in, x, y, wide, thick, 0, gdTrueColor(66, 122, 74));
    }
    for (int i = 0; i < 300; i++)
        fill_disc(in, between(in, 1, view->width_mm - 1), between(in, 1, view->height_mm - 1), 0,
                  between(in, 0.5, 1.1), gdTrueColor(188, 190, 184));
    for (int i = 0; i < 70; i++) {
        char words[16];
        snprintf(words, sizeof words, "%c%d", "CRQD"[whole_between(0, 3, &in->seed)],
                 (int)whole_between(1, 99, &in->seed));
        write_at(in, between(in, 0, view->width_mm - 8), between(in, 5, view->height_mm), 0, words,
                 gdTrueColor(225, 228, 220));
    }
}

static bool is_clear(const drawn_photo *made, double x, double y, double radius)
{
    for (size_t i = 0; i < made->count; i++)
        if (hypot(made->cans[i].x_mm - x, made->cans[i].y_mm - y) <
            radius + made->cans[i].diameter_mm / 2 + 0.4)
            return false;
    return true;
}

/* Chips, power resistors and screws, drawn before the cans and never under one. */
static void draw_others(scene *in)
{
    const drawn_view *view = in->view;
    for (int tries = 0, i = 0; i < 22 && tries < 3000; tries++) {
        double x = between(in, 8, view->width_mm - 8), y = between(in, 8, view->height_mm - 8);
        double wide = between(in, 4, 12), high = between(in, 3, 8);
        if (!is_clear(in->made, x, y, hypot(wide, high) / 2 + 0.5))
            continue;
        int kind = i++ % 4;
        if (kind == 0) { /* a screw with its slot */
            in->made->screws[in->made->screw_count++] = (sf_point){x, y};
            fill_disc(in, x, y, 1.5, 3, gdTrueColor(176, 176, 178));
            fill_box(in, x - 2.4, y - 0.4, 4.8, 0.8, 1.6, gdTrueColor(70, 70, 72));
            continue;
        }
        bool chip = kind != 1;
        fill_box(in, x - wide / 2, y - high / 2, wide, high, 3,
                 chip ? gdTrueColor(38, 38, 40) : gdTrueColor(196, 180, 142));
        if (chip)
            fill_disc(in, x - wide / 2 + 1.2, y, 3, 0.6, gdTrueColor(90, 90, 92));
        else
            for (int stripe = 1; stripe < 4; stripe++)
                fill_box(in, x - wide / 2 + stripe * wide / 5, y - high / 2, wide / 12, high, 3,
                         gdTrueColor(120, 40 * stripe, 40));
    }
}

static void draw_shadow(scene *in, const drawn_can *can)
{
    gdImageAlphaBlending(in->picture, 1);
    for (int i = 0; i <= 6; i++) {
        double share = i / 6.0 * 0.55 * can->height_mm;
        fill_disc(in, can->x_mm + share, can->y_mm - 0.6 * share, 0, can->diameter_mm / 2,
                  gdTrueColorAlpha(0, 0, 0, 110));
    }
}

static void draw_can(scene *in, const drawn_can *can)
{
    static const int sleeves[][3] = {{28, 28, 32}, {30, 44, 96}, {92, 62, 40}, {120, 126, 128}};
    const int *sleeve = sleeves[whole_between(0, 3, &in->seed)];
    double radius = can->diameter_mm / 2, top = can->height_mm;
    for (int i = 0; i < SIDES; i++) {
        double one = 2 * M_PI * i / SIDES, other = 2 * M_PI * (i + 1) / SIDES;
        gdPoint quad[] = {
            pixel_at(in, can->x_mm + radius * cos(one), can->y_mm + radius * sin(one), 0),
            pixel_at(in, can->x_mm + radius * cos(other), can->y_mm + radius * sin(other), 0),
            pixel_at(in, can->x_mm + radius * cos(other), can->y_mm + radius * sin(other), top),
            pixel_at(in, can->x_mm + radius * cos(one), can->y_mm + radius * sin(one), top)};
        bool stripe = i < SIDES / 6;
        gdImageFilledPolygon(in->picture, quad, 4,
                             stripe
                                 ? shade(205, 205, 200, 0.9)
                                 : shade(sleeve[0], sleeve[1], sleeve[2], 0.85 - 0.25 * sin(one)));
    }
    fill_disc(in, can->x_mm, can->y_mm, top, radius, shade(sleeve[0], sleeve[1], sleeve[2], 1.15));
    fill_disc(in, can->x_mm, can->y_mm, top, radius * 0.86, gdTrueColor(186, 188, 190));
    fill_disc(in, can->x_mm + 0.2 * radius, can->y_mm + 0.2 * radius, top, radius * 0.35,
              gdTrueColor(208, 209, 212));
    int line = gdTrueColor(120, 122, 124);
    fill_box(in, can->x_mm - 0.6 * radius, can->y_mm - 0.04 * radius, 1.2 * radius, 0.08 * radius,
             top, line);
    fill_box(in, can->x_mm - 0.04 * radius, can->y_mm - 0.6 * radius, 0.08 * radius, 1.2 * radius,
             top, line);
}

/* --- cans --- */

static void choose_cans(scene *in)
{
    static const double diameters[] = {25, 22, 18, 16, 12.5, 10, 10, 8, 8, 6.3, 6.3, 5};
    const drawn_view *view = in->view;
    drawn_photo *made = in->made;
    made->count = made->screw_count = 0;
    for (int tries = 0; made->count < view->cans && tries < 20000; tries++) {
        double diameter = diameters[made->count * 12 / view->cans];
        drawn_can can = {between(in, diameter, view->width_mm - diameter),
                         between(in, diameter, view->height_mm - diameter), diameter,
                         diameter * between(in, 1.1, 2)};
        if (is_clear(made, can.x_mm, can.y_mm, diameter / 2))
            made->cans[made->count++] = can;
    }
    assert_int_equal(made->count, view->cans);
}

static double from_eye(const scene *in, const drawn_can *can)
{
    return hypot(can->x_mm - in->eye.x, can->y_mm - in->eye.y);
}

/* Those that stand farther off are hidden by nearer ones. */
static void draw_cans(scene *in)
{
    bool drawn[DRAWN_CANS_MOST] = {false};
    for (size_t i = 0; i < in->made->count; i++)
        draw_shadow(in, &in->made->cans[i]);
    for (size_t turn = 0; turn < in->made->count; turn++) {
        size_t next = DRAWN_CANS_MOST;
        for (size_t i = 0; i < in->made->count; i++)
            if (!drawn[i] && (next == DRAWN_CANS_MOST || from_eye(in, &in->made->cans[i]) >
                                                             from_eye(in, &in->made->cans[next])))
                next = i;
        drawn[next] = true;
        draw_can(in, &in->made->cans[next]);
    }
}

/* --- light and noise --- */

static int with_noise(scene *in, int channel, double light)
{
    double sum = 0;
    for (int i = 0; i < 4; i++)
        sum += next_uniform(&in->seed) - 0.5;
    double made = channel * light + in->view->noise * sum * sqrt(3);
    return (int)fmin(fmax(made, 0), 255);
}

static void spoil(scene *in)
{
    for (int row = 0; row < HIGH_PX; row++)
        for (int column = 0; column < WIDE_PX; column++) {
            double light = 1.1 - in->view->light * column / WIDE_PX;
            int old = gdImageGetTrueColorPixel(in->picture, column, row);
            gdImageSetPixel(in->picture, column, row,
                            gdTrueColor(with_noise(in, gdTrueColorGetRed(old), light),
                                        with_noise(in, gdTrueColorGetGreen(old), light),
                                        with_noise(in, gdTrueColorGetBlue(old), light)));
        }
}

void photo_draw(const drawn_view *view, const char *folder, drawn_photo *made)
{
    scene in = {.view = view, .made = made, .seed = view->seed};
    in.picture = gdImageCreateTrueColor(WIDE_PX, HIGH_PX);
    assert_non_null(in.picture);
    hang_camera(&in);
    choose_cans(&in);
    draw_ground(&in);
    draw_others(&in);
    draw_cans(&in);
    spoil(&in);
    made->corners_px[0] = seen_at(&in, 0, 0, 0);
    made->corners_px[1] = seen_at(&in, view->width_mm, 0, 0);
    made->corners_px[2] = seen_at(&in, view->width_mm, view->height_mm, 0);
    made->corners_px[3] = seen_at(&in, 0, view->height_mm, 0);
    char path[512];
    snprintf(path, sizeof path, "%s/photo.jpg", folder);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    gdImageJpeg(in.picture, file, 85);
    assert_int_equal(fclose(file), 0);
    gdImageDestroy(in.picture);
}
