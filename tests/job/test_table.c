/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* CSV files as spreadsheets write them. RFC 4180 is quoted by section and rule. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "job/table.h"
#include "job_folder.h"

/* One table parsed from memory, with what was said about it. */
struct parsed {
    struct table table;
    sf_diagnostics diagnostics;
    file_state state;
};

static struct parsed parse_bytes(const char *bytes, size_t size)
{
    struct parsed parsed = {0};
    struct intake intake = {.diagnostics = &parsed.diagnostics};
    parsed.state = FILE_BAD;
    if (file_bytes_check(&intake, "x.csv", bytes, size))
        parsed.state = table_parse(&intake, "x.csv", bytes, size, &parsed.table);
    assert_false(intake.memory_short);
    return parsed;
}

static struct parsed parse(const char *content)
{
    return parse_bytes(content, strlen(content));
}

static void discard(struct parsed *parsed)
{
    table_free(&parsed->table);
    sf_diagnostics_clear(&parsed->diagnostics);
}

/* The content must be the table a, b / 1.5, x / 2.5, y on lines 1, 2, 3. */
static void check_plain_table(const char *content, size_t first_line)
{
    struct parsed parsed = parse(content);
    const struct table *table = &parsed.table;
    assert_int_equal(parsed.state, FILE_READ);
    assert_int_equal(parsed.diagnostics.count, 0);
    assert_int_equal(table->column_count, 2);
    assert_int_equal(table->row_count, 2);
    assert_string_equal(table_header(table, 0), "a");
    assert_string_equal(table_header(table, 1), "b");
    assert_string_equal(table_text(table, 0, 0), "1.5");
    assert_string_equal(table_text(table, 0, 1), "x");
    assert_string_equal(table_text(table, 1, 0), "2.5");
    assert_string_equal(table_text(table, 1, 1), "y");
    assert_int_equal(table->header_line, first_line);
    assert_int_equal(table_line(table, 0, 0), first_line + 1);
    assert_int_equal(table_line(table, 1, 1), first_line + 2);
    discard(&parsed);
}

static void check_refused(const char *content, const char *expected)
{
    struct parsed parsed = parse(content);
    char *lines = diagnostic_lines(&parsed.diagnostics);
    assert_string_equal(lines, expected);
    assert_int_equal(parsed.state, FILE_BAD);
    free(lines);
    discard(&parsed);
}

/* RFC 4180 section 2: rule 1 (CRLF) and rule 2 (the last line end may be missing). */
static void crlf_lf_and_cr_end_lines(void **state)
{
    (void)state;
    check_plain_table("a,b\r\n1.5,x\r\n2.5,y\r\n", 1);
    check_plain_table("a,b\n1.5,x\n2.5,y\n", 1);
    check_plain_table("a,b\r1.5,x\r2.5,y\r", 1);
    check_plain_table("a,b\r\n1.5,x\r\n2.5,y", 1);
}

static void comma_semicolon_and_tab_part_cells(void **state)
{
    (void)state;
    check_plain_table("a;b\n1.5;x\n2.5;y\n", 1);
    check_plain_table("a\tb\n1.5\tx\n2.5\ty\n", 1);
}

static void the_header_line_alone_decides_on_the_separator(void **state)
{
    (void)state;
    struct parsed parsed = parse("#a\n#;;;;;\n \n\"k,;;;\nm\",b\n7;8;9;10,x\n");
    assert_int_equal(parsed.state, FILE_READ);
    assert_int_equal(parsed.table.separator, ',');
    assert_string_equal(table_text(&parsed.table, 0, 0), "7;8;9;10");
    discard(&parsed);
}

/* Inside the names of a header separators are letters like others, as long as they are fewer. */
static void the_commonest_separator_of_the_header_line_parts_cells(void **state)
{
    (void)state;
    static const struct {
        const char *content;
        char separator;
        size_t columns;
    } files[] = {
        {"ref,x_mm,y;z,note\nC7,4.5,2,x\n", ',', 4},
        {"ref;x_mm;y,z;note\nC7;4.5;2;x\n", ';', 4},
        {"ref\tx_mm\ty;z\tnote\nC7\t4.5\t2\tx\n", '\t', 4},
        {"ref\tx_mm\ty,z\tnote\nC7\t4.5\t2\tx\n", '\t', 4},
        /* those between quotation marks do not count */
        {"\"x, y, z\";note\n4.5;x\n", ';', 2},
        {"\"x; y; z\",note\n4.5,x\n", ',', 2},
        {"\"x\ty\tz\",note\n4.5,x\n", ',', 2},
    };
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        struct parsed parsed = parse(files[i].content);
        assert_int_equal(parsed.state, FILE_READ);
        assert_int_equal(parsed.table.separator, files[i].separator);
        assert_int_equal(parsed.table.column_count, files[i].columns);
        discard(&parsed);
    }
}

