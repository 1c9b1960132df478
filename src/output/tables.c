/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The columns of the result tables but those of a comparison and of a machine. */
#include "output/tables.h"

#include <math.h>
#include <stdlib.h>

#include "job/places.h"
#include "survey/facts.h"

/* --- field.csv, the temperature in service of every cell of the board --- */

static void cell_record(const void *of, size_t row, record *into)
{
    const sf_outcome *outcome = of;
    sf_grid grid = sf_field_grid(outcome->field);
    size_t cell = row == NO_ROW ? 0 : row;
    if (row != NO_ROW && !grid.inside[cell])
        return;
    sf_point place = cell_centre(&grid, cell);
    record_number(into, "x_mm", place.x_mm, 3);
    record_number(into, "y_mm", place.y_mm, 3);
    record_number(into, "temp_c", outcome->temps_c[cell], 2);
    record_number(into, "temp_sd_k", sf_field_rise_sd_k(outcome->field)[cell], 3);
}

void field_csv(const sf_outcome *outcome, text *into)
{
    sf_grid grid = sf_field_grid(outcome->field);
    records_csv(cell_record, outcome, grid.columns * grid.rows, into);
}

/* --- parts.csv --- */

void part_record(const void *of, size_t row, record *into)
{
    const sf_outcome *outcome = of;
    const sf_part *part = ROW_OF(sf_part, outcome->job->parts, row);
    const sf_part_result *result = ROW_OF(sf_part_result, outcome->results, row);
    const sf_zone *zone = row == NO_ROW ? NULL : part_zone(outcome, row);
    record_words(into, "ref", part->ref);
    record_number(into, "x_mm", part->x_mm, 2);
    record_number(into, "y_mm", part->y_mm, 2);
    record_number(into, "temp_c", result->temp_c, 2);
    record_number(into, "temp_sd_k", result->temp_sd_k, 3);
    record_number(into, "board_c", result->board_c, 2);
    record_number(into, "board_sd_k", result->board_sd_k, 3);
    record_number(into, "life_h", result->life_h, 0);
    record_significant(into, "used", result->used, 4);
    record_significant(into, "used_in_air", result->used_in_air, 4);
    record_significant(into, "used_low", result->used_low, 4);
    record_significant(into, "used_high", result->used_high, 4);
    record_number(into, "past_life", result->past_life, 4);
    record_number(into, "worn_out", result->worn_out, 4);
    record_words(into, "type", sf_part_type_text(part->type));
    record_words(into, "side", body_side_text(part->side));
    record_words(into, "zone", zone ? zone->name : "");
    record_words(into, "verdict", sf_verdict_text(result->verdict));
    record_number(into, "settles", result->settles, 3);
    record_words(into, "settles_by",
                 isnan(result->settles) ? NULL : sf_method_text(result->settles_by));
    record_words(into, "reason", result->reason);
}

void parts_csv(const sf_outcome *outcome, text *into)
{
    records_csv(part_record, outcome, outcome->job->part_count, into);
}

/* --- readings.csv --- */

static void reading_record(const void *of, size_t row, record *into)
{
    const fitted_readings *readings = of;
    const sf_observation *observation = ROW_OF(sf_observation, readings->observations, row);
    const sf_reading_fit *fit = row == NO_ROW ? &(const sf_reading_fit){0} : readings->fits[row];
    record_words(into, "id", observation->id);
    record_number(into, "x_mm", observation->x_mm, 2);
    record_number(into, "y_mm", observation->y_mm, 2);
    record_number(into, "temp_c", observation->temp_c, 2);
    record_number(into, "rise_k", observation->rise_k, 3);
    record_number(into, "u_k", observation->sd_k, 3);
    record_yes_no(into, "in_fit", observation->in_fit);
    record_number(into, "fitted_k", fit->fitted_k.value, 3);
    record_number(into, "fitted_sd_k", fit->fitted_k.sd, 3);
    record_number(into, "left_out_k", fit->left_out_k.value, 3);
    record_number(into, "left_out_sd_k", fit->left_out_k.sd, 3);
    record_number(into, "score", fit->score, 2);
    record_words(into, "remark", observation->remark);
}

void readings_csv(const sf_outcome *outcome, text *into)
{
    fitted_readings of = {outcome->observations, observation_fits(outcome)};
    if (of.fits)
        records_csv(reading_record, &of, outcome->observation_count, into);
    else
        into->failed = true;
    free(of.fits);
}

/* --- sources.csv --- */

