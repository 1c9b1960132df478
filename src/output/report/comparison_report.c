/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* compare.html: two surveys of one board on one page, of the family of report.html. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "output/comparison.h"
#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

/* --- the head --- */

static void add_sentence(text *into, const char *class_name, char *sentence)
{
    text_addf(into, "<p class=\"%s\">", class_name);
    if (sentence)
        html_sentence(into, sentence);
    else
        into->failed = true;
    text_add(into, "</p>\n");
    free(sentence);
}

/* How many parts changed in large letters, the rest in smaller ones. */
static void add_headline(const compared *shown, text *into)
{
    char *sentences = sf_comparison_sentence(shown->found);
    char *end = sentences ? strstr(sentences, ". ") : NULL;
    char *rest = end ? text_copy(end + 2) : NULL;
    if (end)
        end[1] = '\0';
    add_sentence(into, "sentence", sentences);
    add_sentence(into, "why", rest);
}

/* What became hotter comes before all else. */
static void add_alarm(const compared *shown, text *into)
{
    char *alarm = sf_comparison_alarm(shown->found);
    if (alarm && alarm[0]) {
        add_sentence(into, "alarm", alarm);
        return;
    }
    into->failed = into->failed || !alarm;
    free(alarm);
}

static void add_survey(text *into, const char *which, const sf_outcome *of)
{
    const sf_board *board = &of->job->board;
    html_addf(into, COMPARE_SURVEY, which, board->surveyed[0] ? board->surveyed : "not dated",
              board->ambient_c, sf_service_air_c(of->job));
}

static void add_header(const compared *shown, text *into)
{
    html_addf(into,
              "<header>\n<p class=\"kind\">Two surveys of one board compared</p>\n<h1>%s</h1>\n",
              board_name(shown->after->job));
    add_alarm(shown, into);
    add_headline(shown, into);
    add_sentence(into, "why", sf_agreement_sentence(&shown->found->agreement));
    text_add(into, "<dl class=\"facts\">\n");
    add_survey(into, "Before", shown->before);
    add_survey(into, "After", shown->after);
    text_add(into, "</dl>\n");
    report_warning("the board", into);
    text_add(into, "</header>\n");
}

/* --- the change --- */

static void add_map(const compared *shown, text *into)
{
    html_addf(into, COMPARE_MAP_PICTURE, shown->frame.width_px, shown->frame.height_px,
              shown->found->mean_change_k);
    html_png(into, shown->png, shown->png_size);
    text_add(into, COMPARE_MAP_CAPTION);
}

/* Most certain changes first, unknown ones last. */
static double weight(const sf_part_change *pair)
{
    double score = fabs(pair->change_k.value) / pair->change_k.sd;
    return isnan(score) ? -1 : score;
}

static int compare_weights(const void *one, const void *other)
{
    const sf_part_change *const *a = one, *const *b = other;
    double first = weight(*a), second = weight(*b);
    return first != second ? (first < second) - (first > second) : (*a > *b) - (*a < *b);
}

static void add_heat_word(text *into, const sf_part_change *pair)
{
    text_add(into, "<td>");
    if (pair->heat_known) {
        report_mark(into, pair->heat);
        text_addf(into, " %s", sf_verdict_text(pair->heat));
    }
    text_add(into, "</td>");
}

static void add_meter_word(text *into, const sf_part_change *pair)
{
    text_addf(into, "<td>%s", sf_meter_finding_text(pair->meter));
    if (isfinite(pair->reading_pct))
        html_addf(into, ", %s%.0f %%", pair->reading_pct > 0 ? "+" : "", pair->reading_pct);
    text_addf(into, "%s</td>", pair->pulled ? ", pulled" : "");
}

static void add_part(const compared *shown, const sf_part_change *pair, text *into)
{
    bool told = pair->change == SF_CHANGE_HOTTER || pair->change == SF_CHANGE_COOLER;
    html_addf(into, "<tr><th scope=\"row\">%s</th>", pair_part(shown, pair)->ref);
    text_addf(into, "<td%s>%s</td>", told ? " class=\"outlier\"" : "",
              pair->change == SF_CHANGE_UNKNOWN ? "in one survey only"
                                                : sf_change_text(pair->change));
    html_cell_estimate(into, pair->change_k.value, pair->change_k.sd, 1);
    html_cell_estimate(into, pair->rise_before_k.value, pair->rise_before_k.sd, 1);
    html_cell_estimate(into, pair->rise_after_k.value, pair->rise_after_k.sd, 1);
    add_heat_word(into, pair);
    add_meter_word(into, pair);
    text_add(into, "</tr>\n");
}