static void a_byte_order_mark_is_passed_over(void **state)
{
    (void)state;
    check_plain_table("\uFEFFa,b\n1.5,x\n2.5,y\n", 1);
    check_plain_table("\uFEFF\"a\",\"b\"\r\n\"1.5\",\"x\"\r\n\"2.5\",\"y\"\r\n", 1);
}

static void a_sep_line_names_the_separator(void **state)
{
    (void)state;
    check_plain_table("sep=;\r\na;b\r\n1.5;x\r\n2.5;y\r\n", 2);
    check_plain_table("\uFEFFSEP=\t\na\tb\n1.5\tx\n2.5\ty\n", 2);
    check_plain_table("\"sep=,\"\na,b\n1.5,x\n2.5,y\n", 2);
    check_plain_table("sep=;;;\na;b\n1.5;x\n2.5;y\n", 2);
    check_refused("sep=|\na|b\n", "x.csv:1: the line \"sep=\" names another separator, expected a "
                                  "comma, a semicolon or a tab\n");
}

static void comments_and_blank_rows_keep_the_count_of_lines(void **state)
{
    (void)state;
    struct parsed parsed = parse("# first, with a \"quote and a, comma\n"
                                 "\n"
                                 "a,b\n"
                                 "   \n"
                                 "#1.5,x\n"
                                 ",,,\n"
                                 "3.5,z\n"
                                 " \t \n"
                                 "  ,w\n"
                                 "# last");
    assert_int_equal(parsed.state, FILE_READ);
    assert_int_equal(parsed.table.header_line, 3);
    assert_int_equal(parsed.table.row_count, 2);
    assert_int_equal(table_line(&parsed.table, 0, 0), 7);
    assert_int_equal(table_line(&parsed.table, 1, 1), 9);
    assert_string_equal(table_text(&parsed.table, 1, 0), "");
    assert_string_equal(table_text(&parsed.table, 1, 1), "w");
    discard(&parsed);
}

/* RFC 4180 section 2, rules 5 to 7: quotation marks about cells that hold separators, line ends and
 * quotation marks, the last doubled. */
static void quoted_cells_hold_separators_line_ends_and_quotation_marks(void **state)
{
    (void)state;
    struct parsed parsed =
        parse("a,b,c\r\n\"x,y\",\"one\r\n# two\",\"say \"\"so\"\"\"\r\n7,8,9\r\n");
    assert_int_equal(parsed.state, FILE_READ);
    assert_string_equal(table_text(&parsed.table, 0, 0), "x,y");
    assert_string_equal(table_text(&parsed.table, 0, 1), "one\r\n# two");
    assert_string_equal(table_text(&parsed.table, 0, 2), "say \"so\"");
    assert_int_equal(table_line(&parsed.table, 0, 1), 2);
    assert_int_equal(table_line(&parsed.table, 0, 2), 3);
    assert_int_equal(table_line(&parsed.table, 1, 0), 4);
    discard(&parsed);
}

/* RFC 4180 section 2, rule 4, holds blanks to be part of a cell; they are dropped here, since
 * nobody sees them in a spreadsheet. */
static void blanks_about_a_cell_are_dropped(void **state)
{
    (void)state;
    check_plain_table("a ,\tb\n\u00A01.5 ,\" x \"\n2.5\u202F,  y\n", 1);
}

static void blank_cells_beyond_the_header_are_dropped_and_short_rows_filled(void **state)
{
    (void)state;
    check_plain_table("a,b,,\n1.5,x,,,\n2.5,y\n", 1);
    struct parsed parsed = parse("a,b,c\n1.5\n");
    assert_int_equal(parsed.state, FILE_READ);
    assert_string_equal(table_text(&parsed.table, 0, 2), "");
    assert_int_equal(table_line(&parsed.table, 0, 2), 2);
    discard(&parsed);
}

