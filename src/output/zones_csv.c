/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* zones.csv: the regions of the board by what they do to the commonest part. */
#include "output/csv.h"
#include "output/tables.h"

void zones_csv(const sf_outcome *outcome, text *into)
{
    text_add(into, "zone,kind,area_mm2,peak_c,peak_x_mm,peak_y_mm,parts,replace,check,leave,"
                   "sentence\n");
    for (size_t i = 0; i < outcome->zones->count; i++) {
        const sf_zone *zone = &outcome->zones->zones[i];
        csv_text(into, zone->name);
        csv_text(into, sf_zone_kind_text(zone->kind));
        csv_number(into, zone->area_mm2, 0);
        csv_number(into, zone->peak_c, 2);
        csv_number(into, zone->peak_x_mm, 2);
        csv_number(into, zone->peak_y_mm, 2);
        csv_count(into, zone->parts);
        csv_count(into, zone->verdicts[SF_REPLACE]);
        csv_count(into, zone->verdicts[SF_CHECK]);
        csv_count(into, zone->verdicts[SF_LEAVE]);
        csv_text(into, zone->sentence);
        csv_end_row(into);
    }
}
