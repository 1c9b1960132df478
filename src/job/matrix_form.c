/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Looks over a file of numbers before it is read. */
#include "job/matrix_form.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "job/cell_text.h"
#include "job/number.h"
#include "spotfield/job.h"

/* So many cells that count up by one are no temperatures. */
enum { RUN_LEAST = 8, CELL_BYTES = 64, DECIMALS_MOST = 3 };

enum { FEW_NUMBERS = 4, WIDE_PICTURE = 8 };

enum cell_kind { CELL_BLANK, CELL_NUMBER, CELL_WORD };

struct cell {
    enum cell_kind kind;
    double value;  /* of a number */
    size_t length; /* of its text */
};

/* --- lines --- */

bool matrix_line_next(const char **at, const char *end, char ending, struct matrix_line *line)
{
    if (*at >= end)
        return false;
    const char *stop = memchr(*at, ending, (size_t)(end - *at));
    *line = (struct matrix_line){*at, stop ? (size_t)(stop - *at) + 1 : (size_t)(end - *at)};
    *at += line->length;
    return true;
}

bool matrix_line_is_void(const struct matrix_line *line)
{
    if (line->at[0] == '#')
        return true;
    for (size_t i = 0; i < line->length; i++)
        if (!strchr(" \t\r\n", line->at[i]))
            return false;
    return true;
}

/* --- cells --- */

bool matrix_cell_is_missing(const char *start, const char *end)
{
    static const char *const words[] = {"nan", "n/a", "na", "null", "none"};
    size_t length = (size_t)(end - start), dashes = 0;
    while (dashes < length && start[dashes] == '-')
        dashes++;
    if (dashes == length)
        return true;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strlen(words[i]) == length && strncasecmp(start, words[i], length) == 0)
            return true;
    return false;
}

static struct cell cell_of(const char *start, const char *end)
{
    char text[CELL_BYTES] = "";
    struct number number = {0};
    cell_text_trim(&start, &end);
    if (end - start >= 2 && *start == '"' && end[-1] == '"') {
        start++;
        end--;
        cell_text_trim(&start, &end);
    }
    size_t length = (size_t)(end - start);
    if (matrix_cell_is_missing(start, end))
        return (struct cell){CELL_BLANK, NAN, length};
    if (length >= sizeof text)
        return (struct cell){CELL_WORD, NAN, length};
    memcpy(text, start, length);
    number_fault fault = number_read(text, true, &number);
    if (fault == NUMBER_FINE || fault == NUMBER_LARGE)
        return (struct cell){CELL_NUMBER, number.value, length};
    return (struct cell){CELL_WORD, NAN, length};
}

/* Goes through the cells of a line; start with *at at its first byte. False behind the last. */
static bool cell_next(const struct matrix_line *line, char separator, const char **at,
                      struct cell *cell)
{
    const char *end = line->at + line->length, *start = *at;
    bool is_quoted = false;
    if (start > end)
        return false;
    const char *stop = start;
    for (; stop < end && (is_quoted || *stop != separator); stop++)
        is_quoted = is_quoted != (*stop == '"');
    *cell = cell_of(start, stop);
    *at = stop + 1;
    return true;
}

enum line_kind { LINE_ROW, LINE_WORDS, LINE_INDEX };

/* What the cells of a line are. */
struct census {
    size_t cells, numbers, words;
    bool counts_up; /* all but the first, by one, from 0, 1 or 2 */
    bool begins_with_word;
};

static struct census census_of(const struct matrix_line *line, char separator)
{
    struct census sum = {.counts_up = true};
    struct cell cell;
    double before = NAN;
    for (const char *at = line->at; cell_next(line, separator, &at, &cell); sum.cells++) {
        sum.numbers += cell.kind == CELL_NUMBER;
        sum.words += cell.kind == CELL_WORD;
        sum.begins_with_word |= sum.cells == 0 && cell.kind == CELL_WORD;
        if (sum.cells == 1)
            sum.counts_up = cell.value == 0 || cell.value == 1 || cell.value == 2;
        else if (sum.cells > 1)
            sum.counts_up = sum.counts_up && cell.value == before + 1;
        before = cell.value;
    }
    sum.counts_up = sum.counts_up && sum.cells >= RUN_LEAST;
    return sum;
}

