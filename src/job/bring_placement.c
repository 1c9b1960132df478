/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Placement files and parts lists, joined by reference: columns to things. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "job/bring.h"

enum { REF_BYTES = 64, RANGE_MOST = 1000 };

/* A row on its way in. */
typedef struct row_at {
    struct intake *intake;
    bring *into;
    const bring_sheet *sheet;
    size_t row;
} row_at;

static where place_of(const row_at *at, bring_column column)
{
    size_t of = at->sheet->columns[column];
    return (where){at->sheet->table.file, table_line(&at->sheet->table, at->row, of),
                   table_header(&at->sheet->table, of)};
}

static bring_item *item_called(bring *in, const char *ref)
{
    for (size_t i = 0; i < in->item_count; i++)
        if (strcmp(in->items[i].ref, ref) == 0)
            return &in->items[i];
    return NULL;
}

static bring_item *new_item(const row_at *at, const char *ref)
{
    bring *into = at->into;
    if (into->item_count >= BRING_ITEMS_MOST) {
        if (into->item_count++ == BRING_ITEMS_MOST)
            diagnose_error(at->intake, place_of(at, BRING_REF), "",
                           "the files name more things than the limit of %d", BRING_ITEMS_MOST);
        into->item_count = BRING_ITEMS_MOST;
        return NULL;
    }
    bring_item *made =
        array_add(&into->items, &into->item_count, &into->item_capacity, sizeof *into->items);
    if (!made) {
        at->intake->memory_short = true;
        return NULL;
    }
    *made = (bring_item){.ref = keep_text(at->intake, ref),
                         .value = keep_text(at->intake, ""),
                         .package = keep_text(at->intake, ""),
                         .words = keep_text(at->intake, ""),
                         .x_mm = NAN,
                         .y_mm = NAN,
                         .angle_deg = NAN,
                         .file = at->sheet->table.file,
                         .line = table_line(&at->sheet->table, at->row, 0),
                         .said = no_value_words};
    return made;
}

/* What a file before this one has said stays. */
static void fill(const row_at *at, char **into, bring_column column)
{
    const char *cell = bring_cell(at->sheet, at->row, column);
    if (!*into || (*into)[0] || !cell[0])
        return;
    free(*into);
    *into = keep_text(at->intake, cell);
}

static bool is_solder_side(const char *words)
{
    return words_hold(words, "bot") || words_hold(words, "back") || words_hold(words, "solder") ||
           strcmp(words, "B.Cu") == 0 || strcmp(words, "B") == 0 || strcmp(words, "b") == 0;
}

static void fill_place(const row_at *at, bring_item *item)
{
    const bring_sheet *sheet = at->sheet;
    if (sheet->columns[BRING_X] == BRING_NONE || sheet->columns[BRING_Y] == BRING_NONE)
        return;
    if (!isnan(item->x_mm)) {
        diagnose_warning(at->intake, place_of(at, BRING_REF), "each reference once",
                         "%s is already placed; this line is ignored", excerpt_of(item->ref).text);
        return;
    }
    const char *unit = at->into->options.unit, *headed = sheet->units[BRING_X];
    unit = unit ? unit : headed[0] ? headed : sheet->unit;
    double x_mm = bring_number(at->intake, sheet, at->row, sheet->columns[BRING_X], "mm", unit);
    double y_mm =
        isnan(x_mm) ? (double)NAN
                    : bring_number(at->intake, sheet, at->row, sheet->columns[BRING_Y], "mm", unit);
    if (isnan(y_mm)) {
        at->into->lines_lost++;
        return;
    }
    item->x_mm = x_mm;
    item->y_mm = at->into->options.y_down ? -y_mm : y_mm;
    item->solder_side = is_solder_side(bring_cell(sheet, at->row, BRING_SIDE));
    if (sheet->columns[BRING_ANGLE] != BRING_NONE && bring_cell(sheet, at->row, BRING_ANGLE)[0])
        item->angle_deg = fmod(
            bring_number(at->intake, sheet, at->row, sheet->columns[BRING_ANGLE], "", ""), 360);
}

/* A list and a placement file that differ are told of; the file that was given first counts. */
static void ask_about_value(const row_at *at, const bring_item *item)
{
    struct value_words said = no_value_words;
    value_words_read(bring_cell(at->sheet, at->row, BRING_VALUE), &said);
    double first = item->said.capacitance_uf, other = said.capacitance_uf;
    if (fabs(first - other) > 1e-6 * first)
        diagnose_warning(at->intake, place_of(at, BRING_VALUE), "the same in all files",
                         "%s has %.6g uF here and %.6g uF in %s: the latter is used",
                         excerpt_of(item->ref).text, other, first, item->file);
}

static void take_ref(const row_at *at, const char *ref)
{
    bring_item *item = item_called(at->into, ref);
    item = item ? item : new_item(at, ref);
    if (!item || at->intake->memory_short)
        return;
    ask_about_value(at, item);
    fill(at, &item->value, BRING_VALUE);
    fill(at, &item->package, BRING_PACKAGE);
    fill(at, &item->words, BRING_WORDS);
    value_words_read(bring_cell(at->sheet, at->row, BRING_VALUE), &item->said);
    const char *volts = bring_cell(at->sheet, at->row, BRING_VOLTAGE);
    char with_unit[REF_BYTES];
    snprintf(with_unit, sizeof with_unit, "%.40s%s", volts,
             volts[0] && volts[strcspn(volts, "vV")] ? "" : " V");
    value_words_read(with_unit, &item->said);
    value_words_read(bring_cell(at->sheet, at->row, BRING_WORDS), &item->said);
    fill_place(at, item);
}

