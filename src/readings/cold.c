/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A board that only gains heat from what stands on it obeys L^2 lap(u) <= u, so that its rise is at
 * least the mean over any circle about it, divided by I0(r/L) (mean value of the modified Helmholtz
 * equation; computed from the formula). What is colder does not show the board. */
#include "readings/cold.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_bessel.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

/* No board spreads its heat over less: bare laminate of 1.6 mm with one face in a draught. */
#define SPREAD_LEAST_MM 9.0
/* What emissivity that wanders, noise and a lens that is not sharp may do. Chosen on made boards.
 */
#define COLD_LEAST_K 1.0
#define SQUARE_PIXELS 1.5 /* side of a square, in pixels */
#define SQUARE_LEAST_MM 1.0
#define ROUNDS_MOST 24

enum { PAIRS = 8, PAIRS_LEAST = 5, RADII = 7 };

static const double radii_mm[RADII] = {2.5, 3.5, 5, 7, 9, 12, 15};

/* The square of a place; of->columns * of->rows where there is none. */
static size_t raster_square(const raster *of, double x_mm, double y_mm)
{
    double column = x_mm / of->cell_mm, row = y_mm / of->cell_mm;
    if (!(column >= 0 && row >= 0 && column < (double)of->columns && row < (double)of->rows))
        return of->columns * of->rows;
    return (size_t)row * of->columns + (size_t)column;
}

static double square_side_mm(const ground *seen, const sf_pixels *of)
{
    size_t bare = 0;
    for (size_t i = 0; i < seen->columns * seen->rows; i++)
        bare += seen->kinds[i] == GROUND_BARE;
    double pixel_mm = seen->cell_mm * sqrt((double)bare / (double)of->count);
    return fmax(SQUARE_PIXELS * fmax(pixel_mm, of->pixel_mm), SQUARE_LEAST_MM);
}

static bool raster_new(const sf_job *job, const ground *seen, const sf_pixels *from, raster *made)
{
    *made = (raster){.cell_mm = square_side_mm(seen, from)};
    made->columns = (size_t)ceil(job->board.width_mm / made->cell_mm);
    made->rows = (size_t)ceil(job->board.height_mm / made->cell_mm);
    size_t squares = made->columns * made->rows;
    made->mean_k = array_new(squares, sizeof *made->mean_k);
    made->pixels = array_new(squares, sizeof *made->pixels);
    made->kinds = array_new(squares, 1);
    if (!made->mean_k || !made->pixels || !made->kinds)
        return false;
    for (size_t i = 0; i < from->count; i++) {
        size_t square = raster_square(made, from->x_mm[i], from->y_mm[i]);
        if (square == squares)
            continue;
        made->pixels[square]++;
        made->mean_k[square] += from->rise_k[i];
    }
    for (size_t i = 0; i < squares; i++)
        if (made->pixels[i] > 0) {
            made->mean_k[i] /= (double)made->pixels[i];
            made->kinds[i] = PATCH_SOUND;
        }
    return true;
}

static void raster_clear(raster *of)
{
    free(of->mean_k);
    free(of->pixels);
    free(of->kinds);
}

/* What a circle has at least, by pairs that face each other: what rises evenly across it cancels.
 * The lower quartile of the pairs, and not their mean, since a hot body beside the place is no
 * board either. NAN where too little of it is seen. */
static double circle_k(const raster *of, double x_mm, double y_mm, double radius_mm)
{
    size_t squares = of->columns * of->rows, pairs = 0;
    double pair_k[PAIRS];
    for (int i = 0; i < PAIRS; i++) {
        double angle = M_PI * i / PAIRS;
        double dx_mm = radius_mm * cos(angle), dy_mm = radius_mm * sin(angle);
        size_t one = raster_square(of, x_mm + dx_mm, y_mm + dy_mm);
        size_t other = raster_square(of, x_mm - dx_mm, y_mm - dy_mm);
        if (one == squares || other == squares || of->kinds[one] != PATCH_SOUND ||
            of->kinds[other] != PATCH_SOUND)
            continue;
        pair_k[pairs++] = (of->mean_k[one] + of->mean_k[other]) / 2;
    }
    gsl_sort(pair_k, 1, pairs);
    return pairs >= PAIRS_LEAST ? pair_k[pairs / 4] : (double)NAN;
}

