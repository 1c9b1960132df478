/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* CIELAB to sRGB, luminance and contrast. */
#include "output/draw/colour.h"

#include <math.h>
#include <stddef.h>

/* CIE XYZ to linear sRGB, the luminance of that, and the white point: IEC 61966-2-1, D65 */
static const double rgb_from_xyz[3][3] = {{3.2404542, -1.5371385, -0.4985314},
                                          {-0.9692660, 1.8760108, 0.0415560},
                                          {0.0556434, -0.2040259, 1.0572252}};
static const double y_from_rgb[3] = {0.2126729, 0.7151522, 0.0721750};
static const double white_xyz[3] = {0.95047, 1.0, 1.08883};

/* CIE 15: below (6/29)^3 the cube root gives way to a straight line of slope (29/3)^3 / 116 */
static const double knee = 216.0 / 24389.0;
static const double slope = 24389.0 / 27.0;

static double linear_from_byte(unsigned char byte)
{
    double value = byte / 255.0;
    return value <= 0.04045 ? value / 12.92 : pow((value + 0.055) / 1.055, 2.4);
}

static unsigned char byte_from_linear(double value)
{
    double coded = value <= 0.0031308 ? 12.92 * value : 1.055 * pow(value, 1 / 2.4) - 0.055;
    return (unsigned char)lrint(255 * fmin(fmax(coded, 0), 1));
}

sf_colour colour_from_lab(lab_colour lab)
{
    double rgb[3], xyz[3], f[3];
    f[1] = (lab.lightness + 16) / 116;
    f[0] = f[1] + lab.a / 500;
    f[2] = f[1] - lab.b / 200;
    for (int i = 0; i < 3; i++) {
        double cube = f[i] * f[i] * f[i];
        xyz[i] = white_xyz[i] * (cube > knee ? cube : (116 * f[i] - 16) / slope);
    }
    for (int row = 0; row < 3; row++)
        rgb[row] = rgb_from_xyz[row][0] * xyz[0] + rgb_from_xyz[row][1] * xyz[1] +
                   rgb_from_xyz[row][2] * xyz[2];
    return (sf_colour){byte_from_linear(rgb[0]), byte_from_linear(rgb[1]),
                       byte_from_linear(rgb[2])};
}

/* Relative luminance, 0 black to 1 white. */
static double colour_luminance(sf_colour colour)
{
    return y_from_rgb[0] * linear_from_byte(colour.red) +
           y_from_rgb[1] * linear_from_byte(colour.green) +
           y_from_rgb[2] * linear_from_byte(colour.blue);
}

double colour_contrast(sf_colour one, sf_colour other)
{
    double first = colour_luminance(one), second = colour_luminance(other);
    return (fmax(first, second) + 0.05) / (fmin(first, second) + 0.05);
}

static unsigned char mix_bytes(unsigned char under, unsigned char over, double share)
{
    return (unsigned char)lrint(under + (over - under) * share);
}

sf_colour colour_mix(sf_colour under, sf_colour over, double share)
{
    return (sf_colour){mix_bytes(under.red, over.red, share),
                       mix_bytes(under.green, over.green, share),
                       mix_bytes(under.blue, over.blue, share)};
}

/* --- the scales of the map and of changes --- */

/* The scale of the map, and that of changes. The first goes from deep indigo by petrol, sage and
 * mauve to apricot and cream. Lightness rises evenly; the hues were sought by search, so that each
 * tenth of the scale stays apart from the next in full, red-blind, green-blind and blue-blind
 * sight. */

static const double darkest = 16, lightest = 96;

/* CIELAB a and b at each tenth of the scale */
static const double hues[][2] = {{39.7, -54.6}, {9.5, -38.8}, {-7.0, -19.3}, {-12.1, -2.5},
                                 {-8.4, 5.0},   {1.1, 0.7},   {10.8, -2.0},  {15.3, 9.0},
                                 {13.6, 25.9},  {5.5, 35.6},  {-9.0, 25.3}};

enum { TENTHS = sizeof hues / sizeof hues[0] - 1 };

/* hue beyond an end goes on straight */
static double hue_at(int tenth, int axis)
{
    if (tenth < 0)
        return 2 * hues[0][axis] - hues[1][axis];
    if (tenth > TENTHS)
        return 2 * hues[TENTHS][axis] - hues[TENTHS - 1][axis];
    return hues[tenth][axis];
}

/* Catmull-Rom spline through the tenths */
static double hue_between(double share, int axis)
{
    int tenth = (int)fmin(share * TENTHS, TENTHS - 1);
    double t = share * TENTHS - tenth;
    double a = hue_at(tenth - 1, axis), b = hue_at(tenth, axis);
    double c = hue_at(tenth + 1, axis), d = hue_at(tenth + 2, axis);
    return b + t / 2 * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}

sf_colour sf_palette_colour(double share)
{
    double held = isnan(share) ? 0 : fmin(fmax(share, 0), 1);
    return colour_from_lab((lab_colour){darkest + (lightest - darkest) * held, hue_between(held, 0),
                                        hue_between(held, 1)});
}

/* --- changes: blue for cooler, orange for hotter, grey between; opposites that no usual colour
 * blindness confuses (both lie apart in the blue-yellow sense and in lightness) --- */

static const double change_darkest = 26, change_lightest = 90;

/* CIELAB a and b at each quarter of that scale */
static const double change_hues[][2] = {{10, -42}, {2, -32}, {0, 0}, {12, 35}, {3, 42}};

enum { QUARTERS = sizeof change_hues / sizeof change_hues[0] - 1 };

sf_colour sf_change_colour(double share)
{
    double held = isnan(share) ? 0.5 : fmin(fmax(share, 0), 1);
    int quarter = (int)fmin(held * QUARTERS, QUARTERS - 1);
    double t = held * QUARTERS - quarter;
    const double *from = change_hues[quarter], *to = change_hues[quarter + 1];
    return colour_from_lab((lab_colour){change_darkest + (change_lightest - change_darkest) * held,
                                        from[0] + t * (to[0] - from[0]),
                                        from[1] + t * (to[1] - from[1])});
}