/* "C5-C8", "C5-8": all of them. False where it is no range. */
static bool take_range(const row_at *at, const char *word)
{
    size_t letters = strspn(word, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz");
    char *end = NULL;
    if (letters == 0 || letters > 8 || !isdigit((unsigned char)word[letters]))
        return false;
    unsigned long first = strtoul(word + letters, &end, 10), last;
    const char *second = end + 1;
    if (*end != '-')
        return false;
    second += strncmp(second, word, letters) == 0 ? letters : 0;
    if (!isdigit((unsigned char)*second))
        return false;
    last = strtoul(second, &end, 10);
    if (*end || last < first || last - first > RANGE_MOST)
        return false;
    for (unsigned long number = first; number <= last; number++) {
        char ref[REF_BYTES];
        snprintf(ref, sizeof ref, "%.*s%lu", (int)letters, word, number);
        take_ref(at, ref);
    }
    return true;
}

/* References of a cell, "C1, C2, C5-C8". */
static void take_refs(const row_at *at)
{
    const char *cell = bring_cell(at->sheet, at->row, BRING_REF);
    bool any = false;
    while (*cell) {
        size_t length = strcspn(cell, ", ;\n");
        char word[REF_BYTES];
        if (length > 0 && length < sizeof word) {
            memcpy(word, cell, length);
            word[length] = '\0';
            any = true;
            if (!take_range(at, word))
                take_ref(at, word);
        }
        cell += length + (cell[length] != '\0');
    }
    if (any)
        return;
    diagnose_warning(at->intake, place_of(at, BRING_REF), "a reference such as C7",
                     "the line has no reference, so it is ignored");
    at->into->lines_lost++;
}

void bring_placement(struct intake *intake, bring *into, const bring_sheet *sheet)
{
    bool headed = sheet->units[BRING_X][0] || sheet->unit[0] || into->options.unit;
    size_t before = into->item_count;
    for (size_t row = 0; row < sheet->table.row_count && !intake->memory_short; row++)
        take_refs(&(row_at){intake, into, sheet, row});
    if (sheet->columns[BRING_X] != BRING_NONE && !headed && into->told_count < 7 &&
        before < into->item_count)
        snprintf(into->told[into->told_count++], sizeof into->told[0],
                 "%.90s gives no unit: numbers without one are taken as mm; --unit sets another",
                 sheet->table.file);
}

/* --- where the board lies --- */

typedef struct box {
    double x_least, x_most, y_least, y_most;
} box;

static box box_of(const bring *of)
{
    box all = {INFINITY, -INFINITY, INFINITY, -INFINITY};
    for (size_t i = 0; i < of->item_count; i++) {
        const bring_item *item = &of->items[i];
        if (isnan(item->x_mm))
            continue;
        all.x_least = fmin(all.x_least, item->x_mm);
        all.x_most = fmax(all.x_most, item->x_mm);
        all.y_least = fmin(all.y_least, item->y_mm);
        all.y_most = fmax(all.y_most, item->y_mm);
    }
    return all;
}

static void move_all(bring *of, double x_mm, double y_mm)
{
    for (size_t i = 0; i < of->item_count; i++) {
        of->items[i].x_mm = rint((of->items[i].x_mm - x_mm) * 1000) / 1000;
        of->items[i].y_mm = rint((of->items[i].y_mm - y_mm) * 1000) / 1000;
    }
}

/* Settled where they lie on the board as they are; else put in its middle, and told. */
static void find_origin(struct intake *intake, bring *into, const box *all)
{
    double wide_mm = all->x_most - all->x_least, high_mm = all->y_most - all->y_least;
    double spare_x = into->board_width_mm - wide_mm, spare_y = into->board_height_mm - high_mm;
    char *told = into->told[into->told_count];
    if (!(spare_x >= 0 && spare_y >= 0)) {
        diagnose_error(
            intake, (where){into->items[0].file, 0, ""},
            "another --unit, or width and height in board.csv as they are",
            "the places span %.4g x %.4g mm, and the board of the job has %.4g x %.4g mm", wide_mm,
            high_mm, into->board_width_mm, into->board_height_mm);
        return;
    }
    bool fits = all->x_least >= 0 && all->y_least >= 0 && all->x_most <= into->board_width_mm &&
                all->y_most <= into->board_height_mm;
    if (fits)
        return;
    double x_mm = all->x_least - spare_x / 2, y_mm = all->y_least - spare_y / 2;
    move_all(into, x_mm, y_mm);
    into->told_count++;
    snprintf(told, sizeof into->told[0],
             "the parts are put in the middle of the board, their corner at %.0f, %.0f mm; "
             "--origin %.6g,%.6g "
             "says where its lower-left corner lies",
             spare_x / 2, spare_y / 2, x_mm, y_mm);
}

void bring_settle_places(struct intake *intake, bring *into)
{
    box all = box_of(into);
    bool given = !isnan(into->options.origin_x_mm);
    for (size_t i = 0; i < into->item_count; i++)
        into->placed += !isnan(into->items[i].x_mm);
    if (into->placed == 0)
        return;
    if (given)
        move_all(into, into->options.origin_x_mm, into->options.origin_y_mm);
    else if (isnan(into->board_width_mm) || isnan(into->board_height_mm))
        diagnose_error(intake, (where){into->items[0].file, 0, ""},
                       "width and height in board.csv of the job, or --origin X,Y",
                       "neither the job nor an option says where the board lies");
    else
        find_origin(intake, into, &all);
    snprintf(into->told[into->told_count++], sizeof into->told[0], "y is taken to count %swards%s",
             into->options.y_down ? "down" : "up",
             into->options.y_down ? "" : "; --y-down reverses that");
}
