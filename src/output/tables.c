/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The result tables but those of a comparison, and the cells they are made of. */
#include "output/tables.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/digits.h"
#include "survey/facts.h"

/* --- cells --- */

/* Cells of the result tables. A cell is written with a comma after it; the end of the row turns
 * the last comma into a line feed. */

static bool reads_as_formula(const char *words)
{
    return words[0] != '\0' && strchr("=+-@\t\r\n", words[0]) != NULL;
}

/* Separators of other locales and outer blanks are quoted too: some readers would split or trim. */
static bool needs_quotes(const char *words)
{
    size_t length = strlen(words);
    return strpbrk(words, "\",;\t\r\n") != NULL ||
           (length > 0 && (words[0] == ' ' || words[length - 1] == ' '));
}

void csv_text(text *into, const char *words)
{
    bool quoted = needs_quotes(words);
    if (quoted)
        text_add(into, "\"");
    if (reads_as_formula(words))
        text_add(into, "'");
    for (const char *rest = words; *rest;) {
        size_t plain = strcspn(rest, "\"");
        text_add_bytes(into, rest, plain);
        rest += plain;
        if (*rest == '"') {
            text_add(into, "\"\"");
            rest++;
        }
    }
    text_add(into, quoted ? "\"," : ",");
}

void csv_number(text *into, double value, int decimals)
{
    number_add(into, value, decimals);
    text_add(into, ",");
}

void csv_significant(text *into, double value, int digits)
{
    number_add_significant(into, value, digits);
    text_add(into, ",");
}

void csv_short(text *into, double value)
{
    number_add_short(into, value);
    text_add(into, ",");
}

void csv_count(text *into, size_t count)
{
    text_addf(into, "%zu,", count);
}

void csv_yes_no(text *into, bool yes)
{
    text_add(into, yes ? "yes," : "no,");
}

void csv_end_row(text *into)
{
    if (!into->failed && into->length > 0)
        into->bytes[into->length - 1] = '\n';
}

/* --- field.csv, the temperature in service of every cell of the board --- */

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

/* --- parts.csv --- */

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

/* --- readings.csv --- */

static void add_fit(text *into, const sf_reading_fit *fit)
{
    csv_number(into, fit->fitted_k.value, 3);
    csv_number(into, fit->fitted_k.sd, 3);
    csv_number(into, fit->left_out_k.value, 3);
    csv_number(into, fit->left_out_k.sd, 3);
    csv_number(into, fit->score, 2);
}

void readings_csv(const sf_outcome *outcome, text *into)
{
    text_add(into, "id,x_mm,y_mm,temp_c,rise_k,u_k,in_fit,fitted_k,fitted_sd_k,left_out_k,"
                   "left_out_sd_k,score,remark\n");
    const sf_reading_fit **fits = observation_fits(outcome);
    into->failed = into->failed || !fits;
    for (size_t i = 0; fits && i < outcome->observation_count; i++) {
        const sf_observation *observation = &outcome->observations[i];
        csv_text(into, observation->id);
        csv_number(into, observation->x_mm, 2);
        csv_number(into, observation->y_mm, 2);
        csv_number(into, observation->temp_c, 2);
        csv_number(into, observation->rise_k, 3);
        csv_number(into, observation->sd_k, 3);
        csv_yes_no(into, observation->in_fit);
        add_fit(into, fits[i]);
        csv_text(into, observation->remark);
        csv_end_row(into);
    }
    free(fits);
}

/* --- sources.csv --- */

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

/* --- zones.csv, the regions of the board by what they do to the commonest part --- */

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

/* --- kit.csv, order.csv --- */

void kit_lines_csv(const sf_kit *kit, text *into)
{
    text_add(into, "count,spares,capacitance_uf,rated_v,rated_c,endurance_h,diameter_mm_max,"
                   "height_mm_max,type,mount,lead_pitch_mm,ripple_a_min,esr_ohm_max,low_esr,"
                   "description,refs,note\n");
    for (size_t i = 0; i < kit->count; i++) {
        const sf_kit_line *line = &kit->lines[i];
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
void order_lines_csv(const sf_kit *kit, text *into)
{
    text_add(into, "position,quantity,part_number,description,reference\n");
    for (size_t i = 0; i < kit->count; i++) {
        const sf_kit_line *line = &kit->lines[i];
        csv_count(into, i + 1);
        csv_count(into, line->count + line->spares);
        csv_text(into, "");
        csv_text(into, line->description);
        csv_text(into, line->refs);
        csv_end_row(into);
    }
}

void kit_csv(const sf_outcome *outcome, text *into)
{
    kit_lines_csv(outcome->kit, into);
}

void order_csv(const sf_outcome *outcome, text *into)
{
    order_lines_csv(outcome->kit, into);
}
