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

/* --- patches --- */

/* Cold squares that touch make a patch; a rectangle about it, turned as it lies, is the ring that
 * would mask it. */

#define PATCHES_MOST 200
#define PATCH_LEAST 2 /* squares: one alone is left out, but nothing to tell of */
#define BELOW_LEAST_K 2.0
#define REACH_SQUARES 3
/* Beside something hot about half of what lies about is warmer; about metal all is. Chosen on made
 * boards. */
#define WARMER_SHARE 0.75

/* What one patch is made of while it is gathered. */
typedef struct heap {
    size_t *squares; /* room for all */
    size_t count;
    unsigned char *taken; /* per square */
    double *sorted_k;     /* room for all */
} heap;

/* All squares that touch the first one, which is taken. */
static void gather(const raster *of, size_t first, heap *into)
{
    into->count = 0;
    into->taken[first] = 1;
    into->squares[into->count++] = first;
    for (size_t next = 0; next < into->count; next++) {
        size_t column = into->squares[next] % of->columns, row = into->squares[next] / of->columns;
        for (size_t y = row > 0 ? row - 1 : 0; y <= row + 1 && y < of->rows; y++)
            for (size_t x = column > 0 ? column - 1 : 0; x <= column + 1 && x < of->columns; x++) {
                size_t at = y * of->columns + x;
                if (of->kinds[at] == PATCH_COLD && !into->taken[at]) {
                    into->taken[at] = 1;
                    into->squares[into->count++] = at;
                }
            }
    }
}

static double middle_mm(const raster *of, size_t index)
{
    return ((double)index + 0.5) * of->cell_mm;
}

/* Sums of the places of a patch. */
typedef struct spread {
    double x_mm, y_mm, xx, xy, yy;
} spread;

static spread spread_of(const raster *of, const heap *patch)
{
    spread made = {0};
    double count = (double)patch->count;
    for (size_t i = 0; i < patch->count; i++) {
        made.x_mm += middle_mm(of, patch->squares[i] % of->columns) / count;
        made.y_mm += middle_mm(of, patch->squares[i] / of->columns) / count;
    }
    for (size_t i = 0; i < patch->count; i++) {
        double x = middle_mm(of, patch->squares[i] % of->columns) - made.x_mm;
        double y = middle_mm(of, patch->squares[i] / of->columns) - made.y_mm;
        made.xx += x * x;
        made.xy += x * y;
        made.yy += y * y;
    }
    return made;
}

/* What a patch has amid it, the lower quartile: squares at its edge show some of the board. */
static double amid_k(const raster *of, const heap *patch)
{
    for (size_t i = 0; i < patch->count; i++)
        patch->sorted_k[i] = of->mean_k[patch->squares[i]];
    gsl_sort(patch->sorted_k, 1, patch->count);
    return patch->sorted_k[patch->count / 4];
}

/* What sound squares within REACH_SQUARES of a patch are. */
typedef struct about {
    double share;  /* of them that are warmer than the square of the patch they lie beside */
    double mean_k; /* of those that are not next to it, and so show none of it */
} about;

static about look_about(const raster *of, const heap *patch)
{
    double warmer = 0, count = 0, sum_k = 0, apart = 0;
    for (size_t i = 0; i < patch->count; i++) {
        size_t column = patch->squares[i] % of->columns, row = patch->squares[i] / of->columns;
        size_t left = column > REACH_SQUARES ? column - REACH_SQUARES : 0;
        size_t low = row > REACH_SQUARES ? row - REACH_SQUARES : 0;
        for (size_t y = low; y <= row + REACH_SQUARES && y < of->rows; y++)
            for (size_t x = left; x <= column + REACH_SQUARES && x < of->columns; x++) {
                size_t at = y * of->columns + x;
                if (of->kinds[at] != PATCH_SOUND)
                    continue;
                bool is_apart = !beside_cold(of, at);
                count++;
                warmer += of->mean_k[at] > of->mean_k[patch->squares[i]];
                apart += is_apart;
                sum_k += is_apart ? of->mean_k[at] : 0;
            }
    }
    return (about){warmer / count, sum_k / apart};
}

static double within(double value, double most)
{
    return fmin(fmax(value, 0), most);
}