static void add_parts(const compared *shown, text *into)
{
    size_t count = shown->found->part_count;
    const sf_part_change **order = array_new(count, sizeof *order);
    if (!order) {
        into->failed = true;
        return;
    }
    for (size_t i = 0; i < count; i++)
        order[i] = &shown->found->parts[i];
    qsort(order, count, sizeof *order, compare_weights);
    if (count > REPORT_ROWS_MAX)
        text_addf(into, "<p>The first %d of %zu; all of them are in compare.csv.</p>\n",
                  REPORT_ROWS_MAX, count);
    report_table_open(into, "part-list",
                      "Parts, most certain change first; rises with one standard deviation",
                      COMPARE_HEADINGS);
    for (size_t i = 0; i < count && i < REPORT_ROWS_MAX; i++)
        add_part(shown, order[i], into);
    report_table_close(into);
    free(order);
}

/* --- heat against meter, fit, basis --- */

static void add_count_row(const compared *shown, sf_verdict heat, text *into)
{
    const size_t *counts = shown->found->agreement.counts[heat];
    text_add(into, "<tr><th scope=\"row\">");
    report_mark(into, heat);
    text_addf(into, COMPARE_COUNT_ROW, sf_verdict_text(heat), counts[SF_METER_WORN],
              counts[SF_METER_FINE], counts[SF_METER_UNDECIDED], counts[SF_METER_NOTHING]);
}

static void add_meter(const compared *shown, text *into)
{
    text_add(into, COMPARE_METER);
    report_table_open(into, "agreement", "Parts by heat and meter", COMPARE_METER_HEADINGS);
    add_count_row(shown, SF_REPLACE, into);
    add_count_row(shown, SF_LEAVE, into);
    add_count_row(shown, SF_CHECK, into);
    report_table_close(into);
    add_sentence(into, "sum", sf_agreement_sentence(&shown->found->agreement));
}

static void add_fit_row(const char *which, const sf_outcome *of, text *into)
{
    sf_field_summary fit = sf_field_summarize(of->field);
    html_addf(into, COMPARE_FIT_ROW, which, fit.readings, fit.left_out_rmse_k);
    for (size_t i = 0; i < of->reference_count; i++)
        html_addf(into, "<td class=\"number\">%.2f</td>", of->references[i].rmse_k);
    html_addf(into, "<td class=\"number\">%.2f</td>", fit.noise_factor);
    html_cell_estimate(into, fit.length_mm.value, fit.length_mm.sd, 1);
    html_cell_estimate(into, fit.background_k.value, fit.background_k.sd, 1);
    text_add(into, "</tr>\n");
}

static void add_fit(const compared *shown, text *into)
{
    text headings = {0};
    text_add(&headings, "name Survey|number Readings|number Left-out error, K|");
    for (size_t i = 0; i < shown->before->reference_count; i++)
        text_addf(&headings, "number The same by %s, K|", shown->before->references[i].model);
    text_add(&headings, "number Noise factor|number Spreading length, mm|number Even rise, K");
    if (!headings.failed)
        report_table_open(into, "fits", "The fit of each survey", headings.bytes);
    into->failed = into->failed || headings.failed;
    text_clear(&headings);
    add_fit_row("Before", shown->before, into);
    add_fit_row("After", shown->after, into);
    report_table_close(into);
}

static void add_shared(const compared *shown, text *into)
{
    if (!(shown->found->shared > 0)) {
        text_add(into,
                 "The surveys are taken to share no errors, since other instruments were used.");
        return;
    }
    html_addf(into, COMPARE_SHARED, 100 * shown->found->shared);
}

static void add_basis(const compared *shown, text *into)
{
    text_add(into, COMPARE_BASIS);
    add_shared(shown, into);
    text_add(into, COMPARE_BASIS_CLOSE);
}

static void add_cautions(const compared *shown, text *into)
{
    (void)shown;
    report_cautions(NULL, into);
}

static const struct {
    const char *id, *title;
    void (*fill)(const compared *, text *);
} sections[] = {
    {"map", "Where the heat changed", add_map},
    {"parts", "Parts", add_parts},
    {"meter", "Heat against meter", add_meter},
    {"fit", "The fit of each survey", add_fit},
    {"basis", "What this rests on", add_basis},
    {"cautions", "Before you touch the board", add_cautions},
};

enum { SECTION_COUNT = sizeof sections / sizeof *sections };

void compare_html(const compared *shown, text *into)
{
    report_open(into, board_name(shown->after->job), "before and after");
    text_add(into, "<a class=\"skip\" href=\"#parts\">Skip to the parts</a>\n");
    report_marks(into);
    add_header(shown, into);
    text_add(into, "<nav aria-label=\"Sections\">\n<ol>\n");
    for (size_t i = 0; i < SECTION_COUNT; i++)
        report_contents_entry(into, sections[i].id, sections[i].title);
    text_add(into, "</ol>\n</nav>\n<main>\n");
    for (size_t i = 0; i < SECTION_COUNT; i++) {
        report_section_open(into, sections[i].id, sections[i].title);
        sections[i].fill(shown, into);
        text_add(into, "</section>\n");
    }
    text_add(into, "</main>\n");
    report_close(into);
}
