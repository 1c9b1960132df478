/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* field.csv: the temperature in service of every cell of the board. */
#include "output/csv.h"
#include "output/tables.h"
#include "survey/facts.h"

void field_csv(const sf_outcome *outcome, text *into)
{
    sf_grid grid = sf_field_grid(outcome->field);
    const double *sd_k = sf_field_rise_sd_k(outcome->field);
    text_add(into, "x_mm,y_mm,temp_c,temp_sd_k\n");
    for (size_t cell = 0; cell < grid.columns * grid.rows; cell++) {
        if (!grid.inside[cell])
            continue;
        sf_point place = cell_centre(&grid, cell);
        csv_number(into, place.x_mm, 3);
        csv_number(into, place.y_mm, 3);
        csv_number(into, outcome->temps_c[cell], 2);
        csv_number(into, sd_k[cell], 3);
        csv_end_row(into);
    }
}
