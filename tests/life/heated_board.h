/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A board with hot spots on an even field, for the tests of zones. */
#ifndef SPOTFIELD_TESTS_HEATED_BOARD_H
#define SPOTFIELD_TESTS_HEATED_BOARD_H

#include "life/fixture.h"

enum { COLUMNS = 45, ROWS = 30, CELLS = COLUMNS * ROWS };
#define CELL_MM 2.0

/* 90 x 60 mm. */
typedef struct heated_board {
    unsigned char inside[CELLS];
    double temps_c[CELLS];
    sf_grid grid;
} heated_board;

void lay_board(heated_board *on, double temp_c);

/* Heats the cells within a radius of a place; a cell is as much hotter as it is nearer. */
void heat(heated_board *on, double x_mm, double y_mm, double radius_mm, double temp_c);

void cut_column(heated_board *on, size_t column);

sf_part part_at(const char *ref, double x_mm, double y_mm);
sf_part_result result_of(sf_verdict verdict);

/* With 4,000 h and 2,000 h at 85 C: life bounds at 75 C and 55 C. */
sf_job job_of_bounds(sf_part *parts, size_t count);

/* The zones of a job whose policy makes the cells of this board from 75 C hot, those below 55 C
 * cool; they must be found. */
sf_zones *zones_of(const sf_job *job, const sf_part_result *results, const heated_board *on);

#endif
