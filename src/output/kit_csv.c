/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* kit.csv: what to order, one row for parts alike; order.csv: the same for a basket. */
#include "output/csv.h"
#include "output/tables.h"

void kit_csv(const sf_outcome *outcome, text *into)
{
    text_add(into, "count,spares,capacitance_uf,rated_v,rated_c,endurance_h,diameter_mm_max,"
                   "height_mm_max,type,mount,lead_pitch_mm,ripple_a_min,esr_ohm_max,low_esr,"
                   "description,refs,note\n");
    for (size_t i = 0; i < outcome->kit->count; i++) {
        const sf_kit_line *line = &outcome->kit->lines[i];
        csv_count(into, line->count);
        csv_count(into, line->spares);
        csv_short(into, line->capacitance_uf);
        csv_short(into, line->rated_v);
        csv_number(into, line->rated_c, 0);
        csv_number(into, line->endurance_h, 0);
        csv_number(into, line->diameter_mm_max, 1);
        csv_number(into, line->height_mm_max, 1);
        csv_text(into, sf_part_type_text(line->type));
        csv_text(into, line->mount == SF_FORM_UNKNOWN ? "" : sf_form_text(line->mount));
        csv_short(into, line->lead_pitch_mm);
        csv_short(into, line->ripple_a_min);
        csv_short(into, line->esr_ohm_max);
        csv_text(into, line->low_esr ? "yes" : "no");
        csv_text(into, line->description);
        csv_text(into, line->refs);
        csv_text(into, line->note);
        csv_end_row(into);
    }
}

/* The part number is the buyer's to fill in; who sells none under it sells by the description. */
void order_csv(const sf_outcome *outcome, text *into)
{
    text_add(into, "position,quantity,part_number,description,reference\n");
    for (size_t i = 0; i < outcome->kit->count; i++) {
        const sf_kit_line *line = &outcome->kit->lines[i];
        csv_count(into, i + 1);
        csv_count(into, line->count + line->spares);
        csv_text(into, "");
        csv_text(into, line->description);
        csv_text(into, line->refs);
        csv_end_row(into);
    }
}
