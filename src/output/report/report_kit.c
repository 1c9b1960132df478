/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The order: parts to buy, in groups that are alike. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"

static void add_line(const sf_kit_line *line, text *into)
{
    html_addf(into, "<tr><td class=\"number\">%zu</td><td class=\"number\">%zu</td><td>%-s",
              line->count, line->spares, line->description);
    if (line->note[0])
        html_addf(into, "<br>%-s", line->note);
    html_addf(into, "</td><td>%s</td></tr>\n", line->refs);
}

void report_kit_table(const sf_kit *kit, text *into)
{
    report_table_open(into, "kit-list", "Parts to buy",
                      "number Count|number Spares|prose Order as|prose For");
    for (size_t i = 0; i < kit->count; i++)
        add_line(&kit->lines[i], into);
    report_table_close(into);
}

void report_kit(const report *shown, text *into)
{
    const sf_kit *kit = shown->outcome->kit;
    const sf_job *job = shown->outcome->job;
    if (kit->count == 0) {
        text_add(into, "<p>Nothing to order.</p>\n");
    } else {
        text_add(into, "<p>Spares come on top of the count. Never a lower voltage, temperature "
                       "grade or endurance than the old part, 105 \u00B0C at least, never a wider "
                       "or higher can. order.csv holds the same lines for the basket of a "
                       "distributor; the part numbers are yours to fill in.");
        if (isfinite(job->board.service_goal_h))
            html_addf(into,
                      " The endurance is also what reaches another %G h where the part sits, %g "
                      "times over.",
                      job->board.service_goal_h, job->policy.kit_margin);
        text_add(into, "</p>\n");
        report_kit_table(kit, into);
    }
    text_addf(into,
              "<p class=\"sum\">%zu replaced, %zu left alone, %zu to be decided by a check. "
              "Replacing everything would have taken %zu.</p>\n",
              kit->replaced, kit->left, kit->checked, kit->replaced + kit->checked + kit->left);
}
