/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every short text of the bytes that matter is cut into rows and cells as libcsv cuts it, which
 * runs strict: RFC 4180, section 2, rules 5 to 7. */
#include "support/check.h"

#include <csv.h>
#include <string.h>

#include "job/csv_cells.h"

enum { BYTES_MOST = 7 };
static const char letters[] = {'a', '"', ',', '\n', '\r', ' '};

/* What was seen: each cell between angle brackets, a stroke behind each row. */
static void add_cell(text *into, const char *start, const char *end)
{
    cell_text_trim(&start, &end);
    text_add(into, "<");
    text_add_bytes(into, start, (size_t)(end - start));
    text_add(into, ">");
}

static void on_cell(void *bytes, size_t size, void *context)
{
    const char *start = bytes ? bytes : "";
    add_cell(context, start, start + size);
}

static void on_row(int terminator, void *context)
{
    (void)terminator;
    text_add(context, "|");
}

/* "refused" where it is none by the strict rules. */
static void see_by_libcsv(const char *bytes, size_t size, text *seen)
{
    struct csv_parser parser;
    assert_int_equal(csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI), 0);
    bool sound = csv_parse(&parser, bytes, size, on_cell, on_row, seen) == size &&
                 csv_fini(&parser, on_cell, on_row, seen) == 0;
    csv_free(&parser);
    if (!sound) {
        seen->length = 0;
        text_add(seen, "refused");
    }
}

/* A line of blanks alone is no row of libcsv's; here it is one blank cell. */
static bool is_void(const char *start, const char *end)
{
    while (start < end && *start == ' ')
        start++;
    return start == end;
}

static void see(const char *bytes, size_t size, text *seen)
{
    struct csv_cells in = {.bytes = bytes, .size = size, .separator = ',', .line = 1};
    while (csv_next_row(&in)) {
        size_t cells = 0;
        do {
            bool is_closed = csv_next_cell(&in);
            const char *start = bytes + in.start, *end = bytes + in.end;
            if (!is_closed || csv_misplaced(start, end)) {
                seen->length = 0;
                text_add(seen, "refused");
                return;
            }
            if (cells == 0 && in.ends_row && is_void(start, end))
                continue;
            text cell = {0};
            csv_add_text(&cell, start, end);
            add_cell(seen, cell.bytes, cell.bytes + cell.length);
            text_clear(&cell);
            cells++;
        } while (!in.ends_row);
        if (cells > 0)
            text_add(seen, "|");
    }
}

static void every_short_text_is_cut_as_libcsv_cuts_it(void **state)
{
    (void)state;
    size_t texts = 1, refused = 0;
    for (size_t size = 1; size <= BYTES_MOST; size++) {
        texts *= sizeof letters;
        for (size_t number = 0; number < texts; number++) {
            char bytes[BYTES_MOST + 1] = "";
            text ours = {0}, theirs = {0};
            for (size_t at = 0, rest = number; at < size; at++, rest /= sizeof letters)
                bytes[at] = letters[rest % sizeof letters];
            see(bytes, size, &ours);
            see_by_libcsv(bytes, size, &theirs);
            assert_false(ours.failed || theirs.failed);
            if (ours.length != theirs.length ||
                (ours.length > 0 && memcmp(ours.bytes, theirs.bytes, ours.length) != 0))
                fail_msg("\"%s\" is %s, by libcsv %s", bytes, ours.bytes ? ours.bytes : "",
                         theirs.bytes ? theirs.bytes : "");
            refused += theirs.length > 0 && theirs.bytes[0] == 'r';
            text_clear(&ours);
            text_clear(&theirs);
        }
    }
    assert_int_equal(texts, 279936);
    assert_in_range(refused, texts / 2, texts);
}

static void lines_are_counted_inside_quotation_marks_too(void **state)
{
    (void)state;
    const char bytes[] = "a,\"b\r\nc\rd\n\"\r\n#e\r\nf";
    struct csv_cells in = csv_open(bytes, sizeof bytes - 1);
    const size_t lines[] = {1, 1, 6};
    for (size_t i = 0; i < 3; i++) {
        assert_true(csv_next_row(&in));
        assert_true(csv_next_cell(&in));
        assert_int_equal(in.start_line, lines[i]);
    }
    assert_false(csv_next_row(&in));
}

static void a_quoted_separator_separates_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        char separator;
    } tried[] = {{"\"x, y, z\";b\n", ';'},
                 {"\"x; y; z\",b\n", ','},
                 {"\"x\ty\tz\",b\n", ','},
                 {"\"x, y\"\tb\n", '\t'},
                 {"a;b\n1,5;2,5\n", ';'}};
    for (size_t i = 0; i < sizeof tried / sizeof *tried; i++)
        assert_int_equal(csv_open(tried[i].bytes, strlen(tried[i].bytes)).separator,
                         tried[i].separator);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_short_text_is_cut_as_libcsv_cuts_it),
        cmocka_unit_test(lines_are_counted_inside_quotation_marks_too),
        cmocka_unit_test(a_quoted_separator_separates_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