void source_record(const void *of, size_t row, record *into)
{
    const sf_outcome *outcome = of;
    size_t count = 0;
    const sf_source_fit *source =
        ROW_OF(sf_source_fit, sf_field_sources(outcome->field, &count), row);
    record_words(into, "ref", source->ref);
    record_yes_no(into, "listed", source->listed);
    record_number(into, "x_mm", source->x_mm, 2);
    record_number(into, "y_mm", source->y_mm, 2);
    record_number(into, "width_mm", source->width_mm, 2);
    record_number(into, "height_mm", source->height_mm, 2);
    record_number(into, "angle_deg", source->angle_deg, 1);
    record_number(into, "rise_k", source->rise_k.value, 3);
    record_number(into, "rise_sd_k", source->rise_k.sd, 3);
    record_significant(into, "power_w", source->power_w.value, 4);
    record_significant(into, "power_sd_w", source->power_w.sd, 4);
    record_number(into, "evidence", source->evidence, 2);
    record_number(into, "probability", source->probability, 3);
    record_yes_no(into, "contradiction", source->contradiction);
    record_words(into, "side",
                 source->listed ? body_side_text(source_side(outcome->job, source)) : NULL);
}

void sources_csv(const sf_outcome *outcome, text *into)
{
    size_t count = 0;
    sf_field_sources(outcome->field, &count);
    records_csv(source_record, outcome, count, into);
}

/* --- zones.csv, the regions of the board by what they do to the commonest part --- */

void zone_record(const void *of, size_t row, record *into)
{
    const sf_zones *zones = of;
    const sf_zone *zone = ROW_OF(sf_zone, zones->zones, row);
    record_words(into, "zone", zone->name);
    record_words(into, "kind", sf_zone_kind_text(zone->kind));
    record_number(into, "area_mm2", zone->area_mm2, 0);
    record_number(into, "peak_c", zone->peak_c, 2);
    record_number(into, "peak_x_mm", zone->peak_x_mm, 2);
    record_number(into, "peak_y_mm", zone->peak_y_mm, 2);
    record_count(into, "parts", zone->parts);
    record_count(into, "replace", zone->verdicts[SF_REPLACE]);
    record_count(into, "check", zone->verdicts[SF_CHECK]);
    record_count(into, "leave", zone->verdicts[SF_LEAVE]);
    record_words(into, "sentence", zone->sentence);
}

void zones_csv(const sf_outcome *outcome, text *into)
{
    records_csv(zone_record, outcome->zones, outcome->zones->count, into);
}

/* --- kit.csv, order.csv --- */

void kit_record(const void *of, size_t row, record *into)
{
    const sf_kit *kit = of;
    const sf_kit_line *line = ROW_OF(sf_kit_line, kit->lines, row);
    record_count(into, "count", line->count);
    record_count(into, "spares", line->spares);
    record_short(into, "capacitance_uf", line->capacitance_uf);
    record_short(into, "rated_v", line->rated_v);
    record_number(into, "rated_c", line->rated_c, 0);
    record_number(into, "endurance_h", line->endurance_h, 0);
    record_number(into, "diameter_mm_max", line->diameter_mm_max, 1);
    record_number(into, "height_mm_max", line->height_mm_max, 1);
    record_words(into, "type", sf_part_type_text(line->type));
    record_words(into, "mount", line->mount == SF_FORM_UNKNOWN ? "" : sf_form_text(line->mount));
    record_short(into, "lead_pitch_mm", line->lead_pitch_mm);
    record_short(into, "ripple_a_min", line->ripple_a_min);
    record_short(into, "esr_ohm_max", line->esr_ohm_max);
    record_yes_no(into, "low_esr", line->low_esr);
    record_words(into, "description", line->description);
    record_words(into, "refs", line->refs);
    record_words(into, "note", line->note);
}

/* The part number is the buyer's to fill in; who sells none under it sells by the description. */
void order_record(const void *of, size_t row, record *into)
{
    const sf_kit *kit = of;
    const sf_kit_line *line = ROW_OF(sf_kit_line, kit->lines, row);
    record_count(into, "position", row + 1);
    record_count(into, "quantity", line->count + line->spares);
    record_words(into, "part_number", "");
    record_words(into, "description", line->description);
    record_words(into, "reference", line->refs);
}

void kit_csv(const sf_outcome *outcome, text *into)
{
    records_csv(kit_record, outcome->kit, outcome->kit->count, into);
}

void order_csv(const sf_outcome *outcome, text *into)
{
    records_csv(order_record, outcome->kit, outcome->kit->count, into);
}
