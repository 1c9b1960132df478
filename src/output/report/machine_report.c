/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* index.html: the boards of a machine on one page, of the family of report.html. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "output/machine_files.h"
#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

/* --- the head --- */

/* What all boards that are mapped say alike; NULL where they do not, or say nothing. */
static const char *shared(const machine_told *told, size_t offset)
{
    const char *found = NULL;
    for (size_t i = 0; i < told->count; i++) {
        const char *said = (const char *)&told->rows[i] + offset;
        if (!told->rows[i].mapped)
            continue;
        if (found && strcmp(found, said) != 0)
            return NULL;
        found = said;
    }
    return found && found[0] ? found : NULL;
}

static void add_header(const machine_told *told, const char *name, text *into)
{
    char *sentence = machine_sentence(told);
    html_addf(into, MACHINE_HEADER, name, sentence ? sentence : "");
    into->failed = into->failed || !sentence;
    free(sentence);
    report_fact("Owner", shared(told, offsetof(board_row, owner)), into);
    report_fact("Technician", shared(told, offsetof(board_row, technician)), into);
    text_add(into, "</dl>\n");
    report_warning("a board", into);
    text_add(into, "</header>\n");
}

/* --- the boards --- */

static void add_link(const machine_told *told, size_t board, const char *file, text *into)
{
    html_path(into, told->links[board]);
    text_addf(into, "/%s\"", file);
}

static void add_picture(const machine_told *told, size_t board, text *into)
{
    text_add(into, "<td class=\"small\">");
    if (told->rows[board].mapped) {
        text_add(into, "<a href=\"");
        add_link(told, board, "report.html", into);
        html_addf(into, "><img loading=\"lazy\" alt=\"Heat map of %s\" src=\"", told->names[board]);
        add_link(told, board, "heat.png", into);
        text_add(into, "></a>");
    }
    text_add(into, "</td>");
}

static void add_name(const machine_told *told, size_t board, text *into)
{
    const board_row *row = &told->rows[board];
    text_add(into, "<th scope=\"row\">");
    if (row->mapped) {
        text_add(into, "<a href=\"");
        add_link(told, board, "report.html", into);
        text_add(into, ">");
    }
    html_text(into, row->name.text[0] ? row->name.text : told->names[board]);
    text_add(into, row->mapped ? "</a>" : "");
    if (row->name.text[0])
        html_addf(into, "<span class=\"marking\">%s</span>", told->names[board]);
    text_add(into, "</th>");
}

static void add_count(const board_row *row, sf_verdict verdict, text *into)
{
    text_add(into, "<td class=\"number\">");
    if (row->counts[verdict] > 0)
        report_mark(into, verdict);
    text_addf(into, " %zu</td>", row->counts[verdict]);
}

static void add_board(const machine_told *told, size_t board, text *into)
{
    const board_row *row = &told->rows[board];
    text_add(into, "<tr>");
    add_name(told, board, into);
    add_picture(told, board, into);
    if (row->mapped) {
        add_count(row, SF_REPLACE, into);
        add_count(row, SF_CHECK, into);
        add_count(row, SF_LEAVE, into);
        html_addf(into, "<td class=\"number\">%.0f</td>", row->hottest_c);
    } else {
        text_add(into, MACHINE_NOT_MAPPED);
    }
    text_add(into, "</tr>\n");
}

static void add_boards(const machine_told *told, text *into)
{
    report_section_open(into, "boards", "Boards");
    report_table_open(into, "board-list", "Worst first; each links to the board\u2019s own report",
                      MACHINE_HEADINGS);
    for (size_t i = 0; i < told->count; i++)
        add_board(told, told->order[i], into);
    report_table_close(into);
    text_add(into, "</section>\n");
}

/* --- the kit, and the page --- */

static void add_kit(const machine_told *told, text *into)
{
    report_section_open(into, "kit", "One kit for all boards");
    if (told->kit->count == 0) {
        text_add(into, "<p>Nothing to order.</p>\n");
    } else {
        text_add(into, MACHINE_KIT);
        report_kit_table(told->kit, into);
    }
    text_add(into, "</section>\n");
}

void machine_html(const machine_told *told, text *into)
{
    const char *machine = shared(told, offsetof(board_row, machine));
    const char *name = machine ? machine : "Unnamed machine";
    report_head(into, name, "its boards", "'self'", &machine_css, NULL);
    report_marks(into);
    add_header(told, name, into);
    text_add(into, "<nav aria-label=\"Sections\">\n<ol>\n");
    report_contents_entry(into, "boards", "Boards");
    report_contents_entry(into, "kit", "One kit for all boards");
    report_contents_entry(into, "cautions", "Before you touch a board");
    text_add(into, "</ol>\n</nav>\n<main>\n");
    add_boards(told, into);
    add_kit(told, into);
    report_section_open(into, "cautions", "Before you touch a board");
    report_cautions(NULL, into);
    text_add(into, MACHINE_CLOSE);
    html_keep_units(into);
}
