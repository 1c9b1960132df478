/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field in colour on the board, and its lines. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "output/draw/map_plan.h"
#include "output/draw/strokes.h"

/* distance between samples that lines are traced over, in ems: some five pixels at usual width */
static const double lattice_step = 0.26;

static bool cover_board(map *painted)
{
    const sf_job *job = painted->scene->job;
    mask *board = &painted->canvas.board;
    for (size_t i = 0; i < job->ring_count && !board->failed; i++) {
        place *corners = map_ring(painted, &job->rings[i]);
        if (!corners)
            return false;
        mask_polygon(board, corners, job->rings[i].count, i == 0 ? MASK_ADD : MASK_ERASE);
        free(corners);
    }
    return !board->failed;
}

static double x_mm_at(const map *in, double x_px)
{
    return (x_px - in->page.frame.left_px) / in->page.frame.px_per_mm;
}

static double y_mm_at(const map *in, double y_px)
{
    return (in->page.frame.bottom_px - y_px) / in->page.frame.px_per_mm;
}

/* map colours of a row of samples, in a loop that a compiler turns into vector instructions */
static void colour_row(const value_scale *scale, const float *restrict samples, size_t count,
                       unsigned char *restrict colours)
{
    float low = (float)scale->low, most = PENS_MAP_COLOURS - 1;
    float per_value = (float)(PENS_MAP_COLOURS / (scale->high - scale->low));
    for (size_t i = 0; i < count; i++) {
        float step = (samples[i] - low) * per_value;
        step = step < 0 ? 0 : step;
        step = step > most ? most : step;
        colours[i] = (unsigned char)(PENS_MAP_FIRST + (int)step);
    }
}

/* whole pixels are copied run by run, those at an edge mixed with the paper */
static void paint_row(map *painted, int y, int left, int count, const unsigned char *colours)
{
    const mask *board = &painted->canvas.board;
    const unsigned char *cover = board->cover + (size_t)y * (size_t)board->width_px + left;
    unsigned char *pixels = painted->canvas.image->pixels[y] + left;
    for (int x = 0, end; x < count; x = end) {
        for (end = x; end < count && cover[end] == 255;)
            end++;
        memcpy(pixels + x, colours + x, (size_t)(end - x));
        for (; end < count && cover[end] < 255; end++)
            if (cover[end] > 0) {
                int level = ((255 - cover[end]) * PENS_LEVELS + 127) / 255;
                pixels[end] = pen_table_mix(&painted->canvas.pens, PEN_PAPER, level, colours[end]);
            }
    }
}

static sf_status paint_rows(map *painted)
{
    const mask *board = &painted->canvas.board;
    int left = (int)fmax(floor(painted->page.board.left), 0);
    int count = (int)fmin(ceil(painted->page.board.right), board->width_px) - left;
    float *samples = array_new((size_t)count, sizeof *samples);
    unsigned char *colours = array_new((size_t)count, 1);
    sampler along = {0};
    sf_status status = samples && colours
                           ? sampler_open(&along, &painted->field, x_mm_at(painted, left + 0.5),
                                          1 / painted->page.frame.px_per_mm, (size_t)count)
                           : SF_ERROR_MEMORY;
    for (int y = board->top; status == SF_OK && y < board->bottom; y++) {
        sampler_row(&along, y_mm_at(painted, y + 0.5), samples);
        colour_row(&painted->scale, samples, (size_t)count, colours);
        paint_row(painted, y, left, count, colours);
    }
    sampler_close(&along);
    free(colours);
    free(samples);
    return status;
}

sf_status map_paint_field(map *painted)
{
    if (!cover_board(painted))
        return SF_ERROR_MEMORY;
    return paint_rows(painted);
}

/* samples about the whole board, from above */
static sf_status sample_lattice(const map *traced, lattice *on)
{
    box board = traced->page.board;
    on->step_px = lattice_step * traced->page.em_px;
    on->left_px = board.left - on->step_px / 2;
    on->top_px = board.top - on->step_px / 2;
    on->columns = (size_t)ceil((board.right - board.left) / on->step_px) + 2;
    on->rows = (size_t)ceil((board.bottom - board.top) / on->step_px) + 2;
    on->values = array_new(on->columns * on->rows, sizeof *on->values);
    sampler along = {0};
    sf_status status = on->values
                           ? sampler_open(&along, &traced->field, x_mm_at(traced, on->left_px),
                                          on->step_px / traced->page.frame.px_per_mm, on->columns)
                           : SF_ERROR_MEMORY;
    for (size_t row = 0; status == SF_OK && row < on->rows; row++)
        sampler_row(&along, y_mm_at(traced, on->top_px + (double)row * on->step_px),
                    on->values + row * on->columns);
    sampler_close(&along);
    return status;
}

sf_status map_trace_lines(map *traced)
{
    line_look looks[LOOKS_MAX];
    size_t count = edges_list_lines(&traced->edges, &traced->scale, traced->page.em_px, looks);
    lattice on = {0};
    sf_status status = sample_lattice(traced, &on);
    if (status == SF_OK)
        status = isotherms_trace(&on, looks, count, &traced->lines);
    free(on.values);
    return status;
}
