/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Putting a comparison into words and into JSON. */
#include "cli/told.h"

#include <math.h>
#include <stdlib.h>

#include "cli/message.h"
#include "core/folders.h"
#include "core/json_values.h"

enum { SCHEMA = 3, NAMED_MOST = 12 };

static const char *const files[] = {"compare.csv", "difference.png", "compare.html"};

/* --- words --- */

static bool put_sentence(char *sentence, FILE *to)
{
    if (!sentence)
        return false;
    say(to, "%s\n\n", sentence);
    free(sentence);
    return true;
}

/* First of all what became hotter. */
static bool put_alarm(const sf_comparison *of, FILE *to)
{
    char *alarm = sf_comparison_alarm(of);
    if (alarm && alarm[0])
        return put_sentence(alarm, to);
    free(alarm);
    return alarm != NULL;
}

static void put_parts(const compared *told, sf_change change, FILE *to)
{
    size_t count = told->found->changes[change], put = 0;
    if (count == 0)
        return;
    fprintf(to, "%s by more than the uncertainty:\n",
            change == SF_CHANGE_HOTTER ? "Hotter" : "Cooler");
    for (size_t i = 0; i < told->found->part_count && put < NAMED_MOST; i++) {
        const sf_part_change *pair = &told->found->parts[i];
        if (pair->change != change)
            continue;
        say(to, "  %s  %+.1f +/- %.1f K, now %.0f C in service\n", pair_part(told, pair)->ref,
            pair->change_k.value, pair->change_k.sd, pair->temp_after_c);
        put++;
    }
    if (count > put)
        fprintf(to, "  and %zu more in compare.csv\n", count - put);
    putc('\n', to);
}

static void put_table(const sf_agreement *of, FILE *to)
{
    static const sf_verdict rows[] = {SF_REPLACE, SF_LEAVE, SF_CHECK};
    fputs("Parts by heat and meter       worn    fine  undecided  not measured\n", to);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const size_t *counts = of->counts[rows[i]];
        fprintf(to, "  heat alone said %-8s %8zu%8zu%11zu%14zu\n", sf_verdict_text(rows[i]),
                counts[SF_METER_WORN], counts[SF_METER_FINE], counts[SF_METER_UNDECIDED],
                counts[SF_METER_NOTHING]);
    }
    putc('\n', to);
}

static void put_fit(const char *which, const sf_outcome *of, FILE *to)
{
    sf_field_summary fit = sf_field_summarize(of->field);
    fprintf(to, "Left-out error %s %.2f K, %zu readings.\n", which, fit.left_out_rmse_k,
            fit.readings);
}

bool compare_text_write(const compared *told, const char *results_folder, FILE *to)
{
    const sf_agreement *agreement = &told->found->agreement;
    if (!put_alarm(told->found, to) || !put_sentence(sf_comparison_sentence(told->found), to))
        return false;
    put_parts(told, SF_CHANGE_HOTTER, to);
    put_parts(told, SF_CHANGE_COOLER, to);
    put_table(agreement, to);
    if (!put_sentence(sf_agreement_sentence(agreement), to))
        return false;
    put_fit("before", told->before, to);
    put_fit("after ", told->after, to);
    put_path(to, "Table: ", results_folder, files[0]);
    put_path(to, "Map:   ", results_folder, files[1]);
    put_path(to, "Page:  ", results_folder, files[2]);
    putc('\n', to);
    put_caution(to);
    return true;
}

/* --- JSON --- */

static void heat_change_record(const void *of, size_t row, record *into)
{
    const sf_heat_change *changes = of, *change = &changes[row];
    record_words(into, "ref", change->ref);
    record_short(into, "rise_before_k", change->before_k.value);
    record_short(into, "rise_after_k", change->after_k.value);
    record_short(into, "change_k", change->change_k.value);
    record_short(into, "change_sd_k", change->change_k.sd);
    record_words(into, "change", sf_change_text(change->change));
}

static json_t *sentence_json(char *sentence)
{
    json_t *made = sentence ? value_words(sentence) : NULL;
    free(sentence);
    return made;
}

static json_t *counts_json(const size_t counts[SF_METER_COUNT])
{
    return json_pack("{s:o, s:o, s:o, s:o}", "worn", value_count(counts[SF_METER_WORN]), "fine",
                     value_count(counts[SF_METER_FINE]), "undecided",
                     value_count(counts[SF_METER_UNDECIDED]), "not_measured",
                     value_count(counts[SF_METER_NOTHING]));
}

static json_t *agreement_json(const sf_agreement *of)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "sentence",
                     sentence_json(sf_agreement_sentence(of)), "replace",
                     counts_json(of->counts[SF_REPLACE]), "leave",
                     counts_json(of->counts[SF_LEAVE]), "check", counts_json(of->counts[SF_CHECK]),
                     "pulled", value_count(of->pulled), "decided", value_count(of->decided),
                     "agree", value_count(of->agree), "agree_low", value_number(of->low),
                     "agree_high", value_number(of->high));
}

static json_t *summary_json(const sf_comparison *of)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "alarm",
                     sentence_json(sf_comparison_alarm(of)), "sentence",
                     sentence_json(sf_comparison_sentence(of)), "hotter",
                     value_count(of->changes[SF_CHANGE_HOTTER]), "cooler",
                     value_count(of->changes[SF_CHANGE_COOLER]), "within_doubt",
                     value_count(of->changes[SF_CHANGE_DOUBTFUL]), "one_survey_only",
                     value_count(of->changes[SF_CHANGE_UNKNOWN]), "mean_change_k",
                     value_number(of->mean_change_k), "area_mm2", value_number(of->area_mm2),
                     "hotter_mm2", value_number(of->hotter_mm2), "cooler_mm2",
                     value_number(of->cooler_mm2), "shared_pct", value_number(100 * of->shared));
}

static json_t *survey_json(const sf_outcome *of)
{
    sf_field_summary fit = sf_field_summarize(of->field);
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o}", "job", value_words(of->job->folder), "surveyed",
        value_words(of->job->board.surveyed), "readings", value_count(fit.readings),
        "left_out_rmse_k", value_number(fit.left_out_rmse_k), "length_mm",
        value_number(fit.length_mm.value), "noise_factor", value_number(fit.noise_factor));
}

bool compare_json_write(const compared *told, const char *folder, const sf_diagnostics *diagnostics,
                        FILE *to)
{
    json_t *paths = json_pack("{s:o, s:o, s:o}", files[0], value_path(folder, files[0]), files[1],
                              value_path(folder, files[1]), files[2], value_path(folder, files[2]));
    const sf_comparison *of = told->found;
    json_t *made =
        json_pack("{s:i, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "schema", SCHEMA, "before",
                  survey_json(told->before), "after", survey_json(told->after), "summary",
                  summary_json(told->found), "agreement", agreement_json(&told->found->agreement),
                  "sources", records_json(heat_change_record, of->sources, of->source_count),
                  "readings", records_json(heat_change_record, of->readings, of->reading_count),
                  "parts", records_json(change_record, told, of->part_count), "warnings",
                  list_diagnostics(diagnostics), "files", paths);
    return json_write(made, to);
}
