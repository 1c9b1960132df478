/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cells of the benchmark's boards: laid from an outline, heated, read. */
#include "benchmark/plate.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

#include "core/geometry.h"
#include "core/memory.h"

enum { SUB_POINTS = 5 }; /* a rectangle's share of a cell is counted on 5 x 5 points */

static bool plate_allocate(plate *made)
{
    size_t cells = made->cells;
    made->inside = array_new(cells, sizeof *made->inside);
    double **fields[] = {&made->sheet_x, &made->sheet_y, &made->heat_w,  &made->held_w,
                         &made->rise_k,  &made->plume_k, &made->loss_wk, &made->draught_wk};
    bool held = made->inside != NULL;
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        *fields[i] = array_new(cells, sizeof(double));
        held = held && *fields[i];
    }
    return held;
}

sf_status plate_new(double width_mm, double height_mm, const sf_ring *rings, size_t ring_count,
                    plate **made)
{
    *made = NULL;
    plate *fresh = array_new(1, sizeof *fresh);
    if (!fresh)
        return SF_ERROR_MEMORY;
    fresh->columns = (size_t)ceil(width_mm);
    fresh->rows = (size_t)ceil(height_mm);
    fresh->cells = fresh->columns * fresh->rows;
    if (!plate_allocate(fresh)) {
        plate_free(fresh);
        return SF_ERROR_MEMORY;
    }
    for (size_t i = 0; i < fresh->cells; i++)
        fresh->inside[i] = board_contains(rings, ring_count, (double)(i % fresh->columns) + 0.5,
                                          (double)(i / fresh->columns) + 0.5);
    *made = fresh;
    return SF_OK;
}

void plate_free(plate *freed)
{
    if (!freed)
        return;
    free(freed->inside);
    free(freed->sheet_x);
    free(freed->sheet_y);
    free(freed->heat_w);
    free(freed->held_w);
    free(freed->rise_k);
    free(freed->plume_k);
    free(freed->loss_wk);
    free(freed->draught_wk);
    free(freed);
}

/* How many of a cell's sub-points lie in a rectangle centred at the origin once the plane is
 * turned back by its angle. */
static int points_covered(double from_x_mm, double from_y_mm, double half_width_mm,
                          double half_height_mm, double cosine, double sine)
{
    int covered = 0;
    for (int i = 0; i < SUB_POINTS * SUB_POINTS; i++) {
        double x = from_x_mm + (i % SUB_POINTS + 0.5) / SUB_POINTS;
        double y = from_y_mm + (i / SUB_POINTS + 0.5) / SUB_POINTS;
        covered += fabs(x * cosine + y * sine) <= half_width_mm &&
                   fabs(y * cosine - x * sine) <= half_height_mm;
    }
    return covered;
}

void plate_heat(plate *heated, double x_mm, double y_mm, double width_mm, double height_mm,
                double angle_deg, double watts)
{
    double angle = angle_deg * M_PI / 180, cosine = cos(angle), sine = sin(angle);
    double reach = hypot(width_mm, height_mm) / 2;
    size_t left = (size_t)fmax(x_mm - reach - 1, 0), low = (size_t)fmax(y_mm - reach - 1, 0);
    size_t right = (size_t)fmin(x_mm + reach + 2, (double)heated->columns);
    size_t high = (size_t)fmin(y_mm + reach + 2, (double)heated->rows);
    double total = 0;
    for (int pass = 0; pass < 2; pass++)
        for (size_t row = low; row < high; row++)
            for (size_t column = left; column < right; column++) {
                size_t cell = row * heated->columns + column;
                int covered = !heated->inside[cell]
                                  ? 0
                                  : points_covered((double)column - x_mm, (double)row - y_mm,
                                                   width_mm / 2, height_mm / 2, cosine, sine);
                if (pass == 0)
                    total += covered;
                else if (total > 0)
                    heated->heat_w[cell] += watts * covered / total;
            }
}

void plate_hold(plate *heated)
{
    for (size_t cell = 0; cell < heated->cells; cell++) {
        heated->held_w[cell] += heated->heat_w[cell];
        heated->heat_w[cell] = 0;
    }
}

bool plate_holds(const plate *held, double x_mm, double y_mm)
{
    return x_mm >= 0 && y_mm >= 0 && x_mm < (double)held->columns && y_mm < (double)held->rows &&
           held->inside[(size_t)y_mm * held->columns + (size_t)x_mm];
}

double plate_rise(const plate *read, double x_mm, double y_mm)
{
    if (!plate_holds(read, x_mm, y_mm))
        return (double)NAN;
    double left = floor(x_mm - 0.5), low = floor(y_mm - 0.5), sum = 0, weights = 0;
    for (int i = 0; i < 4; i++) {
        double column = left + i % 2, row = low + i / 2;
        if (!plate_holds(read, column + 0.5, row + 0.5))
            continue;
        double weight = (1 - fabs(x_mm - 0.5 - column)) * (1 - fabs(y_mm - 0.5 - row));
        sum += weight * read->rise_k[(size_t)row * read->columns + (size_t)column];
        weights += weight;
    }
    return sum / weights;
}
