/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The table of the result files, and the loop that writes them. */
#include <assert.h>

#include "core/text.h"
#include "output/result_mark.h"
#include "output/result_set.h"
#include "output/tables.h"
#include "spotfield/output.h"

/* Every file: its name, and the clause for help and manual. They are put in place in this order,
 * the report last, as it names the others. */
static const sf_output faces[] = {
    {"parts.csv", "each part: temperature, life, share used, verdict and reason"},
    {"zones.csv", "regions of the board by its own heat"},
    {"kit.csv", "what to order, grouped by kind"},
    {"order.csv", "the same, for a distributor's basket"},
    {"readings.csv", "each reading corrected, its fit and its left-out score"},
    {"sources.csv", "each heat source, listed or found, with rise and power"},
    {"field.csv", "temperature in service and its uncertainty on the grid"},
    {"heat.png", "the heat map with parts, sources and readings"},
    {"doubt.png", "the standard deviation of the heat map"},
    {"report.html", "all of it on one page that needs no network"},
    {NULL, NULL},
};

static void (*const tables[])(const sf_outcome *, text *) = {
    parts_csv, zones_csv, kit_csv, order_csv, readings_csv, sources_csv, field_csv,
};

enum {
    TABLE_COUNT = sizeof tables / sizeof *tables,
    HEAT = TABLE_COUNT,
    DOUBT,
    REPORT,
    OUTPUT_COUNT
};

static_assert(sizeof faces / sizeof *faces == OUTPUT_COUNT + 1, "a face for each file");

const sf_output *sf_outputs(void)
{
    return faces;
}

/* `made_from` is NULL where the results bear no mark. */
static sf_status write_results(const sf_outcome *outcome, const sf_pictures *pictures,
                               const uint64_t *made_from, const char *folder,
                               sf_diagnostics *diagnostics)
{
    text contents[OUTPUT_COUNT] = {{0}};
    file_block blocks[OUTPUT_COUNT];
    for (size_t i = 0; i < OUTPUT_COUNT; i++) {
        if (i < TABLE_COUNT)
            tables[i](outcome, &contents[i]);
        else if (i == REPORT)
            report_html(outcome, pictures, &contents[i]);
        blocks[i] = (file_block){faces[i].name, contents[i].bytes, contents[i].length};
    }
    blocks[HEAT] = (file_block){faces[HEAT].name, pictures->heat_png, pictures->heat_png_size};
    blocks[DOUBT] = (file_block){faces[DOUBT].name, pictures->doubt_png, pictures->doubt_png_size};
    if (made_from)
        result_mark_add(*made_from, blocks, OUTPUT_COUNT, &contents[REPORT]);
    return result_texts_write(folder, blocks, contents, OUTPUT_COUNT, diagnostics);
}

sf_status outcome_write_marked(const sf_outcome *outcome, const sf_pictures *pictures,
                               uint64_t made_from, const char *folder, sf_diagnostics *diagnostics)
{
    return write_results(outcome, pictures, &made_from, folder, diagnostics);
}

sf_status sf_outcome_write(const sf_outcome *outcome, const sf_pictures *pictures,
                           const char *folder, sf_diagnostics *diagnostics)
{
    return write_results(outcome, pictures, NULL, folder, diagnostics);
}
