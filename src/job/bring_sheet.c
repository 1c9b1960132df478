/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Opens a file from elsewhere: finds the line of its headings, by whatever names, and the unit. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "job/bring.h"
#include "job/choice_words.h"
#include "job/number.h"

enum { HEADING_LINES = 60, NAME_BYTES = 64 };

/* Names of columns as headings have them, small letters and digits alone; the first of a column
 * that stands in a file is taken. Habits of open layout tools: Ref, Val, Package, PosX; Designator,
 * Comment, Mid X, Center-X(mm), Layer; RefDes, Description, Package, X, top/bottom. */
static const struct word names[] = {
    {"ref", BRING_REF},
    {"refs", BRING_REF},
    {"refdes", BRING_REF},
    {"reference", BRING_REF},
    {"references", BRING_REF},
    {"designator", BRING_REF},
    {"designators", BRING_REF},
    {"referencedesignator", BRING_REF},
    {"part", BRING_REF},
    {"parts", BRING_REF},
    {"name", BRING_REF},
    {"val", BRING_VALUE},
    {"value", BRING_VALUE},
    {"comment", BRING_VALUE},
    {"designation", BRING_VALUE},
    {"package", BRING_PACKAGE},
    {"footprint", BRING_PACKAGE},
    {"pattern", BRING_PACKAGE},
    {"case", BRING_PACKAGE},
    {"posx", BRING_X},
    {"midx", BRING_X},
    {"centerx", BRING_X},
    {"centrex", BRING_X},
    {"x", BRING_X},
    {"xpos", BRING_X},
    {"locationx", BRING_X},
    {"refx", BRING_X},
    {"posy", BRING_Y},
    {"midy", BRING_Y},
    {"centery", BRING_Y},
    {"centrey", BRING_Y},
    {"y", BRING_Y},
    {"ypos", BRING_Y},
    {"locationy", BRING_Y},
    {"refy", BRING_Y},
    {"rot", BRING_ANGLE},
    {"rotation", BRING_ANGLE},
    {"angle", BRING_ANGLE},
    {"side", BRING_SIDE},
    {"layer", BRING_SIDE},
    {"topbottom", BRING_SIDE},
    {"voltage", BRING_VOLTAGE},
    {"ratedvoltage", BRING_VOLTAGE},
    {"ratedv", BRING_VOLTAGE},
    {"description", BRING_WORDS},
    {"desc", BRING_WORDS},
    {"type", BRING_WORDS},
    {"time", BRING_TIME},
    {"timestamp", BRING_TIME},
    {"datetime", BRING_TIME},
    {"elapsed", BRING_TIME},
    {"elapsedtime", BRING_TIME},
    {"minute", BRING_TIME},
    {"minutes", BRING_TIME},
    {"seconds", BRING_TIME},
};

enum { NAMES = sizeof names / sizeof *names };

/* The letters and digits of a heading before its unit, and the unit: "Center-X(mm)", "x_mil",
 * "Time [s]". */
static void plain_name(const char *heading, size_t size, char name[NAME_BYTES], char unit[8])
{
    size_t length = 0, from = size;
    static const char *const tails[] = {"mm", "mil", "mils", "inch", "in", "s", "min"};
    for (size_t i = 0; i < size && from == size; i++) {
        bool opens = heading[i] == '(' || heading[i] == '[';
        for (size_t t = 0; t < sizeof tails / sizeof *tails && strchr("_- ", heading[i]) && i > 0;
             t++)
            opens = opens || (strlen(tails[t]) == size - i - 1 &&
                              strncasecmp(heading + i + 1, tails[t], size - i - 1) == 0);
        from = opens ? i : from;
    }
    for (size_t i = 0; i < from && length + 1 < NAME_BYTES; i++)
        if (isalnum((unsigned char)heading[i]))
            name[length++] = (char)tolower((unsigned char)heading[i]);
    name[length] = '\0';
    length = 0;
    for (size_t i = from; i < size && length + 1 < 8; i++)
        if (isalpha((unsigned char)heading[i]))
            unit[length++] = (char)tolower((unsigned char)heading[i]);
    unit[length] = '\0';
}

