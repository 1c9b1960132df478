/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Averages pixels in cells: where they have equal noise, mean and count hold all that they tell. */
#include "field/pixel_cells.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

/* Neighbouring patches of solder mask, print and bare copper differ in emissivity by about so much
 * of the rise: judgement. A camera's own columns differ by the least. */
#define TEXTURE_SHARE 0.01
#define TEXTURE_LEAST_K 0.05

/* Cells so near to each other err alike: patches of solder mask over copper, print and flux are
 * some 8 mm wide, and lens and marks are off over more. So many cells tell no more than one.
 * Chosen on made boards. */
#define ALIKE_MM 4.0

typedef struct pixel_sum {
    size_t pixels;
    double x_mm, y_mm, rise_k;
} pixel_sum;

static int node_of_pixel(const grid *laid, double x_mm, double y_mm)
{
    double column = x_mm / laid->cell_mm, row = y_mm / laid->cell_mm;
    if (!(column >= 0 && column < (double)laid->columns && row >= 0 && row < (double)laid->rows))
        return NO_NODE;
    return laid->node_of_cell[(size_t)row * laid->columns + (size_t)column];
}

static void add_pixels(const sf_pixels *pixels, const grid *laid, pixel_sum *sums)
{
    for (size_t i = 0; i < pixels->count; i++) {
        int node = node_of_pixel(laid, pixels->x_mm[i], pixels->y_mm[i]);
        if (node == NO_NODE || !isfinite(pixels->rise_k[i]))
            continue;
        sums[node].pixels++;
        sums[node].x_mm += pixels->x_mm[i];
        sums[node].y_mm += pixels->y_mm[i];
        sums[node].rise_k += pixels->rise_k[i];
    }
}

static pixel_cell mean_of(const pixel_sum *sum, double pixel_sd_k)
{
    double pixels = (double)sum->pixels, rise_k = sum->rise_k / pixels;
    double texture_k = fmax(TEXTURE_SHARE * fabs(rise_k), TEXTURE_LEAST_K);
    return (pixel_cell){.x_mm = sum->x_mm / pixels,
                        .y_mm = sum->y_mm / pixels,
                        .rise_k = rise_k,
                        .variance_k2 = pixel_sd_k * pixel_sd_k / pixels + texture_k * texture_k};
}

/* How many cells with pixels lie within ALIKE_MM along each axis. */
static double count_alike(const grid *laid, const pixel_sum *sums, size_t node)
{
    size_t reach = (size_t)(ALIKE_MM / laid->cell_mm), cell = laid->cell_of_node[node];
    size_t column = cell % laid->columns, row = cell / laid->columns;
    double count = 0;
    for (size_t y = row > reach ? row - reach : 0; y <= row + reach && y < laid->rows; y++)
        for (size_t x = column > reach ? column - reach : 0;
             x <= column + reach && x < laid->columns; x++) {
            int other = laid->node_of_cell[y * laid->columns + x];
            count += other != NO_NODE && sums[other].pixels > 0;
        }
    return count;
}

sf_status pixel_cells_make(const sf_pixels *pixels, const grid *laid, pixel_cell **cells,
                           size_t *count)
{
    pixel_sum *sums = array_new(laid->nodes, sizeof *sums);
    *cells = array_new(laid->nodes, sizeof **cells);
    *count = 0;
    if (!sums || !*cells) {
        free(sums);
        free(*cells);
        *cells = NULL;
        return SF_ERROR_MEMORY;
    }
    add_pixels(pixels, laid, sums);
    for (size_t node = 0; node < laid->nodes; node++)
        if (sums[node].pixels > 0) {
            (*cells)[*count] = mean_of(&sums[node], pixels->pixel_sd_k);
            (*cells)[(*count)++].alike = count_alike(laid, sums, node);
        }
    free(sums);
    return SF_OK;
}
