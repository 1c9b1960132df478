/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds circles by the votes of edges for their middles. */
#include "readings/circles.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#include "core/memory.h"
#include "readings/circle_fit.h"

enum { TRIED_A_BAND = 300 };

static const double band_ratio = 1.2, edges_share = 0.10, seen_least = 0.6;

typedef struct edge_place {
    uint16_t column, row;
} edge_place;

typedef struct search {
    edge_map map;
    edge_place *places;
    size_t count;
    uint32_t *votes, *sums; /* one a cell of a band */
    circle *tried;          /* of all bands */
    size_t tried_count, tried_room;
} search;

/* --- edges --- */

/* 1 4 6 4 1 along one direction; the picture goes on as its rim. */
static void smooth_line(const float *from, float *to, int count, int stride)
{
    for (int i = 0; i < count; i++) {
        int before = i > 0 ? i - 1 : 0, after = i < count - 1 ? i + 1 : i;
        int far_before = i > 1 ? i - 2 : 0, far_after = i < count - 2 ? i + 2 : count - 1;
        to[i * stride] =
            (from[far_before * stride] + from[far_after * stride] +
             4 * (from[before * stride] + from[after * stride]) + 6 * from[i * stride]) /
            16;
    }
}

static float *smoothed(const grey_picture *picture)
{
    size_t count = picture->columns * picture->rows;
    float *shades = array_new(count, sizeof *shades), *half = array_new(count, sizeof *half);
    if (shades && half) {
        for (size_t i = 0; i < count; i++)
            shades[i] = picture->shades[i];
        for (size_t row = 0; row < picture->rows; row++)
            smooth_line(shades + row * picture->columns, half + row * picture->columns,
                        (int)picture->columns, 1);
        for (size_t column = 0; column < picture->columns; column++)
            smooth_line(half + column, shades + column, (int)picture->rows, (int)picture->columns);
    } else {
        free(shades);
        shades = NULL;
    }
    free(half);
    return shades;
}

static float strength(edge of)
{
    return of.across * of.across + of.down * of.down;
}

static void find_gradients(search *in, const float *shades)
{
    int wide = in->map.columns;
    for (int row = 1; row < in->map.rows - 1; row++)
        for (int column = 1; column < wide - 1; column++) {
            const float *at = shades + row * wide + column;
            float across = at[1] - at[-1], down = at[wide] - at[-wide];
            float upper = at[1 - wide] - at[-1 - wide], lower = at[1 + wide] - at[wide - 1];
            float left = at[wide - 1] - at[-wide - 1], right = at[wide + 1] - at[1 - wide];
            in->map.at[row * wide + column] =
                (edge){2 * across + upper + lower, 2 * down + left + right};
        }
}

/* Whether an edge is the strongest on its own line of steepest ascent. */
static bool is_crest(const search *in, int column, int row)
{
    edge here = in->map.at[row * in->map.columns + column];
    int across = fabsf(here.across) > 0.4142F * fabsf(here.down) ? (here.across > 0 ? 1 : -1) : 0;
    int down = fabsf(here.down) > 0.4142F * fabsf(here.across) ? (here.down > 0 ? 1 : -1) : 0;
    float own = strength(here);
    return own >= strength(in->map.at[(row + down) * in->map.columns + column + across]) &&
           own > strength(in->map.at[(row - down) * in->map.columns + column - across]);
}

/* The strongest crests, as many as are a tenth of the pixels; by a histogram of their logarithm. */
static double strength_least(const search *in)
{
    enum { BINS = 256 };
    size_t bins[BINS] = {0};
    for (size_t i = 0; i < in->count; i++) {
        float own = strength(
            in->map.at[(size_t)in->places[i].row * (size_t)in->map.columns + in->places[i].column]);
        bins[(int)fmin(fmax(8 * log2(fmax(own, 1)), 0), BINS - 1)]++;
    }
    size_t kept = 0, most = (size_t)(edges_share * in->map.columns * in->map.rows);
    int least = BINS - 1;
    while (least > 0 && kept + bins[least] <= most)
        kept += bins[least--];
    /* weaker than four shades over the width of an edge is noise of a sensor */
    return fmax(exp2((least + 1) / 8.0), 16 * 16);
}