static size_t rank_of(const char *name)
{
    size_t i = 0;
    while (i < NAMES && strcmp(names[i].text, name) != 0)
        i++;
    return i;
}

/* Which columns a line would name; a bit each. */
static unsigned columns_named(const char *line, size_t size, size_t *cells)
{
    unsigned named = 0;
    *cells = 0;
    for (size_t at = 0; at <= size; ++*cells) {
        char name[NAME_BYTES], unit[8];
        size_t end = at;
        while (end < size && !strchr(",;\t", line[end]))
            end++;
        plain_name(line + at, end - at, name, unit);
        size_t rank = rank_of(name);
        named |= rank < NAMES ? 1u << names[rank].value : 0;
        at = end + 1;
    }
    return named;
}

static bool is_heading(const char *line, size_t size)
{
    size_t cells;
    unsigned named = columns_named(line, size, &cells);
    bool things = named & 1u << BRING_REF && named & ~(1u << BRING_REF);
    return cells > 1 && (things || named & 1u << BRING_TIME);
}

static bool line_has(const char *line, size_t size, const char *word)
{
    size_t length = strlen(word);
    for (size_t i = 0; i + length <= size; i++)
        if (strncasecmp(line + i, word, length) == 0)
            return true;
    return false;
}

/* "Units used: mil", "## Unit = mm", "X,Y in mils". */
static void note_unit(const char *line, size_t size, char unit[8])
{
    static const char *const known[] = {"mil", "inch", "mm"};
    bool speaks = line_has(line, size, "unit") || line_has(line, size, " in m") ||
                  line_has(line, size, " in in");
    for (size_t i = 0; i < 3 && speaks && unit[0] == '\0'; i++)
        if (line_has(line, size, known[i]))
            snprintf(unit, 8, "%s", known[i]);
}

/* Blanks what stands above the headings, and a # before them; line ends stay, so that lines keep
 * their numbers. False where no line is one of headings. */
static bool bare_heading(char *bytes, size_t size, char unit[8])
{
    size_t at = size >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    for (size_t line = 0; line < HEADING_LINES && at < size; line++) {
        size_t end = at;
        while (end < size && bytes[end] != '\n' && bytes[end] != '\r')
            end++;
        if (is_heading(bytes + at, end - at)) {
            memset(bytes, ' ', at > 0 && bytes[0] == '\xEF' ? 3 : 0);
            if (bytes[at] == '#')
                bytes[at] = ' ';
            return true;
        }
        note_unit(bytes + at, end - at, unit);
        memset(bytes + at, ' ', end - at);
        at = end + 1;
    }
    return false;
}

static void match(bring_sheet *sheet)
{
    size_t ranks[BRING_COLUMNS];
    for (size_t i = 0; i < BRING_COLUMNS; i++) {
        sheet->columns[i] = BRING_NONE;
        ranks[i] = NAMES;
    }
    for (size_t i = 0; i < sheet->table.column_count; i++) {
        char name[NAME_BYTES], unit[8];
        const char *heading = table_header(&sheet->table, i);
        plain_name(heading, strlen(heading), name, unit);
        size_t rank = rank_of(name);
        if (rank == NAMES || rank >= ranks[names[rank].value])
            continue;
        int column = names[rank].value;
        ranks[column] = rank;
        sheet->columns[column] = i;
        memcpy(sheet->units[column], unit, sizeof unit);
    }
}

/* Marks at the start of files that are no text (file(1), from memory): the zip that .xlsx and .ods
 * are, the older .xls, PDF. */