/* --- what a line is --- */

static bool is_index(const struct census *of)
{
    return of->counts_up && of->words == (size_t)of->begins_with_word;
}

static bool is_words(const struct census *of, size_t columns)
{
    return of->words > 0 && (of->numbers == 0 || 2 * (of->numbers + of->words) <= columns);
}

/* Before a picture a rule of dashes, or a line of few numbers, its size or the like. */
static bool is_prelude(const struct census *of, size_t columns)
{
    return of->words == 0 && of->cells != columns &&
           (of->numbers == 0 || (of->numbers <= FEW_NUMBERS && columns >= WIDE_PICTURE));
}

static size_t count_cells(const struct matrix_line *line, char separator)
{
    size_t cells = 1;
    bool is_quoted = false;
    for (size_t i = 0; i < line->length; i++) {
        is_quoted = is_quoted != (line->at[i] == '"');
        cells += line->at[i] == separator && !is_quoted;
    }
    return cells;
}

/* What a line of another width is may be asked; one that no program would write is a fault. */
static bool may_be_words(const struct matrix_line *line)
{
    size_t marks = 0;
    for (size_t i = 0; i < line->length; i++)
        marks += line->at[i] == '"';
    return marks % 2 == 0 && line->length <= SF_FIELD_BYTES_MAX;
}

bool matrix_line_is_words(const struct matrix_form *form, const struct matrix_line *line)
{
    if (count_cells(line, form->separator) == form->columns || !may_be_words(line))
        return false;
    struct census sum = census_of(line, form->separator);
    return is_words(&sum, form->columns);
}

/* --- the whole file --- */

static void find_separator(const char *bytes, const char *end, struct matrix_form *form)
{
    struct matrix_line line;
    size_t number = 0, lines = 0, semicolons = 0, tabs = 0;
    for (const char *at = bytes; matrix_line_next(&at, end, form->ending, &line);) {
        number++;
        if (matrix_line_is_void(&line))
            continue;
        if (lines == 0 && separator_line(line.at, line.length, &form->separator) > 0) {
            form->separator_line = number;
            return;
        }
        lines++;
        semicolons += memchr(line.at, ';', line.length) != NULL;
        tabs += memchr(line.at, '\t', line.length) != NULL;
    }
    form->separator = 2 * semicolons > lines ? ';' : 2 * tabs > lines ? '\t' : ',';
}

/* The width that more than half of the lines have, where there is one (Boyer and Moore's vote). */
static void find_columns(const char *bytes, const char *end, struct matrix_form *form)
{
    struct matrix_line line;
    size_t lead = 0;
    for (const char *at = bytes; matrix_line_next(&at, end, form->ending, &line);) {
        if (matrix_line_is_void(&line))
            continue;
        size_t cells = count_cells(&line, form->separator);
        if (lead == 0)
            form->columns = cells;
        lead = cells == form->columns ? lead + 1 : lead - 1;
    }
}

/* Before the picture begins every line is looked into, later only those of another width. */
static enum line_kind kind_of(const struct matrix_form *form, const struct matrix_line *line)
{
    if (form->first > 0)
        return matrix_line_is_words(form, line) ? LINE_WORDS : LINE_ROW;
    struct census sum = census_of(line, form->separator);
    if (is_index(&sum) && !form->has_index_row)
        return LINE_INDEX;
    bool is_passed_over = is_words(&sum, form->columns) || is_prelude(&sum, form->columns);
    return is_passed_over && may_be_words(line) ? LINE_WORDS : LINE_ROW;
}

