/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Feeds a file to libcsv line by line and keeps each cell as a number. A cell never spans lines
 * here, which keeps a quotation mark that is not closed on its own line. */
#include "job/matrix.h"

#include <csv.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "job/cell_text.h"
#include "job/matrix_form.h"
#include "job/number.h"

enum { FAULTS_TOLD = 20, CELL_BYTES = 64, DIGITS_MOST = 15 };

struct sheet {
    struct intake *intake;
    const struct matrix_kind *kind;
    struct matrix *into;
    size_t cells, capacity; /* of into->values */
    double factor, shift;   /* value = factor cell + shift */
    struct matrix_form form;
    size_t line;     /* of the row at hand */
    size_t column;   /* cells of it so far */
    bool past_index; /* the cell that numbers the row has been passed over */
    size_t faults;   /* told or not */
    bool failed;     /* no use in reading on */
};

/* --- telling faults --- */

/* Counts a fault; false where enough have been told one by one. */
static bool is_to_be_told(struct sheet *sheet)
{
    return ++sheet->faults <= FAULTS_TOLD;
}

static where row_at(const struct sheet *sheet)
{
    return (where){sheet->kind->file, sheet->line, ""};
}

static void refuse_cell(struct sheet *sheet, const char *cell, const char *why)
{
    char column[32];
    snprintf(column, sizeof column, "column %zu", sheet->column + 1);
    if (is_to_be_told(sheet))
        diagnose_error(sheet->intake, (where){sheet->kind->file, sheet->line, column},
                       sheet->kind->expected, "\"%s\" %s", excerpt_of(cell).text, why);
}

static void fail_memory(struct sheet *sheet)
{
    sheet->intake->memory_short = true;
    sheet->failed = true;
}

static void tell_untold(struct sheet *sheet)
{
    if (sheet->faults > FAULTS_TOLD)
        diagnose_error(sheet->intake, (where){sheet->kind->file, 0, ""}, "",
                       "%zu more faults like these", sheet->faults - FAULTS_TOLD);
}

/* --- a cell --- */

/* A sign, digits, one decimal mark: nearly every cell there is. Up to 15 digits are exact in a
 * double, and so is the power of ten, so that the one division rounds once. */
