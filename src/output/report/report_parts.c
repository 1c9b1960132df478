/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The table of parts, worst first, with what sorts and filters it. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"

/* The little scale of life used runs to this many rated lives, and is so many units wide. */
static const double scale_lives = 2, scale_width = 90, scale_start = 5;

static double on_scale(double used)
{
    return scale_start + fmin(fmax(used, 0), scale_lives) / scale_lives * scale_width;
}

/* The interval as a line, the median as a dot, a tick where the rated life ends. */
static void add_scale(const sf_part_result *result, text *into)
{
    text_addf(into,
              "<svg class=\"life\" viewBox=\"0 0 100 14\" aria-hidden=\"true\">"
              "<path class=\"tick\" d=\"M%.0f 1V13\"></path>"
              "<path class=\"span\" d=\"M%.0f 7H%.0f\"></path>"
              "<circle cx=\"%.0f\" cy=\"7\" r=\"4\"></circle></svg>",
              on_scale(1), on_scale(result->used_low), on_scale(result->used_high),
              on_scale(result->used));
}

static void add_used(const sf_part_result *result, text *into)
{
    text_add(into, "<td class=\"number\"");
    html_sort_key(into, result->used);
    text_add(into, ">");
    html_percent(into, result->used);
    if (isfinite(result->used)) {
        text_add(into, " % <span class=\"sd\">");
        html_percent(into, result->used_low);
        text_add(into, " to ");
        html_percent(into, result->used_high);
        text_add(into, "</span>");
        add_scale(result, into);
    }
    text_add(into, "</td>");
}

static void add_marking(const sf_part *part, const sf_part_result *result, text *into)
{
    text_add(into, "<span class=\"marking\">");
    if (isfinite(part->capacitance_uf)) {
        html_short(into, part->capacitance_uf);
        text_add(into, " \u00B5F ");
    }
    if (isfinite(part->rated_v)) {
        html_short(into, part->rated_v);
        text_add(into, " V");
    }
    text_add(into, "</span><span class=\"marking\">");
    html_short(into, part->rated_c);
    text_add(into, " \u00B0C, ");
    html_grouped(into, result->endurance_h);
    text_add(into, result->endurance_assumed ? " h assumed" : " h");
    text_add(into, "</span>");
    if (part->critical)
        text_add(into, " <span class=\"critical\">critical</span>");
}

static void add_left(const sf_part_result *result, double seal_years, text *into)
{
    text_add(into, "<td class=\"number\"");
    html_sort_key(into, result->left_h);
    text_add(into, ">");
    if (result->left_h <= 0) {
        text_add(into, "none");
    } else if (result->age_years >= seal_years) {
        text_add(into, "past seals");
    } else if (result->left_years >= 0.1) {
        html_number(into, result->left_years, result->left_years < 10 ? 1 : 0);
        text_add(into, " years");
    } else {
        html_grouped(into, result->left_h);
        text_add(into, isfinite(result->left_h) ? " h" : "");
    }
    text_add(into, "</td>");
}

static void add_verdict(const sf_part_result *result, const sf_zone *zone, text *into)
{
    const char *verdict = sf_verdict_text(result->verdict);
    text_addf(into, "<td data-sort=\"%d\"><span class=\"verdict %s\">", (int)result->verdict,
              verdict);
    report_mark(into, result->verdict);
    text_addf(into, " %s</span>", verdict);
    if (zone) {
        text_add(into, "<span class=\"zone\">");
        html_text(into, zone->name);
        text_add(into, "</span>");
    }
    text_add(into, "</td>");
}

static void add_part(const report *shown, size_t index, text *into)
{
    const sf_part *part = &shown->outcome->job->parts[index];
    const sf_part_result *result = &shown->outcome->results[index];
    text_addf(into,
              "<tr id=\"part-%zu\" data-part=\"%zu\" data-verdict=\"%s\">"
              "<th scope=\"row\"><a href=\"#ring-%zu\">",
              index + 1, index + 1, sf_verdict_text(result->verdict), index + 1);
    html_text(into, part->ref);
    text_add(into, "</a> ");
    add_marking(part, result, into);
    text_add(into, "</th>");
    add_verdict(result, part_zone(shown->outcome, index), into);
    html_cell_estimate(into, result->temp_c, result->temp_sd_k, 1);
    add_used(result, into);
    text_add(into, "<td class=\"number\"");
    html_sort_key(into, result->past_life);
    text_add(into, ">");
    html_chance(into, result->past_life);
    text_add(into, "</td>");
    add_left(result, shown->outcome->job->policy.seal_years, into);
    html_cell_sentence(into, result->reason);
    text_add(into, "</tr>\n");
}

static void add_choice(const report *shown, sf_verdict verdict, text *into)
{
    const char *word = sf_verdict_text(verdict);
    text_addf(into, "<label><input type=\"checkbox\" value=\"%s\" checked> ", word);
    report_mark(into, verdict);
    text_addf(into, " %s (%zu)</label>\n", word, shown->counts[verdict]);
}

/* Shown by the script, for which they are made. */
static void add_filters(const report *shown, text *into)
{
    text_add(into, "<div class=\"filters\" role=\"search\" aria-label=\"Parts\" hidden>\n"
                   "<fieldset>\n<legend>Show</legend>\n");
    add_choice(shown, SF_REPLACE, into);
    add_choice(shown, SF_CHECK, into);
    add_choice(shown, SF_LEAVE, into);
    text_add(into, "</fieldset>\n<label class=\"find\">Find <input type=\"search\" "
                   "placeholder=\"reference, zone, reason\"></label>\n"
                   "<p class=\"shown\" role=\"status\"></p>\n</div>\n");
}

static void add_headings(text *into)
{
    report_heading(into, "Part", "name", true);
    report_heading(into, "Verdict, zone", "word", true);
    report_heading(into, "Temperature, \u00B0C", "number", true);
    report_heading(into, "Rated life used", "number", true);
    report_heading(into, "Chance that it is used up", "number", true);
    report_heading(into, "Left at this use", "number", true);
    report_heading(into, "Why", "prose", false);
    text_add(into, "</tr></thead>\n<tbody>\n");
}

void report_parts(const report *shown, text *into)
{
    size_t parts = shown->outcome->job->part_count;
    if (parts == 0) {
        text_add(into, "<p>No part is listed in parts.csv.</p>\n");
        return;
    }
    text_add(into,
             "<p>Temperature of the case in service with one standard deviation; share of "
             "the rated life used with its 90 % interval, on a scale from none to twice the "
             "rated life with a tick where it ends. \u2018Past seals\u2019: older than seals are "
             "advised to be, so that no years are given.</p>\n");
    if (parts > REPORT_ROWS_MAX)
        text_addf(into, "<p>The worst %d of %zu; all of them are in parts.csv.</p>\n",
                  REPORT_ROWS_MAX, parts);
    add_filters(shown, into);
    text_add(into, "<div class=\"beside\">\n<div class=\"locator\" aria-hidden=\"true\" hidden>"
                   "</div>\n");
    report_table_open(into, "part-list",
                      "Parts by verdict, then by the chance that their rated life is all used");
    add_headings(into);
    for (size_t i = 0; i < parts && i < REPORT_ROWS_MAX; i++)
        add_part(shown, shown->order[i], into);
    report_table_close(into);
    text_add(into, "</div>\n");
}
