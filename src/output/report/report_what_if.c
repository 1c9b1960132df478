/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What would become of the parts under each what-if that was asked, beside today. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"

static void add_next(const report *shown, const sf_prospect *of, text *into)
{
    text_add(into, "<td>");
    if (isfinite(of->next_h)) {
        html_text(into, shown->outcome->job->parts[of->next_part].ref);
        text_add(into, " after ");
        html_grouped(into, of->next_h);
        text_add(into, of->next_h < shown->outcome->job->policy.life_cap_h ? " h" : " h or more");
        if (isfinite(of->next_years)) {
            text_add(into, ", ");
            html_number(into, of->next_years, 1);
            text_add(into, " years");
        }
    } else {
        text_add(into, "none left");
    }
    text_add(into, "</td>");
}

static void add_row(const report *shown, const sf_what_if_row *row, text *into)
{
    const sf_prospect *of = &row->prospect;
    text_add(into, "<tr><th scope=\"row\">");
    html_sentence(into, row->asked);
    text_addf(into,
              "</th><td class=\"number\">%zu</td><td class=\"number\">%zu</td>"
              "<td class=\"number\">%zu</td>",
              of->verdicts[SF_REPLACE], of->verdicts[SF_CHECK], of->verdicts[SF_LEAVE]);
    html_cell_number(into, of->worn_out, 1);
    add_next(shown, of, into);
    text_add(into, "</tr>\n");
}

void report_what_if(const report *shown, text *into)
{
    const sf_outcome *outcome = shown->outcome;
    text_add(into, "<p>What each part has used until the survey stays as it is; the change acts on "
                   "the hours to come. Verdicts are those of that later day.</p>\n");
    report_table_open(into, "what-ifs", "Beside the board as it is");
    report_heading(into, "What if", "name", false);
    report_heading(into, "Replace", "number", false);
    report_heading(into, "Check", "number", false);
    report_heading(into, "Leave", "number", false);
    report_heading(into, "Expected worn out", "number", false);
    report_heading(into, "Next past its rated life, counted from the survey", "prose", false);
    text_add(into, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < outcome->what_if_count; i++)
        add_row(shown, &outcome->what_ifs[i], into);
    report_table_close(into);
}
