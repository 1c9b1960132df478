/* The field in colour on the board, and its lines. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "draw/map.h"
#include "draw/strokes.h"

/* distance between samples that lines are traced over, in ems: some four pixels at usual width */
static const double lattice_step = 0.21;

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

static void paint_row(map *painted, int y, const float *samples)
{
    const mask *board = &painted->canvas.board;
    const unsigned char *cover = board->cover + (size_t)y * (size_t)board->width_px;
    unsigned char *pixels = painted->canvas.image->pixels[y];
    float low = (float)painted->scale.low;
    float per_value = (float)(INKS_MAP_COLOURS / (painted->scale.high - painted->scale.low));
    for (int x = board->left; x < board->right; x++) {
        if (cover[x] == 0)
            continue;
        float step = (samples[x - board->left] - low) * per_value;
        step = step < 0 ? 0 : step > INKS_MAP_COLOURS - 1 ? INKS_MAP_COLOURS - 1 : step;
        unsigned char colour = (unsigned char)(INKS_MAP_FIRST + (int)step);
        if (cover[x] < 255) {
            int level = ((255 - cover[x]) * INKS_LEVELS + 127) / 255;
            colour = ink_table_mix(&painted->canvas.inks, INK_PAPER, level, colour);
        }
        pixels[x] = colour;
    }
}

static sf_status paint_rows(map *painted)
{
    const mask *board = &painted->canvas.board;
    if (board->left >= board->right)
        return SF_OK;
    size_t count = (size_t)(board->right - board->left);
    float *samples = array_new(count, sizeof *samples);
    sampler along = {0};
    sf_status status = samples ? sampler_open(&along, &painted->field,
                                              x_mm_at(painted, board->left + 0.5),
                                              1 / painted->page.frame.px_per_mm, count)
                               : SF_ERROR_MEMORY;
    for (int y = board->top; status == SF_OK && y < board->bottom; y++) {
        sampler_row(&along, y_mm_at(painted, y + 0.5), samples);
        paint_row(painted, y, samples);
    }
    sampler_close(&along);
    free(samples);
    return status;
}

sf_status field_paint(map *painted)
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

sf_status field_trace(map *traced)
{
    line_look looks[LOOKS_MAX];
    size_t count = zones_list_lines(&traced->edges, &traced->scale, traced->page.em_px, looks);
    lattice on = {0};
    sf_status status = sample_lattice(traced, &on);
    if (status == SF_OK)
        status = isotherms_trace(&on, looks, count, &traced->lines);
    free(on.values);
    return status;
}