/* OWASP, CSV Injection: cells that begin with = + - @ are guarded by an apostrophe. */
static void the_guard_before_a_formula_sign_is_taken_off(void **state)
{
    (void)state;
    struct parsed parsed = parse("a,b,c,d,e\n'=x,'+y,\"'-z\",'@w,'tis\n");
    assert_string_equal(table_text(&parsed.table, 0, 0), "=x");
    assert_string_equal(table_text(&parsed.table, 0, 1), "+y");
    assert_string_equal(table_text(&parsed.table, 0, 2), "-z");
    assert_string_equal(table_text(&parsed.table, 0, 3), "@w");
    assert_string_equal(table_text(&parsed.table, 0, 4), "'tis");
    discard(&parsed);
}

static void an_unclosed_quotation_mark_is_named_by_its_opening_line(void **state)
{
    (void)state;
    check_refused("a,b\n1.5,x\n2.5,\"y\n3.5,z\n4.5,w\n",
                  "x.csv:3: a quotation mark opened here is never closed, expected its closing "
                  "quotation mark\n");
}

static void a_quotation_mark_inside_a_cell_is_refused(void **state)
{
    (void)state;
    const char *expected = "x.csv:2: there is a quotation mark in the middle of a cell, expected "
                           "quotation marks around a whole cell, and doubled inside it\n";
    check_refused("a,b\n1.5,5\" pipe\n", expected);
    check_refused("a,b\n1.5,\"x\"y\n", expected);
}

static void a_lone_carriage_return_is_refused(void **state)
{
    (void)state;
    check_refused("a,b\n1.5,x\n2.5,y\rz,w\n",
                  "x.csv:3: there is a lone carriage return in the middle of a line, expected line "
                  "ends LF or CRLF\n");
}

/* In ISO 8859-1 the degree sign is the byte B0, which no UTF-8 text holds alone (RFC 3629). */
static void a_byte_that_is_not_utf8_is_named(void **state)
{
    (void)state;
    check_refused("a,b\n1.5,\xB0"
                  "C\n",
                  "x.csv:2: byte 0xB0 at position 9 is not UTF-8, expected UTF-8 (save the sheet "
                  "as CSV with the encoding UTF-8)\n");
}

/* RFC 3629 section 3 and Unicode 15 table 3-7: overlong forms, surrogates, values above U+10FFFF
 * and characters cut short are ill-formed. */
static void ill_formed_utf8_is_refused(void **state)
{
    (void)state;
    static const char *const ill[] = {"\xC0\xAF",
                                      "\xE0\x80\xAF",
                                      "\xED\xA0\x80",
                                      "\xF4\x90\x80\x80",
                                      "\xF0\x80\x80\xAF",
                                      "\xF5\x80\x80\x80",
                                      "\xE2\x82",
                                      "\x80",
                                      "\xC3("};
    for (size_t i = 0; i < sizeof ill / sizeof ill[0]; i++) {
        struct parsed parsed = parse(ill[i]);
        assert_int_equal(parsed.state, FILE_BAD);
        assert_non_null(strstr(parsed.diagnostics.items[0].what, "at position 1 is not UTF-8"));
        discard(&parsed);
    }
}

/* The last character of each length, U+07FF, U+FFFD and U+10FFFF. */
static void well_formed_utf8_is_kept(void **state)
{
    (void)state;
    struct parsed parsed = parse("a,b\n\xDF\xBF\xEF\xBF\xBD,\xF4\x8F\xBF\xBF\n");
    assert_int_equal(parsed.state, FILE_READ);
    assert_string_equal(table_text(&parsed.table, 0, 0), "\xDF\xBF\xEF\xBF\xBD");
    discard(&parsed);
}

static void utf16_has_its_own_message(void **state)
{
    (void)state;
    const char *expected = "x.csv: is written in UTF-16, expected UTF-8 (save the sheet as CSV "
                           "with the encoding UTF-8)\n";
    static const char little[] = "\xFF\xFE"
                                 "a\0,\0b\0";
    static const char big[] = "\xFE\xFF"
                              "\0a\0,\0b";
    for (int i = 0; i < 2; i++) {
        struct parsed parsed = parse_bytes(i ? big : little, sizeof little - 1);
        char *lines = diagnostic_lines(&parsed.diagnostics);
        assert_string_equal(lines, expected);
        free(lines);
        discard(&parsed);
    }
    check_refused("\xFF\xFE", expected);
}

/* Marks from Unicode 15.0, table 2-4; that of UTF-32, little end first, begins with that of UTF-16.
 */
