/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a page says of the danger: in a line at its head, and at length in a section. */
#include "output/report/report.h"
#include "output/report/report_pieces.h"
#include "output/set_words.h"

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
    text_add(into, CAUTIONS_LIST);
}