static bool is_spreadsheet(const char *bytes, size_t size)
{
    static const char *const marks[] = {"PK\x03\x04", "\xD0\xCF\x11\xE0", "%PDF"};
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
        if (size >= 4 && memcmp(bytes, marks[i], 4) == 0)
            return true;
    return false;
}

bool bring_is_logger(const bring_sheet *sheet)
{
    return sheet->columns[BRING_TIME] != BRING_NONE && sheet->columns[BRING_X] == BRING_NONE;
}

static file_state open_bytes(struct intake *intake, const char *file, char *bytes, size_t size,
                             bring_sheet *sheet)
{
    if (is_spreadsheet(bytes, size)) {
        diagnose_error(intake, (where){file, 0, ""},
                       "text: save the sheet as CSV with the encoding UTF-8, and bring that",
                       "is a spreadsheet, an archive or a PDF");
        return FILE_BAD;
    }
    if (!file_bytes_check(intake, file, bytes, size))
        return FILE_BAD;
    if (!bare_heading(bytes, size, sheet->unit)) {
        diagnose_error(intake, (where){file, 0, ""},
                       "among the first 60 lines one with Ref (Designator, RefDes) and other "
                       "names, or with Time, separated by commas, semicolons or tabs",
                       "no line of column names was found");
        return FILE_BAD;
    }
    file_state state = table_parse(intake, file, bytes, size, &sheet->table);
    if (state != FILE_READ)
        return state;
    match(sheet);
    if (bring_is_logger(sheet) || sheet->columns[BRING_REF] != BRING_NONE)
        return FILE_READ;
    diagnose_error(intake, (where){file, sheet->table.header_line, ""},
                   "one separator throughout, and a column Ref (Designator, RefDes) or Time",
                   "the column names include neither a reference nor a time");
    return FILE_BAD;
}

file_state bring_open(struct intake *intake, const char *file, bring_sheet *sheet)
{
    char *bytes = NULL, *folder = intake->job->folder;
    size_t size = 0;
    *sheet = (bring_sheet){0};
    intake->job->folder = keep_text(intake, file[0] == '/' ? "" : ".");
    file_state state =
        intake->job->folder ? file_bytes_read(intake, file, true, &bytes, &size) : FILE_BAD;
    free(intake->job->folder);
    intake->job->folder = folder;
    if (state == FILE_READ)
        state = open_bytes(intake, file, bytes, size, sheet);
    free(bytes);
    return state;
}

const char *bring_cell(const bring_sheet *sheet, size_t row, bring_column column)
{
    size_t at = sheet->columns[column];
    return at == BRING_NONE ? "" : table_text(&sheet->table, row, at);
}

double bring_number(struct intake *intake, const bring_sheet *sheet, size_t row, size_t column,
                    const char *held, const char *unit)
{
    const char *words = table_text(&sheet->table, row, column);
    char digits[64];
    struct number number = {0};
    size_t length = strspn(words, "+-.,0123456789eE\xE2\x88\x92");
    size_t cut = length < sizeof digits ? length : sizeof digits - 1;
    memcpy(digits, words, cut);
    digits[cut] = '\0';
    const char *tail = words + cut;
    while (*tail == ' ' || strncmp(tail, "\u00A0", 2) == 0)
        tail += *tail == ' ' ? 1 : 2;
    /* a comma that stands inside a cell is a decimal one, but before three digits it may part
     * thousands where commas also part the cells */
    const char *comma = strchr(digits, ',');
    bool decimal = sheet->table.separator != ',' || (comma && strlen(comma) != 4);
    if (number_read(digits, decimal, &number) == NUMBER_FINE &&
        unit_convert(held, *tail ? tail : unit, &number.value))
        return number.value;
    where at = {sheet->table.file, table_line(&sheet->table, row, column),
                table_header(&sheet->table, column)};
    diagnose_warning(intake, at, "a number", "\"%s\" is not understood, so the line is ignored",
                     excerpt_of(words).text);
    return NAN;
}
