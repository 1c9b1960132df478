/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a camera sees where on a board, as a raster: bare board, a body, or no board at all. A pixel
 * asks it once, instead of every ring and part. */
#ifndef SPOTFIELD_READINGS_GROUND_H
#define SPOTFIELD_READINGS_GROUND_H

#include <stdbool.h>
#include <stddef.h>

#include "readings/viewpoint.h"
#include "spotfield/geometry.h"
#include "spotfield/job.h"

/* Puts the corners of the hull, anticlockwise, into hull, which has room for count + 1 of them, and
 * answers how many they are; points come back sorted. Andrew's monotone chain (Information
 * Processing Letters 9 (1979) 216). */
size_t hull_find(sf_point *points, size_t count, sf_point *hull);

typedef enum ground_kind { GROUND_NONE, GROUND_BARE, GROUND_BODY, GROUND_MASKED } ground_kind;

/* Cells from the origin of the board on, rows upwards. */
typedef struct ground {
    double cell_mm;
    size_t columns, rows;
    unsigned char *kinds; /* a ground_kind a cell */
} ground;

/* Lays the raster of a job: outline and cut-outs, then, for a camera over the component side, all
 * bodies with what they hide from it, and the rings of the mask. Afterwards bare board within
 * margin_mm of anything else counts as body, since a pixel there would see some of both. False when
 * memory is short; freed with ground_free. */
bool ground_lay(const sf_job *job, const viewpoint *from, double margin_mm, ground *laid);
void ground_free(ground *freed);

/* How high things stand: as the files say, else by judgements that stand in the source. */
double part_height_mm(const sf_part *part);
double source_height_mm(const sf_source *source);

/* What lies at a place. */
static inline ground_kind ground_at(const ground *asked, double x_mm, double y_mm)
{
    double column = x_mm / asked->cell_mm, row = y_mm / asked->cell_mm;
    if (!(column >= 0 && row >= 0 && column < (double)asked->columns && row < (double)asked->rows))
        return GROUND_NONE;
    return (ground_kind)asked->kinds[(size_t)row * asked->columns + (size_t)column];
}

#endif
