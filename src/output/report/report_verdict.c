/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The head of the page: the board, the verdict in sentences, the tallies, the facts it rests on. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

/* More parts than this make the row of marks a wall. */
enum { MARKS_MAX = 300 };
/* More names than this in the head, and nobody reads them there. */
enum { NAMES_MAX = 40 };

/* One mark for each part, worst first: the board at a glance. */
static void add_marks(const report *shown, text *into)
{
    size_t parts = shown->outcome->job->part_count;
    if (parts == 0 || parts > MARKS_MAX)
        return;
    text_add(into, "<p class=\"strip\" aria-hidden=\"true\">");
    for (size_t i = 0; i < parts; i++) {
        text_addf(into, "<span data-part=\"%zu\">", shown->order[i] + 1);
        report_mark(into, shown->outcome->results[shown->order[i]].verdict);
        text_add(into, "</span>");
    }
    text_add(into, "</p>\n");
}

/* Which they are, in the order of the files; of very many the first only. */
static void add_names(const report *shown, sf_verdict verdict, text *into)
{
    const sf_outcome *outcome = shown->outcome;
    size_t told = 0;
    text_add(into, "<span class=\"names\">");
    for (size_t i = 0; i < outcome->job->part_count && told < NAMES_MAX; i++) {
        if (outcome->results[i].verdict != verdict)
            continue;
        text_add(into, told++ > 0 ? " " : "");
        html_text(into, outcome->job->parts[i].ref);
    }
    if (shown->counts[verdict] > told)
        text_addf(into, " and %zu more", shown->counts[verdict] - told);
    text_add(into, "</span>");
}

static void add_tally(const report *shown, sf_verdict verdict, const char *word,
                      const char *meaning, text *into)
{
    text_addf(into, "<li class=\"%s\">", sf_verdict_text(verdict));
    report_mark(into, verdict);
    text_addf(into, VERDICT_TALLY, shown->counts[verdict], word, meaning);
    if (verdict != SF_LEAVE && shown->counts[verdict] > 0)
        add_names(shown, verdict, into);
    text_add(into, "</li>\n");
}

static void add_tallies(const report *shown, text *into)
{
    text_add(into, "<ul class=\"tally\">\n");
    add_tally(shown, SF_REPLACE, "to replace",
              "worn, probably past the rated life, or too critical to wait", into);
    add_tally(shown, SF_CHECK, "to check",
              "measure the part, read its can again, or correct the entry in doubt", into);
    add_tally(shown, SF_LEAVE, "to leave", "cool enough, with rated life left", into);
    text_add(into, "</ul>\n");
}

static void add_readings(const report *shown, text *into)
{
    sf_field_summary summary = sf_field_summarize(shown->outcome->field);
    double error_k = sf_outcome_part_error_k(shown->outcome);
    text_add(into, "<div><dt>Readings</dt><dd>");
    if (summary.readings > 0)
        text_addf(into, "%zu in the fit", summary.readings);
    else
        html_addf(into, "thermogram of %G pixels", (double)summary.pixels);
    if (isfinite(error_k))
        html_addf(into, "; expect an error of %.1f K at a part", error_k);
    text_add(into, "</dd></div>\n");
}

/* The sum of the chances is the number of bad parts to expect; those among the parts left are what
 * leaving them risks. */
static void add_expected(const report *shown, text *into)
{
    double expected = 0, left = 0;
    size_t parts = shown->outcome->job->part_count;
    for (size_t i = 0; i < parts; i++) {
        const sf_part_result *result = &shown->outcome->results[i];
        expected += result->worn_out;
        left += result->verdict == SF_LEAVE ? result->worn_out : 0;
    }
    if (parts == 0 || !isfinite(expected))
        return;
    text_add(into, "<div><dt>On the meter</dt><dd>about ");
    html_number(into, expected, expected < 10 ? 1 : 0);
    text_addf(into, " of %zu parts should prove worn out", parts);
    if (shown->counts[SF_LEAVE] > 0) {
        text_add(into, ", ");
        html_number(into, left, left < 10 ? 1 : 0);
        text_addf(into, " of the %zu to leave", shown->counts[SF_LEAVE]);
    }
    text_add(into, "</dd></div>\n");
}

