/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pieces of board on which nobody has read. */
#include "survey/unread_pieces.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "life/board_place.h"
#include "survey/facts.h"

#define NEARER_MM 1e-6        /* less is the rounding of a sum: the first of equals is taken */
#define PIECE_MM2_LEAST 100.0 /* smaller ones are specks of the grid, but where a part stands */

static void widen(extent *over, sf_point at, double share)
{
    over->least_x_mm = fmin(over->least_x_mm, at.x_mm);
    over->most_x_mm = fmax(over->most_x_mm, at.x_mm);
    over->least_y_mm = fmin(over->least_y_mm, at.y_mm);
    over->most_y_mm = fmax(over->most_y_mm, at.y_mm);
    over->centre_x_mm += share * (at.x_mm - over->centre_x_mm);
    over->centre_y_mm += share * (at.y_mm - over->centre_y_mm);
}

/* The extent of one piece, or of the whole board for SF_NO_ZONE; *cells counts what it holds. */
static extent measure(const sf_field *field, size_t piece, size_t *cells)
{
    sf_grid grid = sf_field_grid(field);
    extent found = {INFINITY, -INFINITY, INFINITY, -INFINITY, 0, 0};
    *cells = 0;
    for (size_t cell = 0; cell < grid.columns * grid.rows; cell++) {
        sf_point at = cell_centre(&grid, cell);
        if (grid.inside[cell] &&
            (piece == SF_NO_ZONE || sf_field_piece(field, at.x_mm, at.y_mm) == piece))
            widen(&found, at, 1 / (double)++*cells);
    }
    return found;
}

/* The middle of the cell of a piece that lies nearest to the middle of the piece, which may lie
 * beside it. */
static sf_point amid_piece(const sf_field *field, size_t piece, const extent *taken)
{
    sf_grid grid = sf_field_grid(field);
    sf_point found = {NAN, NAN};
    double least_mm = INFINITY;
    for (size_t cell = 0; cell < grid.columns * grid.rows; cell++) {
        sf_point at = cell_centre(&grid, cell);
        double mm = hypot(at.x_mm - taken->centre_x_mm, at.y_mm - taken->centre_y_mm);
        if (mm > least_mm - NEARER_MM || !grid.inside[cell] ||
            sf_field_piece(field, at.x_mm, at.y_mm) != piece)
            continue;
        least_mm = mm;
        found = at;
    }
    return found;
}

static size_t parts_on(const sf_outcome *outcome, size_t piece)
{
    size_t count = 0;
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        const sf_part *part = &outcome->job->parts[i];
        count += sf_field_piece(outcome->field, part->x_mm, part->y_mm) == piece;
    }
    return count;
}

/* False for a speck. */
static bool look_at(const sf_outcome *outcome, size_t piece, const extent *board,
                    unread_piece *found)
{
    double cell_mm = sf_field_grid(outcome->field).cell_mm;
    size_t cells;
    extent taken = measure(outcome->field, piece, &cells);
    *found = (unread_piece){.where = extent_place(&taken, board).where,
                            .parts = parts_on(outcome, piece),
                            .amid = amid_piece(outcome->field, piece, &taken)};
    return found->parts > 0 || (double)cells * cell_mm * cell_mm >= PIECE_MM2_LEAST;
}

sf_status unread_pieces_find(const sf_outcome *outcome, unread_piece **found, size_t *count)
{
    size_t pieces = sf_field_piece_count(outcome->field), cells;
    bool *read = NULL;
    *count = 0;
    *found = array_new(pieces, sizeof **found);
    if (!*found)
        return SF_ERROR_MEMORY;
    if (pieces < 2)
        return SF_OK;
    sf_status status =
        sf_pieces_read(outcome->field, outcome->observations, outcome->pixels, &read);
    extent board = measure(outcome->field, SF_NO_ZONE, &cells);
    for (size_t piece = 0; read && piece < pieces; piece++)
        *count += !read[piece] && look_at(outcome, piece, &board, *found + *count);
    free(read);
    return status;
}
