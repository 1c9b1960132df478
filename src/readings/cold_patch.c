/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cold squares that touch make a patch; a rectangle about it, turned as it lies, is the ring that
 * would mask it. */
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "readings/cold.h"

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

static spread measure(const raster *of, const heap *patch)
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
    spread at = measure(of, patch);
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