static void utf32_and_a_second_mark_have_their_own_message(void **state)
{
    (void)state;
    static const struct {
        const char *bytes, *says;
    } starts[] = {
        {"\xFF\xFE\0\0a\0\0\0", "is written in UTF-32"},
        {"\0\0\xFE\xFF\0\0\0a", "is written in UTF-32"},
        {"\xEF\xBB\xBF\xEF\xBB\xBF"
         "a\n",
         "begins with two byte order marks"},
    };
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++) {
        struct parsed parsed = parse_bytes(starts[i].bytes, 8);
        char *lines = diagnostic_lines(&parsed.diagnostics), expected[160];
        snprintf(expected, sizeof expected,
                 "x.csv: %s, expected UTF-8 (save the sheet as CSV with the encoding UTF-8)\n",
                 starts[i].says);
        assert_string_equal(lines, expected);
        free(lines);
        discard(&parsed);
    }
}

static void nul_and_control_bytes_are_refused(void **state)
{
    (void)state;
    static const char nul[] = "a,b\n1.5,x\0y\n";
    struct parsed parsed = parse_bytes(nul, sizeof nul - 1);
    char *lines = diagnostic_lines(&parsed.diagnostics);
    assert_string_equal(lines, "x.csv:2: byte 0x00 at position 10 is a control character, expected "
                               "plain text\n");
    free(lines);
    discard(&parsed);
    check_refused("a,b\n1.5,x\n\x1A", "x.csv:3: byte 0x1A at position 11 is a control character, "
                                      "expected plain text\n");
    check_refused("a,b\n1.5,x\x7F\n", "x.csv:2: byte 0x7F at position 10 is a control character, "
                                      "expected plain text\n");
}

static void a_file_without_a_header_is_refused(void **state)
{
    (void)state;
    const char *expected = "x.csv: the file has no header line, expected a line of column "
                           "names\n";
    check_refused("", expected);
    check_refused("\n \n# nothing\n,,,\n", expected);
}

static void a_surplus_cell_is_refused_by_line_and_place(void **state)
{
    (void)state;
    struct parsed parsed = parse("a,b\n1.5,x,,extra,more\n2.5,y\n");
    char *lines = diagnostic_lines(&parsed.diagnostics);
    assert_string_equal(lines, "x.csv:2: cell 4, \"extra\", lies beyond the 2 columns of the "
                               "header, expected no more cells than the header names\n");
    assert_int_equal(parsed.state, FILE_READ);
    assert_int_equal(parsed.table.row_count, 2);
    free(lines);
    discard(&parsed);
}

static void a_column_that_stands_twice_is_refused(void **state)
{
    (void)state;
    struct parsed parsed = parse("a,b,A\n1.5,x,2\n");
    char *lines = diagnostic_lines(&parsed.diagnostics);
    assert_string_equal(lines, "x.csv:1: A: this column appears twice in the header, expected each "
                               "column once\n");
    free(lines);
    discard(&parsed);
}

/* A header, then one cell of `length` bytes between two marks. */
static char *long_cell(size_t length, const char *opening, const char *closing)
{
    text content = {0};
    text_addf(&content, "a\n%s", opening);
    for (size_t i = 0; i < length; i++)
        text_add_bytes(&content, "m", 1);
    text_addf(&content, "%s\n", closing);
    return text_take(&content);
}

static void a_cell_may_be_as_long_as_the_limit_and_no_longer(void **state)
{
    (void)state;
    static const char *const marks[] = {"", "\""};
    for (int i = 0; i < 2; i++) {
        char *fits = long_cell(SF_FIELD_BYTES_MAX, marks[i], marks[i]);
        struct parsed parsed = parse(fits);
        assert_int_equal(parsed.state, FILE_READ);
        assert_int_equal(strlen(table_text(&parsed.table, 0, 0)), SF_FIELD_BYTES_MAX);
        discard(&parsed);
        free(fits);

        char *longer = long_cell(SF_FIELD_BYTES_MAX + 1, marks[i], marks[i]);
        check_refused(longer, "x.csv:2: a cell is longer than the limit of 4096 bytes\n");
        free(longer);
    }
}

static void an_unclosed_quotation_mark_in_a_large_file_stops_at_the_limit(void **state)
{
    (void)state;
    char *content = long_cell(3000000, "\"", "");
    check_refused(content, "x.csv:2: a cell is longer than the limit of 4096 bytes, expected its "
                           "closing quotation mark\n");
    free(content);
}