static void gather_crests(search *in)
{
    for (int row = 2; row < in->map.rows - 2; row++)
        for (int column = 2; column < in->map.columns - 2; column++)
            if (strength(in->map.at[row * in->map.columns + column]) > 0 &&
                is_crest(in, column, row))
                in->places[in->count++] = (edge_place){(uint16_t)column, (uint16_t)row};
}

/* Leaves of the gradients those of strong crests, one long. */
static void keep_strong(search *in)
{
    double least = strength_least(in);
    size_t kept = 0;
    edge *old = in->map.at;
    for (size_t i = 0; i < in->count; i++) {
        edge_place at = in->places[i];
        if (strength(old[(size_t)at.row * (size_t)in->map.columns + at.column]) >= least)
            in->places[kept++] = at;
    }
    in->count = kept;
    size_t next = 0;
    for (int row = 0; row < in->map.rows; row++)
        for (int column = 0; column < in->map.columns; column++) {
            edge *at = &old[row * in->map.columns + column];
            bool is_kept =
                next < kept && in->places[next].row == row && in->places[next].column == column;
            float length = sqrtf(strength(*at));
            *at = is_kept ? (edge){at->across / length, at->down / length} : (edge){0, 0};
            next += is_kept;
        }
}

/* --- votes --- */

/* Cells grow with the radius, since what the gradient is off by does. */
typedef struct band {
    double least_px, most_px, cell_px;
    int columns, rows;
} band;

static void vote(search *in, const band *of)
{
    double step = of->cell_px / 2;
    for (size_t i = 0; i < in->count; i++) {
        edge_place at = in->places[i];
        edge to = in->map.at[(size_t)at.row * (size_t)in->map.columns + at.column];
        for (int way = -1; way <= 1; way += 2)
            for (double away = of->least_px; away < of->most_px; away += step) {
                double column = at.column + way * away * to.across;
                double row = at.row + way * away * to.down;
                if (column >= 0 && row >= 0 && column < in->map.columns && row < in->map.rows)
                    in->votes[(int)(row / of->cell_px) * of->columns +
                              (int)(column / of->cell_px)]++;
            }
    }
}

static void sum_about(search *in, const band *of)
{
    for (int row = 0; row < of->rows; row++)
        for (int column = 0; column < of->columns; column++) {
            uint32_t sum = 0;
            for (int r = row > 0 ? row - 1 : 0; r <= row + 1 && r < of->rows; r++)
                for (int c = column > 0 ? column - 1 : 0; c <= column + 1 && c < of->columns; c++)
                    sum += in->votes[r * of->columns + c];
            in->sums[row * of->columns + column] = sum;
        }
}

static bool is_peak(const search *in, const band *of, int column, int row)
{
    uint32_t own = in->sums[row * of->columns + column];
    for (int r = row > 0 ? row - 1 : 0; r <= row + 1 && r < of->rows; r++)
        for (int c = column > 0 ? column - 1 : 0; c <= column + 1 && c < of->columns; c++)
            if (in->sums[r * of->columns + c] > own)
                return false;
    return own > 0;
}

/* --- band by band --- */

static int by_votes(const void *left, const void *right)
{
    double a = ((const circle *)left)->seen, b = ((const circle *)right)->seen;
    return (a < b) - (a > b);
}

/* All middles with more votes than their neighbours; `seen` holds the votes as yet. Counts them
 * where there is no room. */
static size_t find_peaks(const search *in, const band *of, circle *peaks)
{
    size_t count = 0;
    for (int row = 0; row < of->rows; row++)
        for (int column = 0; column < of->columns; column++) {
            if (!is_peak(in, of, column, row))
                continue;
            if (peaks)
                peaks[count] = (circle){(column + 0.5) * of->cell_px, (row + 0.5) * of->cell_px, 0,
                                        in->sums[row * of->columns + column]};
            count++;
        }
    return count;
}

