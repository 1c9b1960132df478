/* Sampling a surface: along x once for each row of cells, then between rows. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "draw/surface.h"

/* samples come in blocks of a fixed size, which a compiler turns into vector instructions */
enum { BLOCK = 8, RIM = 2, NO_ROW = -1 };

/* how far beyond the four cells about it a sample may go, in shares of their range */
static const float widening = 0.1f;

static size_t padded(size_t count)
{
    return (count + BLOCK - 1) / BLOCK * BLOCK;
}

/* Keys' kernel with a = -1/2 at t from the second of four cells to the third */
static void kernel(double t, double weights[4])
{
    weights[0] = t * (-0.5 + t * (1 - 0.5 * t));
    weights[1] = 1 + t * t * (-2.5 + 1.5 * t);
    weights[2] = t * (0.5 + t * (2 - 1.5 * t));
    weights[3] = t * t * (-0.5 + 0.5 * t);
}

/* the cell before a place, held so that the kernel stays inside the rim, and how far beyond it */
static size_t split(double at_mm, double cell_mm, size_t count, double *t)
{
    double at = at_mm / cell_mm - 0.5 + RIM;
    double cell = fmin(fmax(floor(at), 1), (double)count - 3);
    *t = fmin(fmax(at - cell, 0), 1);
    return (size_t)cell;
}

static bool make_room(sampler *opened)
{
    size_t room = padded(opened->count);
    bool whole = true;
    for (int i = 0; i < 4; i++) {
        opened->weights[i] = array_new(room, sizeof(float));
        opened->wide[i] = array_new(room, sizeof(float));
        opened->wide_row[i] = (size_t)NO_ROW;
        whole = whole && opened->weights[i] && opened->wide[i];
    }
    opened->bounds_row = (size_t)NO_ROW;
    opened->cells = array_new(room, sizeof *opened->cells);
    opened->least = array_new(room, sizeof(float));
    opened->most = array_new(room, sizeof(float));
    return whole && opened->cells && opened->least && opened->most;
}

sf_status sampler_open(sampler *opened, const surface *from, double first_mm, double step_mm,
                       size_t count)
{
    *opened = (sampler){.from = from, .count = count};
    if (!make_room(opened)) {
        sampler_close(opened);
        return SF_ERROR_MEMORY;
    }
    for (size_t i = 0; i < padded(count); i++) {
        double t, weights[4];
        opened->cells[i] =
            split(first_mm + (double)i * step_mm, from->cell_mm, from->columns, &t);
        kernel(t, weights);
        for (int k = 0; k < 4; k++)
            opened->weights[k][i] = (float)weights[k];
    }
    return SF_OK;
}

void sampler_close(sampler *closed)
{
    for (int i = 0; i < 4; i++) {
        free(closed->weights[i]);
        free(closed->wide[i]);
    }
    free(closed->cells);
    free(closed->least);
    free(closed->most);
    *closed = (sampler){0};
}

/* the row of cells sampled along x; four of them are kept, as many as the kernel spans */
static const float *wide_row(sampler *along, size_t row)
{
    size_t kept = row % 4;
    float *samples = along->wide[kept];
    if (along->wide_row[kept] == row)
        return samples;
    along->wide_row[kept] = row;
    const float *values = along->from->values + row * along->from->columns;
    for (size_t i = 0; i < padded(along->count); i++) {
        const float *cell = values + along->cells[i] - 1;
        samples[i] = along->weights[0][i] * cell[0] + along->weights[1][i] * cell[1] +
                     along->weights[2][i] * cell[2] + along->weights[3][i] * cell[3];
    }
    return samples;
}

static void set_bounds(sampler *along, size_t row)
{
    if (along->bounds_row == row)
        return;
    along->bounds_row = row;
    const float *lower = along->from->values + row * along->from->columns;
    const float *upper = lower + along->from->columns;
    for (size_t i = 0; i < padded(along->count); i++) {
        size_t cell = along->cells[i];
        float a = lower[cell], b = lower[cell + 1], c = upper[cell], d = upper[cell + 1];
        float ab_least = a < b ? a : b, ab_most = a < b ? b : a;
        float cd_least = c < d ? c : d, cd_most = c < d ? d : c;
        float least = ab_least < cd_least ? ab_least : cd_least;
        float most = ab_most > cd_most ? ab_most : cd_most;
        along->least[i] = least - widening * (most - least);
        along->most[i] = most + widening * (most - least);
    }
}

static void blend_block(const float *restrict const rows[4], const float weights[4],
                        const float *restrict least, const float *restrict most, size_t start,
                        float *restrict samples)
{
    for (size_t k = 0; k < BLOCK; k++) {
        size_t i = start + k;
        float value = weights[0] * rows[0][i] + weights[1] * rows[1][i] + weights[2] * rows[2][i] +
                      weights[3] * rows[3][i];
        value = value < least[i] ? least[i] : value;
        samples[k] = value > most[i] ? most[i] : value;
    }
}

void sampler_row(sampler *along, double y_mm, float *samples)
{
    double t, exact[4];
    size_t row = split(y_mm, along->from->cell_mm, along->from->rows, &t);
    kernel(t, exact);
    const float *rows[4];
    float weights[4], block[BLOCK];
    for (size_t k = 0; k < 4; k++) {
        rows[k] = wide_row(along, row - 1 + k);
        weights[k] = (float)exact[k];
    }
    set_bounds(along, row);
    for (size_t start = 0; start < along->count; start += BLOCK) {
        size_t left = along->count - start;
        blend_block(rows, weights, along->least, along->most, start, block);
        memcpy(samples + start, block, (left < BLOCK ? left : BLOCK) * sizeof *samples);
    }
}