static bool read_plain(const char *at, const char *end, double *value)
{
    static const double powers[] = {1,   1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    bool is_negative = at < end && *at == '-', has_mark = false;
    long long digits = 0;
    int count = 0, decimals = 0;
    for (at += is_negative; at < end && count <= DIGITS_MOST; at++)
        if (*at >= '0' && *at <= '9') {
            digits = 10 * digits + (*at - '0');
            count++;
            decimals += has_mark;
        } else if (!has_mark && (*at == '.' || *at == ',')) {
            has_mark = true;
        } else {
            return false;
        }
    if (count == 0 || count > DIGITS_MOST)
        return false;
    *value = (double)digits / powers[decimals];
    *value = is_negative ? -*value : *value;
    return true;
}

/* Everything else that the other files take as a number; NAN where it was refused. A comma inside a
 * cell is a decimal one: where commas part the cells it came in quotation marks. */
static double read_odd(struct sheet *sheet, const char *start, const char *end)
{
    char cell[CELL_BYTES] = "";
    size_t length = (size_t)(end - start);
    struct number number = {0};
    memcpy(cell, start, length < sizeof cell ? length : sizeof cell - 1);
    number_fault fault = length < sizeof cell ? number_read(cell, true, &number) : NUMBER_NONE;
    if (fault == NUMBER_FINE)
        return number.value;
    refuse_cell(sheet, cell,
                fault == NUMBER_LARGE ? "is too large for a number" : "is not a number");
    return NAN;
}

static double cell_value(struct sheet *sheet, const char *start, const char *end)
{
    double value;
    if (matrix_cell_is_missing(start, end))
        return NAN;
    if (!read_plain(start, end, &value))
        value = read_odd(sheet, start, end);
    double held = sheet->factor * value + sheet->shift;
    if (isnan(held) || (held >= sheet->kind->least && held <= sheet->kind->most))
        return held;
    char written[32];
    snprintf(written, sizeof written, "%.10g", value);
    refuse_cell(sheet, written, "is out of range");
    return NAN;
}

static void add_value(struct sheet *sheet, double value)
{
    struct matrix *into = sheet->into;
    float *added = array_add(&into->values, &sheet->cells, &sheet->capacity, sizeof *added);
    if (added)
        *added = (float)value;
    else
        fail_memory(sheet);
}

static void fail_size(struct sheet *sheet, const char *what, size_t most)
{
    diagnose_error(sheet->intake, row_at(sheet), "",
                   "the picture has more %s than the limit of %zu", what, most);
    sheet->failed = true;
}

/* Cells beyond the width of the first row only count. */
static void on_cell(void *bytes, size_t size, void *context)
{
    struct sheet *sheet = context;
    const char *start = bytes, *end = start + size;
    if (sheet->failed)
        return;
    if (sheet->form.has_index_column && !sheet->past_index) {
        sheet->past_index = true;
        return;
    }
    if (sheet->column >= sheet->kind->columns_most)
        fail_size(sheet, "columns", sheet->kind->columns_most);
    else if (sheet->cells >= sheet->kind->cells_most)
        fail_size(sheet, "pixels", sheet->kind->cells_most);
    if (sheet->failed)
        return;
    cell_text_trim(&start, &end);
    bool is_surplus = sheet->into->rows > 0 && sheet->column >= sheet->into->columns;
    if (!is_surplus)
        add_value(sheet, cell_value(sheet, start, end));
    sheet->column += !is_surplus || start < end;
}

/* --- a row --- */

static void on_row(int terminator, void *context)
{
    (void)terminator;
    struct sheet *sheet = context;
    struct matrix *into = sheet->into;
    if (sheet->failed)
        return;
    if (into->rows == 0)
        into->columns = sheet->column;
    else if (sheet->column != into->columns && is_to_be_told(sheet))
        diagnose_error(sheet->intake, row_at(sheet), "rows of one length",
                       "the row has %zu cells, the first one %zu", sheet->column, into->columns);
    while (!sheet->failed && sheet->cells % into->columns != 0)
        add_value(sheet, NAN);
    into->rows++;
}

static size_t count_marks(const char *line, size_t length)
{
    size_t count = 0;
    const char *end = line + length;
    for (const char *at = line; (at = memchr(at, '"', (size_t)(end - at))) != NULL; at++)
        count++;
    return count;
}

/* libcsv lengthens its buffer piece by piece, and would copy a cell of megabytes thousands of
 * times. */
static bool has_long_cell(const struct sheet *sheet, const char *line, size_t length)
{
    size_t cell_bytes = 0;
    bool quoted = false;
    for (size_t i = 0; i < length && cell_bytes <= SF_FIELD_BYTES_MAX; i++) {
        quoted = quoted != (line[i] == '"');
        cell_bytes = line[i] == sheet->form.separator && !quoted ? 0 : cell_bytes + 1;
    }
    return cell_bytes > SF_FIELD_BYTES_MAX;
}

static int is_space_not_tab(unsigned char byte)
{
    return byte == ' ';
}

static bool start_libcsv(struct sheet *sheet, struct csv_parser *parser)
{
    if (csv_init(parser, CSV_STRICT | CSV_STRICT_FINI) != 0) {
        fail_memory(sheet);
        return false;
    }
    csv_set_delim(parser, (unsigned char)sheet->form.separator);
    if (sheet->form.separator == '\t')
        csv_set_space_func(parser, is_space_not_tab);
    return true;
}

/* The parser does not go on after a fault of its own: it begins anew on the next line. */
static void feed_line(struct sheet *sheet, const char *line, size_t length)
{
    struct csv_parser parser;
    sheet->column = 0;
    sheet->past_index = false;
    if (count_marks(line, length) % 2 != 0) {
        if (is_to_be_told(sheet))
            diagnose_error(sheet->intake, row_at(sheet), "its closing quotation mark",
                           "a quotation mark opened here is never closed");
        return;
    }
    if (has_long_cell(sheet, line, length)) {
        if (is_to_be_told(sheet))
            diagnose_error(sheet->intake, row_at(sheet), "",
                           "a cell is longer than the limit of %u bytes", SF_FIELD_BYTES_MAX);
        return;
    }
    if (!start_libcsv(sheet, &parser))
        return;
    bool is_whole = csv_parse(&parser, line, length, on_cell, on_row, sheet) == length &&
                    csv_fini(&parser, on_cell, on_row, sheet) == 0;
    if (!is_whole && csv_error(&parser) != CSV_EPARSE)
        fail_memory(sheet);
    else if (!is_whole && is_to_be_told(sheet))
        diagnose_error(sheet->intake, row_at(sheet),
                       "quotation marks around a whole cell, and doubled inside it",
                       "there is a quotation mark in the middle of a cell");
    sheet->cells = sheet->into->rows * sheet->into->columns;
    csv_free(&parser);
}

/* --- the file --- */

static void refuse_whole(struct sheet *sheet, const char *expected, const char *why)
{
    diagnose_error(sheet->intake, row_at(sheet), expected, "%s", why);
    sheet->failed = true;
}

/* What is wrong with the file as a whole is told once. */
static void check_form(struct sheet *sheet)
{
    sheet->line = sheet->form.separator_line;
    if (!strchr(",;\t", sheet->form.separator))
        refuse_whole(sheet, "a comma, a semicolon or a tab",
                     "the line \"sep=\" names another separator");
    sheet->line = sheet->form.first;
    if (sheet->form.has_parted_numbers)
        refuse_whole(
            sheet, "semicolons or tabs between the cells, or decimal points",
            "there are commas both between the cells and in the numbers: every second cell "
            "looks like the decimals of the one before it");
}

static void feed_all(struct sheet *sheet, const char *bytes, size_t size)
{
    const struct matrix_form *form = &sheet->form;
    struct matrix_line line;
    size_t number = 0;
    check_form(sheet);
    for (const char *at = bytes;
         !sheet->failed && matrix_line_next(&at, bytes + size, form->ending, &line);) {
        sheet->line = ++number;
        if (number < form->first || number > form->last || matrix_line_is_void(&line) ||
            number == form->separator_line)
            continue;
        if (sheet->into->rows > 0 && matrix_line_is_words(form, &line))
            refuse_whole(sheet, "one picture a file, words before or after it, or behind #",
                         "there is a line of words among the rows of numbers");
        else
            feed_line(sheet, line.at, line.length);
    }
}

/* What was passed over is told: it might have been pixels. */
static void tell_form(const struct sheet *sheet)
{
    const struct matrix_form *form = &sheet->form;
    const char *file = sheet->kind->file;
    if (form->words > 0)
        assume(sheet->intake, "%s: %zu line%s of words around the picture ignored", file,
               form->words, form->words == 1 ? "" : "s");
    if (form->has_index_row || form->has_index_column)
        assume(sheet->intake, "%s: %s ignored, since %s up by one", file,
               !form->has_index_column ? "the first row of numbers"
               : form->has_index_row   ? "the first row and the first column of numbers"
                                       : "the first column of numbers",
               form->has_index_row && form->has_index_column ? "they count" : "it counts");
}

/* The unit as a line, from two of its points. */
static void settle_unit(struct sheet *sheet)
{
    double zero = 0, one = 1;
    unit_convert(sheet->kind->held, sheet->kind->written, &zero);
    unit_convert(sheet->kind->held, sheet->kind->written, &one);
    sheet->factor = one - zero;
    sheet->shift = zero;
}

static file_state matrix_parse(struct intake *intake, const struct matrix_kind *kind,
                               const char *bytes, size_t size, struct matrix *into)
{
    if (!file_bytes_check(intake, kind->file, bytes, size))
        return FILE_BAD;
    struct sheet sheet = {.intake = intake, .kind = kind, .into = into};
    size_t mark = size >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    settle_unit(&sheet);
    matrix_form_find(bytes + mark, size - mark, &sheet.form);
    feed_all(&sheet, bytes + mark, size - mark);
    tell_form(&sheet);
    tell_untold(&sheet);
    if (!sheet.failed && sheet.faults == 0 && into->rows == 0)
        diagnose_error(intake, (where){kind->file, 0, ""}, kind->expected,
                       "the file has no row of numbers");
    return sheet.failed || sheet.faults > 0 || into->rows == 0 ? FILE_BAD : FILE_READ;
}

file_state matrix_read(struct intake *intake, const struct matrix_kind *kind, struct matrix *into)
{
    char *bytes = NULL;
    size_t size = 0;
    file_state state = file_bytes_read(intake, kind->file, false, &bytes, &size);
    if (state == FILE_READ)
        state = matrix_parse(intake, kind, bytes, size, into);
    free(bytes);
    return state;
}
