/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The camera's place from the map between picture and board. */
#include "readings/viewpoint.h"

#include <math.h>

/* Columns of the picture to a focal length, of a lens of 45 degrees: 1/(2 tan 22.5 degrees). */
#define USUAL_FOCAL 1.207

/* Lenses of thermal cameras, from 70 to 14 degrees: what comes out beyond is a mark's error. */
#define SHORTEST_FOCAL 0.7
#define LONGEST_FOCAL 4.0

/* How far marks leave the sides of a square undecided, relative: half a pixel on some fifty. A
 * board seen much less than 8 degrees aslant differs from a square by no more. */
#define SIDES_DOUBT 0.02

void viewpoint_invert(const double of[9], double inverse[9])
{
    for (int row = 0; row < 3; row++)
        for (int column = 0; column < 3; column++) {
            int a = (column + 1) % 3, b = (column + 2) % 3, c = (row + 1) % 3, d = (row + 2) % 3;
            inverse[3 * row + column] =
                of[3 * a + c] * of[3 * b + d] - of[3 * a + d] * of[3 * b + c];
        }
    double determinant = of[0] * inverse[0] + of[1] * inverse[3] + of[2] * inverse[6];
    for (int i = 0; i < 9; i++)
        inverse[i] /= determinant;
}

/* The column j of a map from the board, its origin moved to the middle of the picture. */
typedef struct direction {
    double x, y, z;
} direction;

static direction column_of(const double map[9], int j, double middle_column, double middle_row)
{
    return (direction){map[j] - middle_column * map[6 + j], map[3 + j] - middle_row * map[6 + j],
                       map[6 + j]};
}

static double dot(direction a, direction b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static direction cross(direction a, direction b)
{
    return (direction){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

/* The axes x and y of the board are square to each other and of one length in space. With w = 1/f^2
 * that is w p + q = 0 twice; least squares of both, drawn to the usual lens by what the marks leave
 * undecided. */
static double find_focal_px(direction x_axis, direction y_axis, double columns)
{
    double x_square = x_axis.x * x_axis.x + x_axis.y * x_axis.y;
    double y_square = y_axis.x * y_axis.x + y_axis.y * y_axis.y;
    double p[] = {x_axis.x * y_axis.x + x_axis.y * y_axis.y, x_square - y_square};
    double q[] = {x_axis.z * y_axis.z, x_axis.z * x_axis.z - y_axis.z * y_axis.z};
    double usual = 1 / (USUAL_FOCAL * columns * USUAL_FOCAL * columns);
    double pull = SIDES_DOUBT * (x_square + y_square) / 2 * SIDES_DOUBT * (x_square + y_square) / 2;
    double w = (pull * usual - p[0] * q[0] - p[1] * q[1]) / (pull + p[0] * p[0] + p[1] * p[1]);
    double focal_px = w > 0 ? 1 / sqrt(w) : LONGEST_FOCAL * columns;
    return fmin(fmax(focal_px, SHORTEST_FOCAL * columns), LONGEST_FOCAL * columns);
}

static direction in_space(direction seen, double focal_px, double scale)
{
    return (direction){seen.x / focal_px / scale, seen.y / focal_px / scale, seen.z / scale};
}

viewpoint viewpoint_find(const double homography[9], size_t columns, size_t rows)
{
    double map[9];
    viewpoint_invert(homography, map);
    double middle_column = (double)(columns - 1) / 2, middle_row = (double)(rows - 1) / 2;
    direction x_axis = column_of(map, 0, middle_column, middle_row);
    direction y_axis = column_of(map, 1, middle_column, middle_row);
    direction origin = column_of(map, 2, middle_column, middle_row);
    double focal_px = find_focal_px(x_axis, y_axis, (double)columns);
    x_axis = in_space(x_axis, focal_px, 1);
    y_axis = in_space(y_axis, focal_px, 1);
    double scale = sqrt(sqrt(dot(x_axis, x_axis) * dot(y_axis, y_axis)));
    /* the inverse keeps the sign of depth: the board lies before the camera */
    x_axis = in_space(x_axis, 1, scale);
    y_axis = in_space(y_axis, 1, scale);
    origin = in_space(origin, focal_px, scale);
    return (viewpoint){-dot(x_axis, origin), -dot(y_axis, origin),
                       -dot(cross(x_axis, y_axis), origin)};
}

sf_point viewpoint_cast(const viewpoint *from, sf_point place, double above_mm)
{
    double stretch = from->above_mm / (from->above_mm - above_mm);
    return (sf_point){from->x_mm + stretch * (place.x_mm - from->x_mm),
                      from->y_mm + stretch * (place.y_mm - from->y_mm)};
}