static sf_status search_band(search *in, double least, double most)
{
    double cell = fmax(1, (least + most) / 2 / 12);
    band of = {least, most, cell, (int)(in->map.columns / cell) + 1,
               (int)(in->map.rows / cell) + 1};
    size_t cells = (size_t)of.columns * (size_t)of.rows;
    for (size_t i = 0; i < cells; i++)
        in->votes[i] = 0;
    vote(in, &of);
    sum_about(in, &of);
    size_t count = find_peaks(in, &of, NULL);
    circle *peaks = array_new(count, sizeof *peaks);
    if (!peaks)
        return SF_ERROR_MEMORY;
    find_peaks(in, &of, peaks);
    qsort(peaks, count, sizeof *peaks, by_votes);
    for (size_t i = 0; i < count && i < TRIED_A_BAND && in->tried_count < in->tried_room; i++)
        if (circle_settle(&in->map, least, most, &peaks[i]) && peaks[i].seen >= seen_least)
            in->tried[in->tried_count++] = peaks[i];
    free(peaks);
    return SF_OK;
}

/* --- all of it --- */

/* A rim is taken before what is printed inside it, unless much less of it shows. */
static double worth(const circle *of)
{
    return of->seen * pow(of->radius_px, 0.2);
}

static int by_worth(const void *left, const void *right)
{
    const circle *a = left, *b = right;
    double of_a = worth(a), of_b = worth(b);
    if (of_a != of_b)
        return of_a < of_b ? 1 : -1;
    if (a->row != b->row)
        return a->row < b->row ? -1 : 1;
    return (a->column > b->column) - (a->column < b->column);
}

/* Two cans do not stand in one place; their tops may lean over one another by a little. */
static bool is_free(const circle *asked, const circle *taken, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        double away = hypot(asked->column - taken[i].column, asked->row - taken[i].row);
        if (away < fmax(asked->radius_px, taken[i].radius_px) ||
            away < 0.8 * (asked->radius_px + taken[i].radius_px))
            return false;
    }
    return true;
}

static size_t choose_circles(search *in, circle *found)
{
    size_t count = 0;
    qsort(in->tried, in->tried_count, sizeof *in->tried, by_worth);
    for (size_t i = 0; i < in->tried_count && count < CIRCLES_MOST; i++)
        if (is_free(&in->tried[i], found, count))
            found[count++] = in->tried[i];
    return count;
}

static sf_status prepare(search *in, const grey_picture *picture, double most_px)
{
    size_t pixels = picture->columns * picture->rows;
    *in = (search){.map = {(int)picture->columns, (int)picture->rows, NULL}};
    in->tried_room = (size_t)TRIED_A_BAND * (size_t)(2 + log(most_px) / log(band_ratio));
    float *shades = smoothed(picture);
    in->map.at = array_new(pixels, sizeof *in->map.at);
    in->places = array_new(pixels, sizeof *in->places);
    in->votes = array_new(pixels + picture->columns + picture->rows + 1, sizeof *in->votes);
    in->sums = array_new(pixels + picture->columns + picture->rows + 1, sizeof *in->sums);
    in->tried = array_new(in->tried_room, sizeof *in->tried);
    bool made = shades && in->map.at && in->places && in->votes && in->sums && in->tried;
    if (made) {
        find_gradients(in, shades);
        gather_crests(in);
        keep_strong(in);
    }
    free(shades);
    return made ? SF_OK : SF_ERROR_MEMORY;
}

static void search_clear(search *ended)
{
    free(ended->map.at);
    free(ended->places);
    free(ended->votes);
    free(ended->sums);
    free(ended->tried);
}

sf_status circles_find(const grey_picture *picture, double least_px, double most_px, circle *found,
                       size_t *count, const atomic_bool *left)
{
    *count = 0;
    if (picture->columns < 7 || picture->rows < 7 || picture->columns > CIRCLES_SIDE_MOST ||
        picture->rows > CIRCLES_SIDE_MOST || !(least_px >= 3) || !(most_px > least_px) ||
        most_px > CIRCLES_SIDE_MOST)
        return SF_ERROR_ARGUMENT;
    search in;
    sf_status status = prepare(&in, picture, most_px);
    for (double least = least_px; status == SF_OK && least < most_px; least *= band_ratio)
        status = left && *left ? SF_ERROR_DATA
                               : search_band(&in, least, fmin(least * band_ratio, most_px));
    if (status == SF_OK)
        *count = choose_circles(&in, found);
    search_clear(&in);
    return status;
}
