/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* report.html: one page that holds everything, style, script and pictures included. */
#include "output/report/report.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/report/html.h"
#include "output/report/report_assets.h"
#include "output/report/report_pieces.h"
#include "output/set_words.h"
#include "output/tables.h"

typedef struct section {
    const char *id, *title;
    void (*fill)(const report *, text *);
} section;

/* what an owner needs first, then why, then what it rests on */
static const section sections[] = {
    {"map", "Heat map", report_map},
    {"kit", "What to order", report_kit},
    {"zones", "Zones", report_zones},
    {"parts", "Parts", report_parts},
    {"what-if", "What if", report_what_if},
    {"readings", "Readings and their fit", report_readings},
    {"sources", "Heat sources", report_sources},
    {"basis", "What this rests on", report_basis},
    {"cautions", "Before you touch the board", report_cautions},
};

enum { SECTION_COUNT = sizeof sections / sizeof *sections };

void report_mark(text *into, sf_verdict verdict)
{
    const char *word = sf_verdict_text(verdict);
    text_addf(into,
              "<svg class=\"mark %s\" aria-hidden=\"true\"><use href=\"#mark-%s\"></use></svg>",
              word, word);
}

static const char *add_heading(text *into, const char *heading)
{
    bool sorts = *heading == '+';
    const char *name = heading + sorts, *words = strchr(name, ' ') + 1;
    size_t length = strcspn(words, "|");
    text_addf(into, "<th scope=\"col\" class=\"%.*s\"%s>%.*s</th>", (int)(words - name - 1), name,
              sorts ? " data-sortable" : "", (int)length, words);
    return words + length + (words[length] == '|');
}

void report_table_open(text *into, const char *name, const char *caption, const char *headings)
{
    text_addf(into, PAGE_TABLE_OPEN, name, name, name, caption);
    while (*headings)
        headings = add_heading(into, headings);
    text_add(into, "</tr></thead>\n<tbody>\n");
}

void report_fact(const char *term, const char *said, text *into)
{
    if (said && said[0])
        html_addf(into, "<div><dt>%s</dt><dd>%s</dd></div>\n", term, said);
}

void report_table_close(text *into)
{
    text_add(into, "</tbody>\n</table>\n</div>\n");
}

/* Nothing but `pictures` is loaded from anywhere, and only the style and script built in may act
 * (CSP level 3); the hashes let both be inline. */
static void add_policy(text *into, const char *pictures, const asset *style, const asset *script)
{
    text_addf(into, PAGE_POLICY, pictures, style->sha256);
    if (script)
        text_addf(into, "script-src 'sha256-%s'; ", script->sha256);
    text_add(into, "base-uri 'none'; form-action 'none'\">\n");
}

void report_head(text *into, const char *name, const char *rest, const char *pictures,
                 const asset *style, const asset *script)
{
    text_add(into, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    add_policy(into, pictures, style, script);
    text_add(into, PAGE_HEAD);
    html_addf(into, "<title>%s: %s</title>\n<style>", name, rest);
    text_add_bytes(into, style->bytes, style->size);
    text_add(into, "</style>\n</head>\n<body>\n");
}

void report_open(text *into, const char *name, const char *rest)
{
    report_head(into, name, rest, "data:", &report_css, &report_js);
}

void report_close(text *into)
{
    html_keep_units(into);
    text_add(into, PAGE_CLOSE);
    text_add_bytes(into, report_js.bytes, report_js.size);
    text_add(into, "</script>\n</body>\n</html>\n");
}

void report_contents_entry(text *into, const char *id, const char *title)
{
    text_addf(into, "<li><a href=\"#%s\">%s</a></li>\n", id, title);
}

void report_section_open(text *into, const char *id, const char *title)
{
    text_addf(into,
              "<section id=\"%s\" aria-labelledby=\"%s-title\">\n<h2 id=\"%s-title\">%s</h2>\n", id,
              id, id, title);
}

static void add_head(const report *shown, text *into)
{
    char rest[96];
    snprintf(rest, sizeof rest, "replace %zu, check %zu, leave %zu", shown->counts[SF_REPLACE],
             shown->counts[SF_CHECK], shown->counts[SF_LEAVE]);
    report_open(into, board_name(shown->outcome->job), rest);
}

/* The three marks: filled disc, half disc, open ring, so that they differ without colour. */
void report_marks(text *into)
{
    text_add(into, PAGE_MARKS);
}

/* What was not asked has no section. */
static bool is_shown(const report *shown, const section *of)
{
    return of->fill != report_what_if || shown->outcome->what_if_count > 0;
}

static void add_contents(const report *shown, text *into)
{
    text_add(into, "<nav aria-label=\"Sections\">\n<ol>\n");
    for (size_t i = 0; i < SECTION_COUNT; i++)
        if (is_shown(shown, &sections[i]))
            report_contents_entry(into, sections[i].id, sections[i].title);
    text_add(into, "</ol>\n</nav>\n");
}

static void add_body(const report *shown, text *into)
{
    text_add(into, "<a class=\"skip\" href=\"#parts\">Skip to the parts</a>\n");
    report_marks(into);
    report_verdict(shown, into);
    add_contents(shown, into);
    text_add(into, "<main>\n");
    for (size_t i = 0; i < SECTION_COUNT; i++) {
        if (!is_shown(shown, &sections[i]))
            continue;
        report_section_open(into, sections[i].id, sections[i].title);
        sections[i].fill(shown, into);
        text_add(into, "</section>\n");
    }
    text_add(into, "</main>\n");
    report_close(into);
}

void report_html(const sf_outcome *outcome, const sf_pictures *pictures, text *into)
{
    size_t *order = parts_worst_first(outcome);
    const sf_reading_fit **fits = observation_fits(outcome);
    if (order && fits) {
        report shown = {.outcome = outcome,
                        .pictures = pictures,
                        .order = order,
                        .fits = fits,
                        .heat = board_heat(outcome)};
        for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
            shown.counts[verdict] = verdict_count(outcome, (sf_verdict)verdict);
        add_head(&shown, into);
        add_body(&shown, into);
    } else {
        into->failed = true;
    }
    free(order);
    free(fits);
}

/* --- what a page says of the danger: in a line at its head, and at length in a section --- */

void report_warning(const char *where, text *into)
{
    text_addf(into, CAUTIONS_WARNING, where);
}

/* `shown` is NULL on the page of a comparison, which is no map of one job. */
void report_cautions(const report *shown, text *into)
{
    text_add(into, "<ul class=\"cautions\">\n");
    if (shown && !shown->outcome->job->keepout_told)
        text_addf(into, "<li><strong>%s</strong></li>\n", keepout_question);
    text_add(into,
             CAUTIONS_BEFORE_ISOLATION "<li>" CAUTION_ISOLATION "</li>\n" CAUTIONS_AFTER_ISOLATION);
}