static void add_facts(const report *shown, text *into)
{
    const sf_board *board = &shown->outcome->job->board;
    html_addf(into, VERDICT_FACTS, shown->heat.least_c, shown->heat.most_c,
              board->service_ambient_c, board->ambient_c, board->run_hours);
    if (board->made_year > 0)
        text_addf(into, " since %d", board->made_year);
    text_add(into, "</dd></div>\n");
    add_readings(shown, into);
    add_expected(shown, into);
    report_fact("Machine", board->machine, into);
    report_fact("Owner", board->owner, into);
    report_fact("Technician", board->technician, into);
    text_add(into, "</dl>\n");
}

/* What should be looked at before the verdicts are acted on. */
static void add_notices(const report *shown, text *into)
{
    sf_finding *findings;
    size_t count;
    if (sf_outcome_findings(shown->outcome, &findings, &count) != SF_OK)
        into->failed = true;
    if (count > 0)
        text_add(into, "<div class=\"first\">\n<p>Look first:</p>\n<ul>\n");
    for (size_t i = 0; i < count; i++)
        html_addf(into, "<li><a href=\"#%s\">%-s</a></li>\n", findings[i].section,
                  findings[i].words);
    if (count > 0)
        text_add(into, "</ul>\n</div>\n");
    sf_findings_free(findings, count);
}

/* How many in large letters, and why in smaller ones. */
static void add_sentences(const report *shown, text *into)
{
    char *sentences = sf_outcome_sentence(shown->outcome);
    if (!sentences) {
        into->failed = true;
        return;
    }
    char *end = strstr(sentences, ". ");
    if (end)
        end[1] = 0;
    html_addf(into, "<p class=\"sentence\">%-s</p>\n", sentences);
    if (end)
        html_addf(into, "<p class=\"why\">%-s</p>\n", end + 2);
    free(sentences);
}

static void add_why_not_all(const report *shown, text *into)
{
    char *words = sf_outcome_why_not_all(shown->outcome);
    if (!words) {
        into->failed = true;
        return;
    }
    if (words[0])
        html_addf(into, "<h2>Why not replace all of them</h2>\n<p>%-s</p>\n", words);
    free(words);
}

void report_verdict(const report *shown, text *into)
{
    const sf_board *board = &shown->outcome->job->board;
    text_add(into, "<header>\n<p class=\"kind\">Heat map and capacitor verdict");
    if (board->surveyed[0])
        html_addf(into, ", surveyed %s", board->surveyed);
    html_addf(into, "</p>\n<h1>%s</h1>\n", board_name(shown->outcome->job));
    add_sentences(shown, into);
    add_marks(shown, into);
    add_tallies(shown, into);
    add_facts(shown, into);
    add_notices(shown, into);
    add_why_not_all(shown, into);
    report_warning("the board", into);
    text_add(into, "</header>\n");
}

/* --- what if --- */

static void add_next(const report *shown, const sf_prospect *of, text *into)
{
    const sf_job *job = shown->outcome->job;
    if (!isfinite(of->next_h)) {
        text_add(into, "none left");
        return;
    }
    html_addf(into, "%s after %G h%s", job->parts[of->next_part].ref, of->next_h,
              of->next_h < job->policy.life_cap_h ? "" : " or more");
    if (isfinite(of->next_years))
        html_addf(into, ", %.1f years", of->next_years);
}

static void add_row(const report *shown, const sf_what_if_row *row, text *into)
{
    const sf_prospect *of = &row->prospect;
    html_addf(into, WHAT_IF_ROW, row->asked, of->verdicts[SF_REPLACE], of->verdicts[SF_CHECK],
              of->verdicts[SF_LEAVE], of->worn_out);
    add_next(shown, of, into);
    text_add(into, "</td></tr>\n");
}

void report_what_if(const report *shown, text *into)
{
    const sf_outcome *outcome = shown->outcome;
    text_add(into, WHAT_IF_INTRODUCTION);
    report_table_open(into, "what-ifs", "Compared with the board as it is", WHAT_IF_HEADINGS);
    for (size_t i = 0; i < outcome->what_if_count; i++)
        add_row(shown, &outcome->what_ifs[i], into);
    report_table_close(into);
}
