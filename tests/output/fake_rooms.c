/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the output asks of the other rooms, answered from the sample alone, so that these tests
 * stand or fall with the output room. */
#include <math.h>
#include <stddef.h>

#include "core/text.h"
#include "output/sample.h"

sf_grid sf_field_grid(const sf_field *field)
{
    return field->grid;
}

const double *sf_field_rise_k(const sf_field *field)
{
    return field->rise_k;
}

const double *sf_field_rise_sd_k(const sf_field *field)
{
    return field->rise_sd_k;
}

sf_field_summary sf_field_summarize(const sf_field *field)
{
    return field->summary;
}

const sf_source_fit *sf_field_sources(const sf_field *field, size_t *count)
{
    *count = field->source_count;
    return field->sources;
}

const sf_reading_fit *sf_field_readings(const sf_field *field, size_t *count)
{
    *count = field->reading_count;
    return field->readings;
}

sf_status sf_field_at(const sf_field *field, double x_mm, double y_mm, sf_estimate *rise_k)
{
    (void)x_mm;
    (void)y_mm;
    *rise_k = (sf_estimate){field->rise_k[0], field->rise_sd_k[0]};
    return SF_OK;
}

size_t sf_field_piece(const sf_field *field, double x_mm, double y_mm)
{
    (void)y_mm;
    return field->pieces > 1 && x_mm > field->cut_mm;
}

size_t sf_field_piece_count(const sf_field *field)
{
    return field->pieces > 1 ? field->pieces : 1;
}

const char *sf_verdict_text(sf_verdict verdict)
{
    static const char *const words[] = {"leave", "check", "replace"};
    return words[verdict];
}

const char *sf_zone_kind_text(sf_zone_kind kind)
{
    static const char *const words[] = {"cool", "warm", "hot"};
    return words[kind];
}

/* Tells which parts were asked about; nothing of a first part without a name. */
char *sf_parts_place(const sf_job *job, const size_t *parts, size_t count)
{
    text told = {0};
    for (size_t i = 0; i < count && job->parts[parts[0]].ref[0]; i++)
        text_addf(&told, i == 0 ? "by %s" : " %s", job->parts[parts[i]].ref);
    return text_take(&told);
}

const char *sf_laminate_text(sf_laminate laminate)
{
    static const char *const words[] = {"FR-1", "FR-2", "CEM-1", "CEM-3", "FR-4"};
    return words[laminate];
}

const char *sf_air_text(sf_air air)
{
    static const char *const words[] = {"still", "enclosed", "forced"};
    return words[air];
}

const char *sf_method_text(sf_method method)
{
    static const char *const words[] = {"thermocouple-K", "thermocouple-J", "thermocouple-T",
                                        "infrared"};
    return words[method];
}

const char *sf_part_type_text(sf_part_type type)
{
    return type == SF_TYPE_ALUMINIUM ? "aluminium" : "tantalum";
}

const char *sf_form_text(sf_form form)
{
    return form == SF_FORM_RADIAL ? "radial" : "unknown";
}

double sf_life_doubling_k(sf_part_type type)
{
    return type == SF_TYPE_ALUMINIUM ? 10 : (double)NAN;
}

sf_grade_found sample_grades[2];

void sf_grades_measured(const sf_job *job, const sf_part_result *results, sf_grade_found found[2])
{
    (void)job;
    (void)results;
    found[0] = sample_grades[0];
    found[1] = sample_grades[1];
}

const char *sf_spot_text(sf_spot spot)
{
    static const char *const words[] = {"board", "part", "source"};
    return words[spot];
}

sf_policy sf_policy_default(void)
{
    return (sf_policy){.case_offset_sd_k = 1.5,
                       .past_life_check = 0.05,
                       .past_life_critical = 0.05,
                       .used_middling = 0.5,
                       .past_life_replace = 0.5,
                       .seal_years = 15,
                       .life_cap_h = 131400,
                       .kit_margin = 1.25,
                       .zone_warm_used = 0.25,
                       .zone_hot_pct = 15,
                       .zone_cool_pct = 50,
                       .work_minutes = 12,
                       .slip_pct = 1};
}

const sf_policy_key *sf_policy_keys(void)
{
    static const sf_policy_key keys[] = {
        {"case_offset_sd_k", "K", offsetof(sf_policy, case_offset_sd_k), 0, 20, 1.5,
         "doubt of the case against the board under it", "invented for this sample"},
        {"past_life_check", "", offsetof(sf_policy, past_life_check), 0, 1, 0.05,
         "chance of a used-up life from which a part is checked", "invented for this sample"},
        {"past_life_replace", "", offsetof(sf_policy, past_life_replace), 0, 1, 0.5,
         "chance of a used-up life from which a part is replaced", "invented for this sample"},
        {"seal_years", "a", offsetof(sf_policy, seal_years), 0, 100, 15,
         "age from which seals are past guidance", "common practice, no source"},
        {"life_cap_h", "h", offsetof(sf_policy, life_cap_h), 1, 1e6, 131400,
         "longest life reported", "common practice, no source"},
        {NULL, NULL, 0, 0, 0, 0, NULL, NULL}};
    return keys;
}
