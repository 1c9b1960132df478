/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Job files for the simulator. */
#include "benchmark/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

static bool cells_find(table_line *line)
{
    line->cells = 0;
    if (line->words[0] == '#' || line->words[0] == '\0')
        return true;
    bool quoted = false;
    size_t length = strlen(line->words), begin = 0;
    for (size_t i = 0; i <= length; i++) {
        if (line->words[i] == '"')
            quoted = !quoted;
        if (i < length && (quoted || line->words[i] != ','))
            continue;
        if (line->cells == CELLS_MOST)
            return false;
        line->begins[line->cells] = begin;
        line->ends[line->cells++] = i;
        begin = i + 1;
    }
    return !quoted;
}

static bool line_add(table *read, size_t *room, const char *words)
{
    table_line *lines = array_grow(read->lines, room, read->count + 1, sizeof *lines);
    size_t length = strcspn(words, "\r\n");
    if (lines)
        read->lines = lines;
    if (!lines || words[length] == '\0') /* longer than a line may be */
        return false;
    table_line *added = &lines[read->count++];
    memcpy(added->words, words, length);
    added->words[length] = '\0';
    return cells_find(added);
}

bool table_read(const char *folder, const char *name, table *read)
{
    *read = (table){0};
    char path[4096], words[LINE_MOST];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "r");
    if (!file)
        return false;
    bool whole = true;
    size_t room = 0;
    while (whole && fgets(words, sizeof words, file))
        whole = line_add(read, &room, words);
    whole = whole && !ferror(file);
    fclose(file);
    while (read->header < read->count && read->lines[read->header].cells == 0)
        read->header++;
    return whole && read->header < read->count;
}

bool table_write(const table *written, const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "w");
    if (!file)
        return false;
    for (size_t i = 0; i < written->count; i++)
        fprintf(file, "%s\n", written->lines[i].words);
    bool whole = !ferror(file);
    return fclose(file) == 0 && whole;
}

void table_free(table *freed)
{
    free(freed->lines);
    *freed = (table){0};
}

bool table_is_row(const table *read, size_t line)
{
    return line != read->header && read->lines[line].cells > 0;
}

static void cell_copy(const table_line *line, size_t cell, char *words)
{
    size_t length = 0;
    for (size_t i = line->begins[cell]; i < line->ends[cell]; i++)
        if (line->words[i] != '"')
            words[length++] = line->words[i];
    words[length] = '\0';
}

/* The column's number, or CELLS_MOST. */
static size_t column_find(const table *read, const char *column)
{
    char words[LINE_MOST];
    for (size_t i = 0; i < read->lines[read->header].cells; i++) {
        cell_copy(&read->lines[read->header], i, words);
        if (strcmp(words, column) == 0)
            return i;
    }
    return CELLS_MOST;
}

void table_cell(const table *read, size_t line, const char *column, char *words)
{
    size_t cell = column_find(read, column);
    words[0] = '\0';
    if (cell < read->lines[line].cells)
        cell_copy(&read->lines[line], cell, words);
}

double table_number(const table *read, size_t line, const char *column, double otherwise)
{
    char words[LINE_MOST], *end;
    table_cell(read, line, column, words);
    double number = strtod(words, &end);
    return end == words ? otherwise : number;
}

double table_key(const table *read, const char *key, double otherwise)
{
    char words[LINE_MOST];
    for (size_t i = 0; i < read->count; i++) {
        table_cell(read, i, "key", words);
        if (table_is_row(read, i) && strcmp(words, key) == 0)
            return table_number(read, i, "value", otherwise);
    }
    return otherwise;
}

bool table_put(table *changed, size_t line, const char *column, const char *words)
{
    table_line *into = &changed->lines[line];
    size_t cell = column_find(changed, column);
    if (cell >= into->cells)
        return false;
    char after[LINE_MOST];
    size_t begin = into->begins[cell];
    strcpy(after, into->words + into->ends[cell]);
    if (begin + strlen(words) + strlen(after) >= LINE_MOST)
        return false;
    strcpy(into->words + begin, words);
    strcat(into->words, after);
    return cells_find(into);
}
