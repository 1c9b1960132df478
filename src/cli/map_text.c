/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The outcome of a mapping for a person at a terminal. */
#include "cli/told.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/message.h"
#include "core/digits.h"

static void put_error(double rmse_k, const char *model, FILE *to)
{
    if (isnan(rmse_k))
        fprintf(to, "%s could not be fitted", model);
    else
        fprintf(to, "%.2f K by %s", rmse_k, model);
}

static void put_errors(const sf_outcome *outcome, FILE *to)
{
    sf_field_summary summary = sf_field_summarize(outcome->field);
    double error_k = sf_outcome_part_error_k(outcome);
    if (isfinite(error_k))
        fprintf(to, "Expected error at a part: %.1f K.\n", error_k);
    fputs("Left-out error, for comparing models: ", to);
    put_error(summary.left_out_rmse_k, summary.model, to);
    for (size_t i = 0; i < outcome->reference_count; i++) {
        fputs(", ", to);
        put_error(outcome->references[i].rmse_k, outcome->references[i].model, to);
    }
    if (summary.readings > SF_REFERENCE_READINGS_MOST)
        fprintf(to, ", the last two from %d of the readings", SF_REFERENCE_READINGS_MOST);
    fputs(".\n", to);
}

/* The list, and a blank line. */
static bool put_findings(const sf_outcome *outcome, FILE *to)
{
    sf_finding *findings;
    size_t count;
    if (sf_outcome_findings(outcome, &findings, &count) != SF_OK)
        return false;
    fputs(count > 0 ? "Look first:\n" : "", to);
    for (size_t i = 0; i < count; i++)
        say(to, "- %s\n", findings[i].words);
    fputs(count > 0 ? "\n" : "", to);
    sf_findings_free(findings, count);
    return true;
}

static void put_thermogram(const sf_pixels *pixels, FILE *to)
{
    if (pixels)
        fprintf(to, "Thermogram: %s pixels on bare board, marks within %.1f mm.\n",
                whole_told((double)pixels->count).bytes, pixels->marks_rms_mm);
}

/* Beside the zones, which are of the board's own heat. */
static void put_life_bound(const sf_zones *zones, FILE *to)
{
    if (isfinite(zones->hot_from_c))
        fprintf(
            to,
            "The commonest part here (%s h at %g C) is past its rated life at %.0f C and above.\n",
            number_told(zones->endurance_h).bytes, zones->rated_c, zones->hot_from_c);
}

/* Those with parts in them, and a blank line; zones.csv has them all. */
static void put_zones(const sf_zones *zones, FILE *to)
{
    size_t put = 0;
    for (size_t i = 0; i < zones->count; i++) {
        const sf_zone *zone = &zones->zones[i];
        if (zone->parts == 0)
            continue;
        say(to, "%s, up to %.0f C: %s\n", zone->name, zone->peak_c, zone->sentence);
        put++;
    }
    put_life_bound(zones, to);
    if (put > 0)
        putc('\n', to);
}

static void put_next(const sf_outcome *outcome, const sf_prospect *of, FILE *to)
{
    if (isnan(of->next_h)) {
        fputs("none left", to);
        return;
    }
    say(to, "%s %s h", outcome->job->parts[of->next_part].ref, whole_told(of->next_h).bytes);
    if (isfinite(of->next_years))
        fprintf(to, ", %.1f years", of->next_years);
}

/* A table, and a blank line; nothing where nothing was asked. */
static void put_what_ifs(const sf_outcome *outcome, FILE *to)
{
    if (outcome->what_if_count == 0)
        return;
    fputs("What if       replace  check  leave  worn out  next past its rated life\n", to);
    for (size_t i = 0; i < outcome->what_if_count; i++) {
        const sf_prospect *of = &outcome->what_ifs[i].prospect;
        say(to, "%s:\n%21zu%7zu%7zu", outcome->what_ifs[i].asked, of->verdicts[SF_REPLACE],
            of->verdicts[SF_CHECK], of->verdicts[SF_LEAVE]);
        if (isnan(of->worn_out))
            fputs("   unknown  ", to);
        else
            fprintf(to, "%10.1f  ", of->worn_out);
        put_next(outcome, of, to);
        putc('\n', to);
    }
    putc('\n', to);
}

/* A paragraph, and a blank line. */
static bool put_why_not_all(const sf_outcome *outcome, FILE *to)
{
    char *words = sf_outcome_why_not_all(outcome);
    if (!words)
        return false;
    if (words[0])
        say(to, "Why not all of them: %s\n\n", words);
    free(words);
    return true;
}

bool map_text_write(const sf_outcome *outcome, const char *results_folder, FILE *to)
{
    char *sentence = sf_outcome_sentence(outcome);
    if (!sentence)
        return false;
    say(to,
        "%s\n\nReplacing everything would take %zu parts; this leaves %zu of them in place.\n\n",
        sentence, outcome->job->part_count, outcome->kit->checked + outcome->kit->left);
    free(sentence);
    if (!put_findings(outcome, to) || !put_why_not_all(outcome, to))
        return false;
    put_zones(outcome->zones, to);
    put_what_ifs(outcome, to);
    put_errors(outcome, to);
    put_thermogram(outcome->pixels, to);
    put_path(to, "Heat map: ", results_folder, "heat.png");
    put_path(to, "Report:   ", results_folder, "report.html");
    putc('\n', to);
    put_caution(to);
    return true;
}

/* --- line by line, so that words from files stay harmless on a terminal --- */

static void put_lines(char *lines, FILE *to)
{
    for (char *end; (end = strchr(lines, '\n')); lines = end + 1) {
        *end = '\0';
        say(to, "%s\n", lines);
    }
}

bool explain_text_write(const sf_outcome *outcome, const size_t *parts, size_t count, FILE *to)
{
    for (size_t i = 0; i < count; i++) {
        char *said = NULL;
        if (sf_outcome_explain(outcome, parts[i], &said) != SF_OK)
            return false;
        put_lines(said, to);
        putc('\n', to);
        free(said);
    }
    put_caution(to);
    return true;
}
