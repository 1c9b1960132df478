/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Compares the readings that a batch leads to with those that are there. */
#include "page/edits.h"

#include <stdlib.h>
#include <string.h>

#include "core/diagnose.h"
#include "core/memory.h"
#include "job/places.h"

/* What makes a reading: where one of these is another, the reading is. */
static const char *const cells[] = {"id", "x_mm", "y_mm", "value", "unit", "method", "note"};

enum { CELLS = sizeof cells / sizeof *cells };

static bool same_cell(const sheet *one, size_t row, const sheet *other, size_t other_row,
                      const char *column, bool *memory_short)
{
    char *here = sheet_text_of(one, row, column), *there = sheet_text_of(other, other_row, column);
    bool same = here && there && strcmp(here, there) == 0;
    *memory_short = *memory_short || !here || !there;
    free(here);
    free(there);
    return same;
}

/* Whether a reading stood in the file already, as another program may have left it. */
static bool stood_before(const sheet *before, const sheet *now, size_t row, bool *memory_short)
{
    for (size_t known = 1; known < before->row_count; known++) {
        size_t same = 0;
        while (same < CELLS && same_cell(now, row, before, known, cells[same], memory_short))
            same++;
        if (same == CELLS)
            return true;
    }
    return false;
}

static sf_status diagnose_of(const sheet *now, size_t row, const char *area,
                             sf_diagnostics *diagnostics)
{
    char *id = sheet_text_of(now, row, "id");
    char *what =
        id ? text_format("reading %s by contact lies in %s, where voltage can kill", id, area)
           : NULL;
    sf_status status =
        diagnose_taking(diagnostics, SF_ERROR, "readings.csv", 0, "method", what,
                        "infrared, from outside the area, or a note \"" CONTACT_REASON
                        " ...\" that says why contact is safe there");
    free(id);
    return status == SF_OK ? SF_ERROR_DATA : status;
}

static sf_status read_before(const touched *of, sheet *before)
{
    char *bytes = array_new(of->before.length + 1, 1);
    if (!bytes)
        return SF_ERROR_MEMORY;
    if (of->before.length > 0)
        memcpy(bytes, of->before.bytes, of->before.length);
    return sheet_read(before, bytes, of->before.length);
}

static sf_status diagnose_of_new(const touched *of, char *const *areas, sf_diagnostics *diagnostics)
{
    sheet before = {0};
    bool memory_short = false;
    sf_status status = read_before(of, &before);
    if (status != SF_OK)
        return status;
    for (size_t row = 1; row < of->now.row_count && status != SF_ERROR_MEMORY; row++) {
        if (!areas[row - 1] || stood_before(&before, &of->now, row, &memory_short))
            continue;
        status = diagnose_of(&of->now, row, areas[row - 1], diagnostics);
    }
    sheet_clear(&before);
    return memory_short ? SF_ERROR_MEMORY : status;
}

static bool take_words(const sheet *of, size_t row, reading_words *into)
{
    *into = (reading_words){sheet_text_of(of, row, "x_mm"), sheet_text_of(of, row, "y_mm"),
                            sheet_text_of(of, row, "method"), sheet_text_of(of, row, "note")};
    return into->x_mm && into->y_mm && into->method && into->note;
}

static void free_all(reading_words *words, char **areas, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (words) {
            free(words[i].x_mm);
            free(words[i].y_mm);
            free(words[i].method);
            free(words[i].note);
        }
        if (areas)
            free(areas[i]);
    }
    free(words);
    free(areas);
}

sf_status no_touch_check(const batch *all, sf_diagnostics *diagnostics)
{
    const touched *of = &all->files[job_file_find("readings.csv")];
    size_t count = of->changed ? of->now.row_count - 1 : 0;
    if (count == 0)
        return SF_OK;
    reading_words *words = array_new(count, sizeof *words);
    char **areas = array_new(count, sizeof *areas);
    sf_status status = words && areas ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < count; i++)
        if (!take_words(&of->now, i + 1, &words[i]))
            status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = contacts_find(all->folder, words, count, of->now.decimal_comma, areas);
    if (status == SF_OK)
        status = diagnose_of_new(of, areas, diagnostics);
    free_all(words, areas, count);
    return status;
}
