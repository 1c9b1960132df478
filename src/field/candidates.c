/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where heat that nobody listed may stand. */
#include "field/candidates.h"

#include <math.h>
#include <stdlib.h>

#include "core/geometry.h"
#include "core/memory.h"

#define READ_PRIOR 0.5    /* that an unlisted source stands under a reading */
#define LATTICE_SHARE 0.6 /* of its side that a square stands from the next */
#define LATTICE_MOST 2500

static const double sides_mm[] = {10, 18}; /* a small regulator, a large resistor */
#define SIDE_COUNT (sizeof sides_mm / sizeof *sides_mm)

static bool on_listed_source(const fit_data *data, size_t reading)
{
    const sf_point *seen = &data->points[reading];
    for (size_t j = 0; j < data->input->source_count; j++) {
        const sf_source *source = &data->input->sources[j];
        double reach_mm = hypot(source->width_mm, source->height_mm) / 2 + 2;
        if (hypot(seen->x_mm - source->x_mm, seen->y_mm - source->y_mm) < reach_mm)
            return true;
    }
    return false;
}

static sf_status add_square(const fit_data *data, candidates *made, double x_mm, double y_mm,
                            double side_mm)
{
    size_t at = made->count;
    made->centres[at] = (sf_point){x_mm, y_mm};
    made->sides_mm[at] = side_mm;
    made->count++;
    return grid_cover(data->laid, x_mm, y_mm, side_mm, side_mm, 0, &made->covers[at]);
}

static sf_status add_read(const fit_data *data, candidates *made)
{
    sf_status status = SF_OK;
    for (size_t i = 0; i < data->readings; i++)
        for (size_t side = 0; side < SIDE_COUNT && !on_listed_source(data, i); side++)
            if (status == SF_OK)
                status = add_square(data, made, data->points[i].x_mm, data->points[i].y_mm,
                                    sides_mm[side]);
    return status;
}

/* A lattice over what is board, from edge to edge, so that mirrored boards have mirrored ones. */
typedef struct square_lattice {
    double left_mm, low_mm, step_x_mm, step_y_mm;
    size_t across, up;
} square_lattice;

static square_lattice lattice_of(const grid *laid, double side_mm)
{
    grid_extent board = grid_measure(laid);
    double width_mm = board.right_mm - board.left_mm, height_mm = board.high_mm - board.low_mm;
    double step_mm = fmax(LATTICE_SHARE * side_mm, sqrt(width_mm * height_mm / LATTICE_MOST));
    step_mm = fmax(step_mm, laid->cell_mm); /* no two in one cell */
    square_lattice made = {.left_mm = board.left_mm,
                           .low_mm = board.low_mm,
                           .across = (size_t)fmax(ceil(width_mm / step_mm), 2),
                           .up = (size_t)fmax(ceil(height_mm / step_mm), 2)};
    made.step_x_mm = width_mm / (double)made.across;
    made.step_y_mm = height_mm / (double)made.up;
    return made;
}

static sf_status add_lattice(const fit_data *data, candidates *made, double side_mm)
{
    square_lattice over = lattice_of(data->laid, side_mm);
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < over.across * over.up; i++) {
        double x_mm = over.left_mm + ((double)(i % over.across) + 0.5) * over.step_x_mm;
        double y_mm = over.low_mm + ((double)(i / over.across) + 0.5) * over.step_y_mm;
        if (board_contains(data->input->rings, data->input->ring_count, x_mm, y_mm))
            status = add_square(data, made, x_mm, y_mm, side_mm);
    }
    return status;
}

static size_t room_for(const fit_data *data)
{
    size_t most = SIDE_COUNT * data->readings;
    for (size_t side = 0; side < SIDE_COUNT; side++) {
        square_lattice over = lattice_of(data->laid, sides_mm[side]);
        most += over.across * over.up;
    }
    return most;
}

/* Shares `total` alike among the candidates from `from` on; returns what found no taker. */
static double share_prior(candidates *made, size_t from, double total)
{
    for (size_t c = from; c < made->count; c++)
        made->prior[c] = total / (double)(made->count - from);
    return made->count > from ? 0 : total;
}

sf_status candidates_make(const fit_data *data, candidates *made)
{
    size_t most = room_for(data);
    *made = (candidates){.centres = array_new(most, sizeof *made->centres),
                         .sides_mm = array_new(most, sizeof *made->sides_mm),
                         .covers = array_new(most, sizeof *made->covers),
                         .prior = array_new(most, sizeof *made->prior)};
    if (!made->centres || !made->sides_mm || !made->covers || !made->prior)
        return SF_ERROR_MEMORY;
    sf_status status = add_read(data, made);
    double left = share_prior(made, 0, READ_PRIOR);
    for (size_t side = 0; status == SF_OK && side < SIDE_COUNT; side++) {
        size_t first = made->count;
        status = add_lattice(data, made, sides_mm[side]);
        left += share_prior(made, first, (1 - READ_PRIOR) / SIDE_COUNT);
    }
    for (size_t c = 0; c < made->count; c++)
        made->prior[c] /= 1 - left;
    return status;
}

void candidates_clear(candidates *made)
{
    for (size_t c = 0; c < made->count; c++)
        free(made->covers[c].shares);
    free(made->centres);
    free(made->sides_mm);
    free(made->covers);
    free(made->prior);
    *made = (candidates){0};
}
