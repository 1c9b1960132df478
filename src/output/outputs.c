/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The table of the result files, and the loop that writes them. */
#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/checksum.h"
#include "core/folders.h"
#include "core/platform.h"
#include "core/text.h"
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
    {"uncertainty.png", "the standard deviation of the heat map"},
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

/* --- the mark of a set of results, and what is in a folder against it --- */

#define MARK_FORMAT "<!-- made from %016" PRIx64 ", results %016" PRIx64 " -->\n"
enum { MARK_BYTES = 62 };

static void write_mark(char line[MARK_BYTES + 1], uint64_t made_from, uint64_t results)
{
    snprintf(line, MARK_BYTES + 1, MARK_FORMAT, made_from, results);
}

static uint64_t add_file(uint64_t before, const char *name, size_t size)
{
    return checksum_add_number(checksum_add_name(before, name), size);
}

/* The line; `blocks` are all files, the report last. */
static void result_mark_add(uint64_t made_from, const file_block *blocks, size_t count,
                            text *report)
{
    uint64_t results = CHECKSUM_OF_NOTHING;
    char line[MARK_BYTES + 1];
    for (size_t i = 0; i < count; i++) {
        results = add_file(results, blocks[i].name, blocks[i].count);
        results = checksum_add(results, blocks[i].bytes, blocks[i].count);
    }
    write_mark(line, made_from, results);
    text_add(report, line);
}

/* --- what stands in a folder --- */

/* Adds so many bytes of the file; false where it has fewer. */
static bool add_bytes(uint64_t *results, int descriptor, size_t count)
{
    char held[1 << 14];
    while (count > 0) {
        ssize_t got = read(descriptor, held, count < sizeof held ? count : sizeof held);
        if (got <= 0)
            return false;
        *results = checksum_add(*results, held, (size_t)got);
        count -= (size_t)got;
    }
    return true;
}

/* Adds a file; of the last all but its mark, which is left to be read. */
static bool add_result(uint64_t *results, const char *name, bool last, int descriptor)
{
    struct stat about;
    if (fstat(descriptor, &about) != 0 || !S_ISREG(about.st_mode))
        return false;
    size_t size = (size_t)about.st_size, mark = last ? MARK_BYTES : 0;
    if (size < mark)
        return false;
    *results = add_file(*results, name, size - mark);
    return add_bytes(results, descriptor, size - mark);
}

static bool mark_stands(int report, uint64_t made_from, uint64_t results)
{
    char wanted[MARK_BYTES + 1], found[MARK_BYTES];
    write_mark(wanted, made_from, results);
    return read(report, found, sizeof found) == MARK_BYTES &&
           memcmp(found, wanted, MARK_BYTES) == 0;
}

bool results_stand(const char *folder, uint64_t made_from)
{
    uint64_t results = CHECKSUM_OF_NOTHING;
    bool stands = true;
    for (const sf_output *output = sf_outputs(); stands && output->name; output++) {
        bool last = !output[1].name;
        char *path = path_join(folder, output->name);
        int file = path ? file_open(path) : -1;
        stands = file >= 0 && add_result(&results, output->name, last, file) &&
                 (!last || mark_stands(file, made_from, results));
        if (file >= 0)
            close(file);
        free(path);
    }
    return stands;
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
