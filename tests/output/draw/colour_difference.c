/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* CIELAB, CIEDE2000 and simulated colour blindness. */
#include "colour_difference.h"

#include <math.h>

static double radians(double degrees)
{
    return degrees * acos(-1) / 180;
}

static double hue_deg(double a, double b)
{
    double angle = a == 0 && b == 0 ? 0 : atan2(b, a) * 180 / acos(-1);
    return angle < 0 ? angle + 360 : angle;
}

/* share by which a* is stretched, from the mean chroma: half of what is far from 25^7 */
static double power_share(double chroma)
{
    double seventh = pow(chroma, 7);
    return sqrt(seventh / (seventh + pow(25, 7)));
}

static double hue_step(double from, double to, double chromas)
{
    double step = to - from;
    if (chromas == 0)
        return 0;
    return step > 180 ? step - 360 : step < -180 ? step + 360 : step;
}

static double hue_mean(double one, double other, double chromas)
{
    double sum = one + other;
    if (chromas == 0)
        return sum;
    if (fabs(one - other) <= 180)
        return sum / 2;
    return sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2;
}

double colour_difference(lab_colour one, lab_colour other)
{
    double stretch =
        1 + 0.5 * (1 - power_share((hypot(one.a, one.b) + hypot(other.a, other.b)) / 2));
    double a1 = stretch * one.a, a2 = stretch * other.a;
    double c1 = hypot(a1, one.b), c2 = hypot(a2, other.b);
    double h1 = hue_deg(a1, one.b), h2 = hue_deg(a2, other.b);
    double dl = other.lightness - one.lightness, dc = c2 - c1;
    double dh = 2 * sqrt(c1 * c2) * sin(radians(hue_step(h1, h2, c1 * c2) / 2));
    double l = (one.lightness + other.lightness) / 2, c = (c1 + c2) / 2;
    double h = hue_mean(h1, h2, c1 * c2);
    double t = 1 - 0.17 * cos(radians(h - 30)) + 0.24 * cos(radians(2 * h)) +
               0.32 * cos(radians(3 * h + 6)) - 0.20 * cos(radians(4 * h - 63));
    double turn = 30 * exp(-pow((h - 275) / 25, 2));
    double sl = 1 + 0.015 * pow(l - 50, 2) / sqrt(20 + pow(l - 50, 2));
    double sc = 1 + 0.045 * c, sh = 1 + 0.015 * c * t;
    double rt = -sin(radians(2 * turn)) * 2 * power_share(c);
    return sqrt(pow(dl / sl, 2) + pow(dc / sc, 2) + pow(dh / sh, 2) + rt * (dc / sc) * (dh / sh));
}

static const double matrices[SIGHT_COUNT][3][3] = {
    [SIGHT_FULL] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
    [SIGHT_PROTAN] = {{0.152286, 1.052583, -0.204868},
                      {0.114503, 0.786281, 0.099216},
                      {-0.003882, -0.048116, 1.051998}},
    [SIGHT_DEUTAN] = {{0.367322, 0.860646, -0.227968},
                      {0.280085, 0.672501, 0.047413},
                      {-0.011820, 0.042940, 0.968881}},
    [SIGHT_TRITAN] = {{1.255528, -0.076749, -0.178779},
                      {-0.078411, 0.930809, 0.147602},
                      {0.004733, 0.691367, 0.303900}},
};

static double linear(unsigned char byte)
{
    double value = byte / 255.0;
    return value <= 0.04045 ? value / 12.92 : pow((value + 0.055) / 1.055, 2.4);
}

static unsigned char coded(double value)
{
    double held = fmin(fmax(value, 0), 1);
    double code = held <= 0.0031308 ? 12.92 * held : 1.055 * pow(held, 1 / 2.4) - 0.055;
    return (unsigned char)lrint(255 * code);
}

sf_colour colour_seen(sf_colour colour, sight eye)
{
    double in[3] = {linear(colour.red), linear(colour.green), linear(colour.blue)}, out[3];
    for (int i = 0; i < 3; i++)
        out[i] =
            matrices[eye][i][0] * in[0] + matrices[eye][i][1] * in[1] + matrices[eye][i][2] * in[2];
    return (sf_colour){coded(out[0]), coded(out[1]), coded(out[2])};
}

lab_colour colour_to_lab(sf_colour colour)
{
    /* linear sRGB to CIE XYZ over that of the white point */
    static const double xyz_from_rgb[3][3] = {{0.4124564, 0.3575761, 0.1804375},
                                              {0.2126729, 0.7151522, 0.0721750},
                                              {0.0193339, 0.1191920, 0.9503041}};
    static const double white_xyz[3] = {0.95047, 1.0, 1.08883};
    double rgb[3] = {linear(colour.red), linear(colour.green), linear(colour.blue)}, f[3];
    for (int i = 0; i < 3; i++) {
        double ratio = (xyz_from_rgb[i][0] * rgb[0] + xyz_from_rgb[i][1] * rgb[1] +
                        xyz_from_rgb[i][2] * rgb[2]) /
                       white_xyz[i];
        f[i] = ratio > 216.0 / 24389 ? cbrt(ratio) : (24389.0 / 27 * ratio + 16) / 116;
    }
    return (lab_colour){116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])};
}
