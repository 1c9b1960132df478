/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The board, its parts and its zones. */
#include "support/check.h"

#include <math.h>

#include "life/heated_board.h"

void lay_board(heated_board *on, double temp_c)
{
    on->grid = (sf_grid){CELL_MM, COLUMNS, ROWS, on->inside};
    for (size_t cell = 0; cell < CELLS; cell++) {
        on->inside[cell] = 1;
        on->temps_c[cell] = temp_c;
    }
}

void heat(heated_board *on, double x_mm, double y_mm, double radius_mm, double temp_c)
{
    for (size_t cell = 0; cell < CELLS; cell++) {
        double away_x = ((double)(cell % COLUMNS) + 0.5) * CELL_MM - x_mm;
        double away_y = ((double)(cell / COLUMNS) + 0.5) * CELL_MM - y_mm;
        double away_mm = hypot(away_x, away_y);
        if (away_mm <= radius_mm)
            on->temps_c[cell] = temp_c - 0.01 * away_mm;
    }
}

void cut_column(heated_board *on, size_t column)
{
    for (size_t row = 0; row < ROWS; row++) {
        on->inside[row * COLUMNS + column] = 0;
        on->temps_c[row * COLUMNS + column] = NAN;
    }
}

sf_part part_at(const char *ref, double x_mm, double y_mm)
{
    sf_part part = plain_part(ref);
    part.x_mm = x_mm;
    part.y_mm = y_mm;
    return part;
}

sf_part_result result_of(sf_verdict verdict)
{
    return (sf_part_result){.endurance_h = 2000, .verdict = verdict};
}

sf_job job_of_bounds(sf_part *parts, size_t count)
{
    sf_job job = plain_job(parts, count);
    job.board.run_hours = 4000;
    return job;
}

/* The share of the cells of a board below a temperature, in %, midway between two cells so that no
 * rounding moves the bound. */
static double below_pct(const heated_board *on, double temp_c)
{
    double below = 0, cells = 0;
    for (size_t cell = 0; cell < CELLS; cell++) {
        cells += on->inside[cell];
        below += on->inside[cell] && on->temps_c[cell] < temp_c;
    }
    return 100 * fmin(fmax((below - 0.5) / (cells - 1), 0), 1);
}

sf_zones *zones_of(const sf_job *job, const sf_part_result *results, const heated_board *on)
{
    sf_zones *zones = NULL;
    sf_job bounded = *job;
    bounded.policy.zone_hot_pct = 100 - below_pct(on, 75);
    bounded.policy.zone_cool_pct = below_pct(on, 55);
    assert_int_equal(sf_zones_find(&bounded, results, &on->grid, on->temps_c, &zones), SF_OK);
    return zones;
}
