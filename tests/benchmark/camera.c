/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Rays from a camera to the board and what stands on it. */
#include "benchmark/camera.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>

/* Rays of one pixel, as far apart as two thirds of it: a lens is never quite sharp. */
enum { RAYS = 4 };
static const double ray_off_px[RAYS][2] = {
    {-0.35, -0.35}, {0.35, -0.35}, {-0.35, 0.35}, {0.35, 0.35}};

#define LID_SHARE 0.8 /* of a can's radius; the sleeve folds over the rest */

static vector sum(vector a, double times, vector b)
{
    return (vector){a.x + times * b.x, a.y + times * b.y, a.z + times * b.z};
}

static double dot(vector a, vector b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static vector cross(vector a, vector b)
{
    return (vector){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

static vector unit(vector a)
{
    double length = sqrt(dot(a, a));
    return (vector){a.x / length, a.y / length, a.z / length};
}

void camera_find(const camera *of, double x_mm, double y_mm, double *column, double *row)
{
    vector to = sum((vector){x_mm, y_mm, 0}, -1, of->place);
    double depth = dot(to, of->forward);
    *column = (double)(of->columns - 1) / 2 + of->focal_px * dot(to, of->right) / depth;
    *row = (double)(of->rows - 1) / 2 - of->focal_px * dot(to, of->up) / depth;
}

static bool fits(const camera *of, double width_mm, double height_mm)
{
    double margin_column = 0.04 * (double)of->columns, margin_row = 0.04 * (double)of->rows;
    for (int i = 0; i < 4; i++) {
        double column, row;
        camera_find(of, i % 2 ? width_mm : 0, i / 2 ? height_mm : 0, &column, &row);
        if (column < margin_column || column > (double)of->columns - margin_column ||
            row < margin_row || row > (double)of->rows - margin_row)
            return false;
    }
    return true;
}

void camera_hang(camera *hung, const plate *board)
{
    double width_mm = (double)board->columns, height_mm = (double)board->rows;
    double turn = 2 * M_PI / 180;
    vector middle = {width_mm / 2, height_mm / 2, 0};
    vector back = unit((vector){0.09, -0.21, 1}); /* 13 degrees off the upright */
    hung->focal_px = (double)hung->columns / 2 / tan(22.5 * M_PI / 180);
    hung->forward = (vector){-back.x, -back.y, -back.z};
    vector level = unit(cross(hung->forward, (vector){0, 1, 0}));
    vector rise = cross(level, hung->forward);
    hung->right = sum((vector){level.x * cos(turn), level.y * cos(turn), level.z * cos(turn)},
                      sin(turn), rise);
    hung->up = cross(hung->right, hung->forward);
    double distance_mm = hypot(width_mm, height_mm) / 2;
    do {
        distance_mm *= 1.01;
        hung->place = sum(middle, distance_mm, back);
    } while (!fits(hung, width_mm, height_mm));
}

/* What a ray has met so far. */
typedef struct hit {
    double along; /* in lengths of the ray's direction */
    double temp_c, emissivity;
} hit;

static void keep_nearest(hit *met, double along, double temp_c, double emissivity)
{
    if (along > 0 && along < met->along)
        *met = (hit){along, temp_c, emissivity};
}

static void meet_can(const body *can, vector from, vector ray, double emissivity, hit *met)
{
    double radius = can->diameter_mm / 2, x = from.x - can->x_mm, y = from.y - can->y_mm;
    double top = (can->height_mm - from.z) / ray.z;
    double off = hypot(x + top * ray.x, y + top * ray.y);
    if (off <= radius)
        keep_nearest(met, top, can->temp_c,
                     off < LID_SHARE * radius ? can->top_emissivity : emissivity);
    double a = ray.x * ray.x + ray.y * ray.y, b = x * ray.x + y * ray.y;
    double root = b * b - a * (x * x + y * y - radius * radius);
    if (a <= 0 || root < 0)
        return;
    double side = (-b - sqrt(root)) / a, z = from.z + side * ray.z;
    if (z >= 0 && z <= can->height_mm)
        keep_nearest(met, side, can->temp_c, emissivity);
}

/* Where the ray is between two parallel planes, half_mm to each side of the middle. */
static void clip(double from, double ray, double half_mm, double *enters, double *leaves)
{
    double a = (-half_mm - from) / ray, b = (half_mm - from) / ray;
    *enters = fmax(*enters, fmin(a, b));
    *leaves = fmin(*leaves, fmax(a, b));
}

static void meet_box(const body *box, vector from, vector ray, double emissivity, hit *met)
{
    double x = from.x - box->x_mm, y = from.y - box->y_mm, enters = 0, leaves = met->along;
    clip(x * box->cosine + y * box->sine, ray.x * box->cosine + ray.y * box->sine,
         box->width_mm / 2, &enters, &leaves);
    clip(y * box->cosine - x * box->sine, ray.y * box->cosine - ray.x * box->sine,
         box->depth_mm / 2, &enters, &leaves);
    clip(from.z - box->height_mm / 2, ray.z, box->height_mm / 2, &enters, &leaves);
    if (enters < leaves)
        keep_nearest(met, enters, box->temp_c, emissivity);
}

/* The bench about the board is a little warmer than its air. */
static hit trace(const view *seen, vector from, vector ray)
{
    hit met = {-from.z / ray.z, seen->ambient_c + 1, seen->emissivity};
    double x_mm = from.x + met.along * ray.x, y_mm = from.y + met.along * ray.y;
    if (plate_holds(seen->board, x_mm, y_mm)) {
        met.temp_c = seen->ambient_c + plate_rise(seen->board, x_mm, y_mm);
        if (seen->texture)
            met.emissivity += seen->texture[(size_t)y_mm * seen->board->columns + (size_t)x_mm];
    }
    for (size_t i = 0; i < seen->body_count; i++) {
        const body *stands = &seen->bodies[i];
        if (stands->width_mm > 0)
            meet_box(stands, from, ray,
                     stands->emissivity > 0 ? stands->emissivity : seen->emissivity, &met);
        else
            meet_can(stands, from, ray, seen->emissivity, &met);
    }
    return met;
}

static double fourth_power(double value)
{
    return value * value * value * value;
}

/* Radiance of what the ray meets, as the fourth power of a temperature in kelvin:
 * e T^4 + (1 - e) R^4, R the room (Stefan-Boltzmann and Kirchhoff). */
static double radiance(const view *seen, vector from, vector ray)
{
    hit met = trace(seen, from, ray);
    return met.emissivity * fourth_power(met.temp_c + 273.15) +
           (1 - met.emissivity) * fourth_power(seen->ambient_c + 273.15);
}

static vector ray_of(const camera *of, double column, double row)
{
    double right = (column - (double)(of->columns - 1) / 2) / of->focal_px;
    double up = -(row - (double)(of->rows - 1) / 2) / of->focal_px;
    return sum(sum(of->forward, right, of->right), up, of->up);
}

/* What the camera makes of a radiance, for the emissivity it is set to. */
static double shown(const camera *of, const view *seen, double received)
{
    double room = fourth_power(seen->ambient_c + 273.15);
    return pow((received - (1 - of->set_emissivity) * room) / of->set_emissivity, 0.25) - 273.15;
}

/* What the warm housing adds towards the corners, 0 on the mean of the picture. */
static double shade(const camera *of, double column, double row)
{
    double x = 2 * column / (double)(of->columns - 1) - 1;
    double y = 2 * row / (double)(of->rows - 1) - 1;
    return of->shade_k * ((x * x + y * y) / 2 - 1.0 / 3);
}

void camera_shoot(const camera *of, const view *seen, gsl_rng *chance, float *shown_c)
{
    for (size_t row = 0; row < of->rows; row++)
        for (size_t column = 0; column < of->columns; column++) {
            double received = 0;
            for (int i = 0; i < RAYS; i++)
                received += radiance(seen, of->place,
                                     ray_of(of, (double)column + ray_off_px[i][0],
                                            (double)row + ray_off_px[i][1])) /
                            RAYS;
            shown_c[row * of->columns + column] = (float)(shown(of, seen, received) + of->offset_k +
                                                          shade(of, (double)column, (double)row) +
                                                          gsl_ran_gaussian(chance, of->noise_k));
        }
}
