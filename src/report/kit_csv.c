/* kit.csv: what to order, one row for parts alike. */
#include "report/csv.h"
#include "report/tables.h"

void kit_csv(const sf_outcome *outcome, text *into)
{
    text_add(into, "count,spares,capacitance_uf,rated_v,rated_c,endurance_h,diameter_mm_max,"
                   "height_mm_max,refs,note\n");
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
        csv_text(into, line->refs);
        csv_text(into, line->note);
        csv_end_row(into);
    }
}
