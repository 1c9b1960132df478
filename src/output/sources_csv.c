/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* sources.csv: every heat source, listed or found, with the heat the readings give it. */
#include "output/csv.h"
#include "output/tables.h"

static void add_source(text *into, const sf_source_fit *source)
{
    csv_text(into, source->ref);
    csv_yes_no(into, source->listed);
    csv_number(into, source->x_mm, 2);
    csv_number(into, source->y_mm, 2);
    csv_number(into, source->width_mm, 2);
    csv_number(into, source->height_mm, 2);
    csv_number(into, source->angle_deg, 1);
    csv_number(into, source->rise_k.value, 3);
    csv_number(into, source->rise_k.sd, 3);
    csv_significant(into, source->power_w.value, 4);
    csv_significant(into, source->power_w.sd, 4);
    csv_number(into, source->evidence, 2);
    csv_number(into, source->probability, 3);
    csv_yes_no(into, source->contradiction);
    csv_end_row(into);
}

void sources_csv(const sf_outcome *outcome, text *into)
{
    size_t count = 0;
    const sf_source_fit *sources = sf_field_sources(outcome->field, &count);
    text_add(into, "ref,listed,x_mm,y_mm,width_mm,height_mm,angle_deg,rise_k,rise_sd_k,power_w,"
                   "power_sd_w,evidence,probability,contradiction\n");
    for (size_t i = 0; i < count; i++)
        add_source(into, &sources[i]);
}
