/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The laminate of a board with height: two sheets of 2 mm cells, coupled through the thickness. */
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "benchmark/raised.h"
#include "core/memory.h"

static const double cell_mm = 2;
static const double through_wmk = 0.3; /* laminate across its cloth, handbooks: 0.25 to 0.35 */
static const double pad_mm = 6.5;      /* solder and the copper about it */
static const double through_hole_wk = 30e-3; /* wire and solder or plating through 1.6 mm */

/* One face's copper, drawn on cells of 1 mm. Where a board has one layer the front is bare. */
static sf_status face_draw(raised *board, int face, plate **sheet, double *cover, gsl_rng *chance)
{
    invented *base = &board->base;
    sf_status status =
        plate_new(base->width_mm, base->height_mm, base->rings, base->ring_count, sheet);
    if (status != SF_OK)
        return status;
    copper half = base->copper;
    half.thickness_mm /= 2;
    half.layers = face == 0 && base->copper.layers == 1 ? 0 : 1;
    /* a ground plane on one of two boards with two layers */
    if (face == 1 && base->copper.layers == 2 && gsl_rng_uniform(chance) < 0.5)
        half.cover = draw_between(chance, 0.7, 0.92);
    copper_lay(*sheet, &half, chance, cover);
    *cover = half.layers == 0 ? 0 : *cover;
    return SF_OK;
}

/* Mean over the board's cells of 1 mm in a cell of 2 mm; *share is how much of it is board. */
static void cell_of_sheet(const plate *sheet, const raised *board, size_t cell, double *sheet_x,
                          double *sheet_y, double *share)
{
    double counted = 0;
    *sheet_x = *sheet_y = 0;
    for (size_t i = 0; i < 4; i++) {
        size_t column = 2 * (cell % board->columns) + i % 2;
        size_t row = 2 * (cell / board->columns) + i / 2;
        size_t fine = row * sheet->columns + column;
        if (column >= sheet->columns || row >= sheet->rows || !sheet->inside[fine])
            continue;
        *sheet_x += sheet->sheet_x[fine];
        *sheet_y += sheet->sheet_y[fine];
        counted++;
    }
    *sheet_x /= fmax(counted, 1);
    *sheet_y /= fmax(counted, 1);
    *share = counted / 4;
}

static bool board_allocate(raised *board)
{
    board->columns = (size_t)ceil(board->base.width_mm / cell_mm);
    board->rows = (size_t)ceil(board->base.height_mm / cell_mm);
    board->cells = board->columns * board->rows;
    board->node = array_new(board->cells, sizeof *board->node);
    board->cell_m2 = array_new(board->cells, sizeof(double));
    board->bare = array_new(board->cells, sizeof(double));
    return board->node && board->cell_m2 && board->bare;
}

static void cells_number(raised *board, const plate *sheet)
{
    size_t count = 0;
    for (size_t cell = 0; cell < board->cells; cell++) {
        double along_x, along_y, share;
        cell_of_sheet(sheet, board, cell, &along_x, &along_y, &share);
        board->node[cell] = share >= 0.5 ? count++ : SIZE_MAX;
        board->cell_m2[cell] = share * cell_mm * cell_mm * 1e-6;
        board->bare[cell] = 1;
    }
    board->face_nodes = count;
    if (network_nodes_add(&board->heat, 2 * count) == SIZE_MAX)
        board->status = SF_ERROR_MEMORY;
}

static double half_and_half(double a, double b)
{
    return a > 0 && b > 0 ? 2 * a * b / (a + b) : 0;
}

static void sheet_join(raised *board, const plate *sheet, int face)
{
    for (size_t cell = 0; cell < board->cells; cell++) {
        if (board->node[cell] == SIZE_MAX)
            continue;
        double x, y, share, next_x, next_y;
        cell_of_sheet(sheet, board, cell, &x, &y, &share);
        size_t right = cell + 1, up = cell + board->columns,
               face_from = (size_t)face * board->face_nodes;
        size_t here = board->node[cell] + face_from;
        if (right % board->columns != 0 && board->node[right] != SIZE_MAX) {
            cell_of_sheet(sheet, board, right, &next_x, &next_y, &share);
            raised_join(board, here, board->node[right] + face_from, half_and_half(x, next_x));
        }
        if (up < board->cells && board->node[up] != SIZE_MAX) {
            cell_of_sheet(sheet, board, up, &next_x, &next_y, &share);
            raised_join(board, here, board->node[up] + face_from, half_and_half(y, next_y));
        }
    }
}

void raised_lay_board(raised *board, gsl_rng *chance)
{
    plate *sheets[2] = {NULL, NULL};
    double covers[2] = {0, 0};
    for (int face = 0; face < 2 && board->status == SF_OK; face++)
        board->status = face_draw(board, face, &sheets[face], &covers[face], chance);
    if (board->status == SF_OK && !board_allocate(board))
        board->status = SF_ERROR_MEMORY;
    if (board->status == SF_OK)
        cells_number(board, sheets[0]);
    for (int face = 0; face < 2 && board->status == SF_OK; face++)
        sheet_join(board, sheets[face], face);
    for (size_t cell = 0; board->status == SF_OK && cell < board->cells; cell++)
        if (board->node[cell] != SIZE_MAX)
            raised_join(board, board->node[cell], board->node[cell] + board->face_nodes,
                        through_wmk * board->cell_m2[cell] /
                            (board->base.copper.thickness_mm * 1e-3));
    double cover = (covers[0] + covers[1]) / board->base.copper.layers;
    board->base.cover_written_pct =
        round(fmin(fmax(100 * cover + gsl_ran_gaussian_ziggurat(chance, 5), 20), 90));
    plate_free(sheets[0]);
    plate_free(sheets[1]);
}

