/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field in colour on the board, and its lines. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "output/draw/map_plan.h"
#include "output/draw/mask.h"

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

/* --- slanting lines over what is told with too much doubt --- */

/* Hatching, and where a map of changes has it: in the dark pen where the change is upwards and its
 * ground lighter, in paper where it is downwards. */

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
