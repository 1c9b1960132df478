/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The order: parts to buy, in groups that are alike. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

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
        text_add(into, KIT_SPARES);
        if (isfinite(job->board.service_goal_h))
            html_addf(into, KIT_GOAL, job->board.service_goal_h, job->policy.kit_margin);
        text_add(into, "</p>\n");
        report_kit_table(kit, into);
    }
    text_addf(into, KIT_SUM, kit->replaced, kit->left, kit->checked,
              kit->replaced + kit->checked + kit->left);
}
