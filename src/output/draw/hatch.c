/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Hatching, and where a map of changes has it: in the dark pen where the change is upwards and its
 * ground lighter, in paper where it is downwards. */
#include "output/draw/hatch.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "output/draw/map_plan.h"

/* in ems: across the lines, from one to the next and over one */
static const double period = 0.62, width = 0.1;

void hatch_row(mask *into, int y, int left, int right, double em_px, const bool *where)
{
    const double slant = sqrt(0.5); /* lines at 45 degrees */
    unsigned char *cover = into->cover + (size_t)y * (size_t)into->width_px;
    if (left < right)
        mask_touch(into, y, left, right);
    for (int x = left; x < right; x++) {
        double across_px = fmod((x + y + 1) * slant, period * em_px);
        double off_px = fabs(across_px - period * em_px / 2);
        double covered = fmin(fmax(width * em_px / 2 + 0.5 - off_px, 0), 1);
        if (!where || where[x - left])
            cover[x] = (unsigned char)fmax(cover[x], 255 * covered + 0.5);
    }
}

/* How far each cell's change exceeds its doubt: below zero where it does not. */
static sf_status make_excess(const sf_scene *scene, padded_field *excess)
{
    size_t cells = scene->grid.columns * scene->grid.rows;
    double *values = array_new(cells, sizeof *values);
    if (!values)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < cells; i++)
        values[i] = fabs(scene->values[i]) - SF_CHANGE_COVERAGE * scene->change_sds[i];
    sf_status status = padded_field_make(&scene->grid, values, excess);
    free(values);
    return status;
}

/* A row of pixels under way. */
typedef struct hatching {
    int left, count;
    sampler change, excess;
    float *change_k, *excess_k;
    bool *where;
} hatching;

static sf_status open_hatching(const map *on, const padded_field *excess, hatching *opened)
{
    const mask *board = &on->canvas.board;
    const sf_picture_frame *frame = &on->page.frame;
    *opened = (hatching){.left = (int)fmax(floor(on->page.board.left), 0)};
    opened->count = (int)fmin(ceil(on->page.board.right), board->width_px) - opened->left;
    size_t count = (size_t)opened->count;
    opened->change_k = array_new(count, sizeof(float));
    opened->excess_k = array_new(count, sizeof(float));
    opened->where = array_new(count, sizeof(bool));
    double first_mm = (opened->left + 0.5 - frame->left_px) / frame->px_per_mm;
    if (!opened->change_k || !opened->excess_k || !opened->where)
        return SF_ERROR_MEMORY;
    sf_status status =
        sampler_open(&opened->change, &on->field, first_mm, 1 / frame->px_per_mm, count);
    if (status == SF_OK)
        status = sampler_open(&opened->excess, excess, first_mm, 1 / frame->px_per_mm, count);
    return status;
}

static void close_hatching(hatching *closed)
{
    sampler_close(&closed->change);
    sampler_close(&closed->excess);
    free(closed->change_k);
    free(closed->excess_k);
    free(closed->where);
}

static void hatch_side(map *on, hatching *of, bool upwards)
{
    canvas *page = &on->canvas;
    const sf_picture_frame *frame = &on->page.frame;
    for (int y = page->board.top; y < page->board.bottom; y++) {
        double y_mm = (frame->bottom_px - y - 0.5) / frame->px_per_mm;
        sampler_row(&of->change, y_mm, of->change_k);
        sampler_row(&of->excess, y_mm, of->excess_k);
        for (int i = 0; i < of->count; i++)
            of->where[i] = of->excess_k[i] <= 0 && (of->change_k[i] >= 0) == upwards;
        hatch_row(&page->shapes, y, of->left, of->left + of->count, on->page.em_px, of->where);
    }
    canvas_lay_on_board(page, upwards ? PEN_DARK : PEN_PAPER, HATCH_OPACITY);
}

sf_status map_hatch_doubt(map *hatched)
{
    padded_field excess = {0};
    hatching row = {0};
    if (!hatched->scene->change_sds)
        return SF_OK;
    sf_status status = make_excess(hatched->scene, &excess);
    if (status == SF_OK)
        status = open_hatching(hatched, &excess, &row);
    if (status == SF_OK) {
        hatch_side(hatched, &row, true);
        hatch_side(hatched, &row, false);
    }
    close_hatching(&row);
    padded_field_free(&excess);
    return status;
}