static bool is_cold(const raster *of, size_t square)
{
    double x_mm = ((double)(square % of->columns) + 0.5) * of->cell_mm;
    double y_mm = ((double)(square / of->columns) + 0.5) * of->cell_mm;
    for (int i = 0; i < RADII; i++) {
        double least_k =
            fmax(of->mean_k[square], 0) * gsl_sf_bessel_I0(radii_mm[i] / SPREAD_LEAST_MM);
        if (radii_mm[i] >= 1.5 * of->cell_mm &&
            circle_k(of, x_mm, y_mm, radii_mm[i]) > least_k + COLD_LEAST_K)
            return true;
    }
    return false;
}

/* Cold squares make the circles about others colder: again without them, until there are no more.
 * False when memory is short. */
static bool mark_cold(raster *of)
{
    size_t squares = of->columns * of->rows, marked = 1;
    unsigned char *next = array_new(squares, 1);
    for (int round = 0; next && marked > 0 && round < ROUNDS_MOST; round++) {
        marked = 0;
        memcpy(next, of->kinds, squares);
        for (size_t i = 0; i < squares; i++)
            if (of->kinds[i] == PATCH_SOUND && is_cold(of, i)) {
                next[i] = PATCH_COLD;
                marked++;
            }
        memcpy(of->kinds, next, squares);
    }
    free(next);
    return next != NULL;
}

bool beside_cold(const raster *of, size_t square)
{
    size_t column = square % of->columns, row = square / of->columns;
    for (size_t y = row > 0 ? row - 1 : 0; y <= row + 1 && y < of->rows; y++)
        for (size_t x = column > 0 ? column - 1 : 0; x <= column + 1 && x < of->columns; x++)
            if (of->kinds[y * of->columns + x] == PATCH_COLD)
                return true;
    return false;
}

/* A square beside a cold one shows some of both. */
static void mark_edges(raster *of)
{
    for (size_t i = 0; i < of->columns * of->rows; i++)
        if (of->kinds[i] == PATCH_SOUND && beside_cold(of, i))
            of->kinds[i] = PATCH_EDGE;
}

static void take_out(const raster *of, sf_pixels *from)
{
    size_t kept = 0, squares = of->columns * of->rows;
    for (size_t i = 0; i < from->count; i++) {
        size_t square = raster_square(of, from->x_mm[i], from->y_mm[i]);
        if (square < squares && of->kinds[square] != PATCH_SOUND)
            continue;
        from->x_mm[kept] = from->x_mm[i];
        from->y_mm[kept] = from->y_mm[i];
        from->rise_k[kept++] = from->rise_k[i];
    }
    if (kept == 0) /* then what looked sound was no measure */
        return;
    from->cold = from->count - kept;
    from->left_out += from->cold;
    from->count = kept;
}

/* The range of the pixels that are left. */
static void measure(double ambient_c, sf_pixels *of)
{
    of->least_c = INFINITY;
    of->most_c = -INFINITY;
    for (size_t i = 0; i < of->count; i++) {
        of->least_c = fmin(of->least_c, ambient_c + of->rise_k[i]);
        of->most_c = fmax(of->most_c, ambient_c + of->rise_k[i]);
    }
}

bool cold_leave_out(const sf_job *job, const ground *seen, sf_pixels *from)
{
    raster over;
    bool whole = raster_new(job, seen, from, &over) && mark_cold(&over) &&
                 cold_patches_make(job, &over, from);
    if (whole) {
        mark_edges(&over);
        take_out(&over, from);
        measure(job->board.ambient_c, from);
    }
    raster_clear(&over);
    return whole;
}
