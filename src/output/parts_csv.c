/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* parts.csv: every part with its temperature, the life it has used, and the verdict. */
#include <math.h>

#include "output/csv.h"
#include "output/tables.h"
#include "survey/facts.h"

void parts_csv(const sf_outcome *outcome, text *into)
{
    text_add(into,
             "ref,x_mm,y_mm,temp_c,temp_sd_k,board_c,board_sd_k,life_h,used,used_in_air,used_low,"
             "used_high,past_life,worn_out,type,zone,verdict,settles,settles_by,reason\n");
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        const sf_part *part = &outcome->job->parts[i];
        const sf_part_result *result = &outcome->results[i];
        const sf_zone *zone = part_zone(outcome, i);
        csv_text(into, part->ref);
        csv_number(into, part->x_mm, 2);
        csv_number(into, part->y_mm, 2);
        csv_number(into, result->temp_c, 2);
        csv_number(into, result->temp_sd_k, 3);
        csv_number(into, result->board_c, 2);
        csv_number(into, result->board_sd_k, 3);
        csv_number(into, result->life_h, 0);
        csv_significant(into, result->used, 4);
        csv_significant(into, result->used_in_air, 4);
        csv_significant(into, result->used_low, 4);
        csv_significant(into, result->used_high, 4);
        csv_number(into, result->past_life, 4);
        csv_number(into, result->worn_out, 4);
        csv_text(into, sf_part_type_text(part->type));
        csv_text(into, zone ? zone->name : "");
        csv_text(into, sf_verdict_text(result->verdict));
        csv_number(into, result->settles, 3);
        csv_text(into, isnan(result->settles) ? "" : sf_method_text(result->settles_by));
        csv_text(into, result->reason);
        csv_end_row(into);
    }
}