size_t raised_next_in(const raised *board, double x_mm, double y_mm, double width_mm,
                      double height_mm, size_t *cell)
{
    while (*cell < board->cells) {
        size_t tried = (*cell)++;
        double across = ((double)(tried % board->columns) + 0.5) * cell_mm - x_mm;
        double up = ((double)(tried / board->columns) + 0.5) * cell_mm - y_mm;
        if (board->node[tried] != SIZE_MAX && fabs(across) <= width_mm / 2 &&
            fabs(up) <= height_mm / 2)
            return board->node[tried];
    }
    return SIZE_MAX;
}

size_t raised_node_at(const raised *board, double x_mm, double y_mm)
{
    size_t nearest = 0;
    double nearest_mm = (double)INFINITY;
    for (size_t cell = 0; cell < board->cells; cell++) {
        double away_mm = hypot(((double)(cell % board->columns) + 0.5) * cell_mm - x_mm,
                               ((double)(cell / board->columns) + 0.5) * cell_mm - y_mm);
        if (board->node[cell] != SIZE_MAX && away_mm < nearest_mm) {
            nearest = board->node[cell];
            nearest_mm = away_mm;
        }
    }
    return nearest;
}

void raised_lead(raised *board, size_t node, double x_mm, double y_mm, double wk)
{
    size_t count = 0, cell = 0, front;
    while (raised_next_in(board, x_mm, y_mm, pad_mm, pad_mm, &cell) != SIZE_MAX)
        count++;
    cell = 0;
    while ((front = raised_next_in(board, x_mm, y_mm, pad_mm, pad_mm, &cell)) != SIZE_MAX) {
        size_t back = front + board->face_nodes;
        raised_join(board, node, back, wk / (double)count);
        raised_join(board, back, front, through_hole_wk / (double)count);
    }
}

void raised_base(raised *board, size_t node, double x_mm, double y_mm, double width_mm,
                 double height_mm, double wk)
{
    size_t count = 0, cell = 0, front;
    while (raised_next_in(board, x_mm, y_mm, width_mm, height_mm, &cell) != SIZE_MAX)
        count++;
    cell = 0;
    while ((front = raised_next_in(board, x_mm, y_mm, width_mm, height_mm, &cell)) != SIZE_MAX)
        raised_join(board, node, front, wk / (double)count);
}

void raised_cover(raised *board, double x_mm, double y_mm, double width_mm, double height_mm,
                  double bare)
{
    size_t cell = 0;
    while (raised_next_in(board, x_mm, y_mm, width_mm, height_mm, &cell) != SIZE_MAX)
        board->bare[cell - 1] = fmin(board->bare[cell - 1], bare);
}

/* Handbooks' simplified equations for air: C 1.42 for an upright face, 1.32 and 0.59 for a hot
 * face turned up and down; lengths as there. */
static void faces_expose(raised *board)
{
    const invented *base = &board->base;
    double w = base->width_mm, h = base->height_mm;
    bool upright = base->loss.upright;
    double length_mm = upright ? h : 2 * w * h / (w + h);
    for (size_t cell = 0; cell < board->cells; cell++) {
        if (board->node[cell] == SIZE_MAX)
            continue;
        double x_mm = ((double)(cell % board->columns) + 0.5) * cell_mm;
        double y_mm = ((double)(cell / board->columns) + 0.5) * cell_mm;
        surface face = {.node = board->node[cell],
                        .air_at = air_cell(&board->around, AIR_NEAR, x_mm, y_mm),
                        .stays = board->board_stays,
                        .area_m2 = board->cell_m2[cell] * board->bare[cell],
                        .natural = upright ? 1.42 : 1.32,
                        .length_m = length_mm * 1e-3,
                        .radiates = base->loss.emissivity_front};
        raised_surface(board, &face);
        face.node += board->face_nodes;
        face.air_at = air_cell(&board->around, AIR_BACK, x_mm, y_mm);
        face.area_m2 = board->cell_m2[cell];
        face.natural = upright ? 1.42 : 0.59;
        face.radiates = base->loss.emissivity_back;
        raised_surface(board, &face);
    }
}

/* Two to five screws to the chassis, steel on spacers of metal or plastic, and up to eight wires at
 * the edges, copper of 0.2 to 0.75 mm2: milliwatts per kelvin as a fin of that wire takes. */
static void leaks_draw(raised *board, gsl_rng *chance)
{
    const invented *base = &board->base;
    int screws = 2 + (int)gsl_rng_uniform_int(chance, 4),
        wires = (int)gsl_rng_uniform_int(chance, 9);
    double screw_wk = draw_between(chance, 2e-3, 25e-3);
    for (int i = 0; i < screws + wires; i++) {
        double from_edge_mm = draw_between(chance, 3, 8);
        double x_mm = gsl_rng_uniform(chance) < 0.5 ? from_edge_mm : base->width_mm - from_edge_mm;
        double y_mm = gsl_rng_uniform(chance) < 0.5 ? from_edge_mm : base->height_mm - from_edge_mm;
        if (i >= screws)
            x_mm = draw_between(chance, 3, base->width_mm - 3);
        size_t front = raised_node_at(board, x_mm, y_mm), back = front + board->face_nodes;
        raised_join(board, front, back, through_hole_wk);
        board->leak_wk[back] += i < screws ? screw_wk : draw_between(chance, 1e-3, 5e-3);
    }
}

void raised_expose_board(raised *board, gsl_rng *chance)
{
    if (board->status != SF_OK)
        return;
    board->leak_wk = array_new(board->heat.nodes, sizeof(double));
    if (!board->leak_wk) {
        board->status = SF_ERROR_MEMORY;
        return;
    }
    faces_expose(board);
    leaks_draw(board, chance);
}