static void more_columns_than_the_limit_are_refused(void **state)
{
    (void)state;
    char content[1024] = "";
    for (unsigned i = 0; i <= SF_COLUMNS_MAX; i++)
        sprintf(content + strlen(content), "k%u,", i);
    check_refused(content, "x.csv:1: the header has more columns than the limit of 64\n");
}

static void more_rows_than_the_limit_are_refused(void **state)
{
    (void)state;
    text rows = {0};
    text_add(&rows, "a\n");
    for (size_t i = 0; i <= SF_ROWS_MAX; i++)
        text_add(&rows, "7\n");
    char *content = text_take(&rows);
    check_refused(content, "x.csv:1000002: the file has more rows than the limit of 1000000\n");
    free(content);
}

static void check_bytes(const char *content, size_t start, size_t end, const char *expected)
{
    assert_int_equal(end - start, strlen(expected));
    assert_memory_equal(content + start, expected, end - start);
}

static void every_cell_and_row_lies_where_the_table_says(void **state)
{
    (void)state;
    static const char content[] =
        "\xEF\xBB\xBF# head\r\nref ; note;odd\r\n\r\n\"C 7\"; \"a;\r\nb\";7;\r\n"
        "# between\r\nC8";
    static const char *const rows[] = {"ref ; note;odd", "\"C 7\"; \"a;\r\nb\";7;", "C8"};
    static const char *const cells[] = {"ref ", " note", "odd", "\"C 7\"", " \"a;\r\nb\"",
                                        "7",    "C8",    "",    ""};
    static const size_t counts[] = {3, 4, 1};
    struct parsed parsed = parse(content);
    const struct table *table = &parsed.table;
    assert_int_equal(parsed.state, FILE_READ);
    assert_int_equal(table->row_count, 2);
    for (size_t i = 0; i < 3; i++) {
        check_bytes(content, table->rows[i].start, table->rows[i].end, rows[i]);
        assert_int_equal(table->rows[i].cells, counts[i]);
    }
    assert_int_equal(table->cell_count, 9);
    for (size_t i = 0; i < 9; i++)
        check_bytes(content, table->cells[i].start, table->cells[i].end, cells[i]);
    discard(&parsed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(crlf_lf_and_cr_end_lines),
        cmocka_unit_test(comma_semicolon_and_tab_part_cells),
        cmocka_unit_test(the_header_line_alone_decides_on_the_separator),
        cmocka_unit_test(the_commonest_separator_of_the_header_line_parts_cells),
        cmocka_unit_test(a_byte_order_mark_is_passed_over),
        cmocka_unit_test(a_sep_line_names_the_separator),
        cmocka_unit_test(comments_and_blank_rows_keep_the_count_of_lines),
        cmocka_unit_test(quoted_cells_hold_separators_line_ends_and_quotation_marks),
        cmocka_unit_test(blanks_about_a_cell_are_dropped),
        cmocka_unit_test(blank_cells_beyond_the_header_are_dropped_and_short_rows_filled),
        cmocka_unit_test(the_guard_before_a_formula_sign_is_taken_off),
        cmocka_unit_test(an_unclosed_quotation_mark_is_named_by_its_opening_line),
        cmocka_unit_test(a_quotation_mark_inside_a_cell_is_refused),
        cmocka_unit_test(a_lone_carriage_return_is_refused),
        cmocka_unit_test(a_byte_that_is_not_utf8_is_named),
        cmocka_unit_test(ill_formed_utf8_is_refused),
        cmocka_unit_test(well_formed_utf8_is_kept),
        cmocka_unit_test(utf16_has_its_own_message),
        cmocka_unit_test(utf32_and_a_second_mark_have_their_own_message),
        cmocka_unit_test(nul_and_control_bytes_are_refused),
        cmocka_unit_test(a_file_without_a_header_is_refused),
        cmocka_unit_test(a_surplus_cell_is_refused_by_line_and_place),
        cmocka_unit_test(a_column_that_stands_twice_is_refused),
        cmocka_unit_test(a_cell_may_be_as_long_as_the_limit_and_no_longer),
        cmocka_unit_test(an_unclosed_quotation_mark_in_a_large_file_stops_at_the_limit),
        cmocka_unit_test(more_columns_than_the_limit_are_refused),
        cmocka_unit_test(more_rows_than_the_limit_are_refused),
        cmocka_unit_test(every_cell_and_row_lies_where_the_table_says),
    };
    return cmocka_run_group_tests_name("job table", tests, NULL, NULL);
}