/* From the first row to the last one. */
static void find_picture(const char *bytes, const char *end, struct matrix_form *form)
{
    struct matrix_line line;
    size_t number = 0, words_since = 0;
    for (const char *at = bytes; matrix_line_next(&at, end, form->ending, &line);) {
        number++;
        if (matrix_line_is_void(&line) || number == form->separator_line)
            continue;
        enum line_kind kind = kind_of(form, &line);
        form->has_index_row |= kind == LINE_INDEX;
        if (kind == LINE_WORDS) {
            words_since++;
        } else if (kind == LINE_ROW) {
            form->words += form->first == 0 ? words_since : 0;
            form->first = form->first == 0 ? number : form->first;
            form->last = number;
            words_since = 0;
        }
    }
    form->words += words_since;
}

static bool is_in_picture(const struct matrix_form *form, const struct matrix_line *line,
                          size_t number)
{
    return number >= form->first && number <= form->last && !matrix_line_is_void(line);
}

static void find_index_column(const char *bytes, const char *end, struct matrix_form *form)
{
    struct matrix_line line;
    struct cell cell;
    double before = NAN;
    size_t number = 0, rows = 0;
    for (const char *at = bytes; matrix_line_next(&at, end, form->ending, &line);) {
        if (!is_in_picture(form, &line, ++number))
            continue;
        const char *start = line.at;
        cell_next(&line, form->separator, &start, &cell);
        if (rows == 0 ? cell.value != 0 && cell.value != 1 : cell.value != before + 1)
            return;
        before = cell.value;
        rows++;
    }
    form->has_index_column = rows >= RUN_LEAST;
}

/* Sums of steps between cells: within a pair, and from pair to pair. */
struct steps {
    double within, across;
    size_t pairs;
};

/* False where a cell is not a whole number, or one that stands second is longer than decimals are.
 */
static bool add_steps(const struct matrix_line *line, const struct matrix_form *form,
                      struct steps *sum)
{
    struct cell cell;
    double first = NAN;
    size_t place = 0;
    const char *at = line->at;
    if (form->has_index_column)
        cell_next(line, form->separator, &at, &cell);
    for (; cell_next(line, form->separator, &at, &cell); place++) {
        if (cell.kind != CELL_NUMBER || cell.value != floor(cell.value))
            return false;
        if (place % 2 == 1) {
            if (cell.value < 0 || cell.length > DECIMALS_MOST)
                return false;
            sum->within += fabs(cell.value - fabs(first));
            sum->pairs++;
        } else {
            sum->across += place > 0 ? fabs(cell.value - first) : 0;
            first = cell.value;
        }
    }
    return place % 2 == 0;
}

/* In a picture of whole degrees neighbours are alike. Where whole degrees and decimals take turns
 * they are not, but each is like the next but one. */
static void find_parted_numbers(const char *bytes, const char *end, struct matrix_form *form)
{
    struct matrix_line line;
    struct steps sum = {0};
    size_t number = 0;
    for (const char *at = bytes; matrix_line_next(&at, end, form->ending, &line);)
        if (is_in_picture(form, &line, ++number) && !add_steps(&line, form, &sum))
            return;
    double margin = 3; /* judgement: times, and degrees a cell */
    form->has_parted_numbers =
        sum.pairs >= RUN_LEAST && sum.within > margin * (sum.across + (double)sum.pairs);
}

void matrix_form_find(const char *bytes, size_t size, struct matrix_form *found)
{
    const char *end = bytes + size;
    *found = (struct matrix_form){.ending = memchr(bytes, '\n', size) ? '\n' : '\r'};
    find_separator(bytes, end, found);
    find_columns(bytes, end, found);
    find_picture(bytes, end, found);
    find_index_column(bytes, end, found);
    if (found->separator == ',')
        find_parted_numbers(bytes, end, found);
}