/* The rectangle along the patch's long axis, half a square wider all round and one for the edge. */
static void set_corners(const sf_job *job, const raster *of, const heap *patch, const spread *at,
                        sf_cold_patch *into)
{
    double angle = atan2(2 * at->xy, at->xx - at->yy) / 2;
    double cosine = cos(angle), sine = sin(angle), least[2] = {0, 0}, most[2] = {0, 0};
    for (size_t i = 0; i < patch->count; i++) {
        double x = middle_mm(of, patch->squares[i] % of->columns) - at->x_mm;
        double y = middle_mm(of, patch->squares[i] / of->columns) - at->y_mm;
        double along[2] = {x * cosine + y * sine, y * cosine - x * sine};
        for (int k = 0; k < 2; k++) {
            least[k] = fmin(least[k], along[k]);
            most[k] = fmax(most[k], along[k]);
        }
    }
    for (int i = 0; i < 4; i++) {
        double margin_mm = 1.5 * of->cell_mm;
        double u = i == 1 || i == 2 ? most[0] + margin_mm : least[0] - margin_mm;
        double v = i >= 2 ? most[1] + margin_mm : least[1] - margin_mm;
        into->corners[i] =
            (sf_point){within(at->x_mm + u * cosine - v * sine, job->board.width_mm),
                       within(at->y_mm + u * sine + v * cosine, job->board.height_mm)};
    }
}

static int by_pixels(const void *left, const void *right)
{
    const sf_cold_patch *a = left, *b = right;
    return (a->pixels < b->pixels) - (a->pixels > b->pixels);
}

static void add_patch(const sf_job *job, raster *of, const heap *patch, sf_pixels *into)
{
    spread at = spread_of(of, patch);
    about seen = look_about(of, patch);
    sf_cold_patch *made = &into->patches[into->patch_count];
    *made = (sf_cold_patch){.below_k = seen.mean_k - amid_k(of, patch)};
    for (size_t i = 0; i < patch->count; i++) {
        made->pixels += of->pixels[patch->squares[i]];
        if (seen.share < WARMER_SHARE)
            of->kinds[patch->squares[i]] = PATCH_SOUND;
    }
    set_corners(job, of, patch, &at, made);
    into->patch_count +=
        seen.share >= WARMER_SHARE && patch->count >= PATCH_LEAST && made->below_k >= BELOW_LEAST_K;
}

bool cold_patches_make(const sf_job *job, raster *of, sf_pixels *into)
{
    size_t squares = of->columns * of->rows;
    heap found = {.squares = array_new(squares, sizeof *found.squares),
                  .taken = array_new(squares, 1),
                  .sorted_k = array_new(squares, sizeof *found.sorted_k)};
    into->patches = array_new(PATCHES_MOST, sizeof *into->patches);
    bool whole = found.squares && found.taken && found.sorted_k && into->patches;
    for (size_t i = 0; whole && i < squares && into->patch_count + 1 < PATCHES_MOST; i++)
        if (of->kinds[i] == PATCH_COLD && !found.taken[i]) {
            gather(of, i, &found);
            add_patch(job, of, &found, into);
        }
    if (whole)
        qsort(into->patches, into->patch_count, sizeof *into->patches, by_pixels);
    free(found.squares);
    free(found.taken);
    free(found.sorted_k);
    return whole;
}

void cold_patch_tell(const sf_cold_patch *of, text *into)
{
    sf_point least = of->corners[0], most = of->corners[0];
    for (int i = 1; i < 4; i++) {
        least.x_mm = fmin(least.x_mm, of->corners[i].x_mm);
        least.y_mm = fmin(least.y_mm, of->corners[i].y_mm);
        most.x_mm = fmax(most.x_mm, of->corners[i].x_mm);
        most.y_mm = fmax(most.y_mm, of->corners[i].y_mm);
    }
    text_addf(into,
              "the patch at x %.0f to %.0f, y %.0f to %.0f mm is colder than its surroundings by "
              "%.0f K and looks like bare metal",
              least.x_mm, most.x_mm, least.y_mm, most.y_mm, of->below_k);
}

void cold_patch_ring(const sf_cold_patch *of, size_t number, const char *between, text *into)
{
    for (int i = 0; i < 4; i++)
        text_addf(into, "%s%zu,%.1f,%.1f", i == 0 ? "" : between, number, of->corners[i].x_mm,
                  of->corners[i].y_mm);
}
