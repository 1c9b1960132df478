/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The JSON of the command map, read back by jansson and held against the tables it stands for,
 * read back by libcsv. */
#include "support/check.h"

#include <csv.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "job_folder.h"
#include "program.h"
#include "spotfield/output.h"

/* --- a table as rows of texts --- */

enum { COLUMNS_MAX = 32, ROWS_MAX = 32 };

typedef struct table {
    char *cells[ROWS_MAX][COLUMNS_MAX];
    size_t columns, rows; /* the header is row 0 */
    size_t column;        /* of the row being read */
} table;

static void take_cell(void *bytes, size_t length, void *into)
{
    table *read = into;
    assert_true(read->rows < ROWS_MAX && read->column < COLUMNS_MAX);
    char *cell = calloc(length + 1, 1);
    assert_non_null(cell);
    memcpy(cell, bytes, length);
    read->cells[read->rows][read->column++] = cell;
}

static void take_row(int end, void *into)
{
    (void)end;
    table *read = into;
    read->columns = read->column;
    read->column = 0;
    read->rows++;
}

static void table_read(const char *path, table *into)
{
    size_t size = 0;
    struct csv_parser parser;
    char *bytes = bytes_of(path, &size);
    *into = (table){0};
    assert_int_equal(csv_init(&parser, CSV_STRICT), 0);
    assert_int_equal(csv_parse(&parser, bytes, size, take_cell, take_row, into), size);
    assert_int_equal(csv_fini(&parser, take_cell, take_row, into), 0);
    csv_free(&parser);
    free(bytes);
}

static void table_free(table *freed)
{
    for (size_t row = 0; row < freed->rows; row++)
        for (size_t column = 0; column < freed->columns; column++)
            free(freed->cells[row][column]);
}

/* --- comparing --- */

/* Half a unit of the last decimal that a cell shows. */
static double rounding_of(const char *cell)
{
    const char *point = strchr(cell, '.');
    return 0.5 * pow(10, point ? -(double)strlen(point + 1) : 0);
}

static void expect_cell(const char *column, const char *cell, const json_t *value)
{
    if (!value)
        fail_msg("no %s in the JSON", column);
    if (json_is_null(value))
        assert_string_equal(cell, "");
    else if (json_is_boolean(value))
        assert_string_equal(json_is_true(value) ? "yes" : "no", cell);
    else if (json_is_number(value))
        assert_close(json_number_value(value), strtod(cell, NULL), 1e-8, rounding_of(cell));
    else
        assert_string_equal(json_string_value(value), cell);
}

/* An array of objects against the table of the same columns. */
static void expect_table(const json_t *objects, const char *folder, const char *name)
{
    table read;
    table_read(in_folder(folder, name), &read);
    assert_int_equal(json_array_size(objects), read.rows - 1);
    for (size_t row = 0; row + 1 < read.rows; row++) {
        const json_t *object = json_array_get(objects, row);
        assert_int_equal(json_object_size(object), read.columns);
        for (size_t column = 0; column < read.columns; column++)
            expect_cell(read.cells[0][column], read.cells[row + 1][column],
                        json_object_get(object, read.cells[0][column]));
    }
    table_free(&read);
}

/* What map --json says of a job, decref'd by the caller. */
static json_t *map_to_json(const char *folder, const char *option, const char *value)
{
    json_error_t error;
    ended said = run_in(&(surroundings){0},
                        (const char *const[]){"map", "--json", folder, option, value, NULL});
    if (said.status != 0)
        fail_msg("exit status %d: %s", said.status, said.message);
    json_t *found = json_loads(said.out, JSON_REJECT_DUPLICATES, &error);
    if (!found)
        fail_msg("line %d: %s", error.line, error.text);
    ended_free(&said);
    return found;
}

static const json_t *member(const json_t *of, const char *group, const char *name)
{
    const json_t *found = json_object_get(json_object_get(of, group), name);
    if (!found)
        fail_msg("no %s in %s", name, group);
    return found;
}

static double number_of(const json_t *of, const char *group, const char *name)
{
    const json_t *found = member(of, group, name);
    assert_true(json_is_number(found));
    return json_number_value(found);
}

/* --- tests --- */

static void the_object_is_versioned_and_says_what_it_is_about(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    json_t *found = map_to_json(folder, NULL, NULL);
    assert_int_equal(json_integer_value(json_object_get(found, "schema")), 4);
    assert_string_equal(json_string_value(json_object_get(found, "job")), folder);
    /* the board of job_folder.c */
    assert_string_equal(json_string_value(member(found, "board", "name")), "Talkback amplifier");
    assert_close(number_of(found, "board", "width_mm"), 97.5, 1e-12, 0);
    assert_close(number_of(found, "board", "height_mm"), 71.25, 1e-12, 0);
    assert_close(number_of(found, "board", "service_ambient_c"), 31.5, 1e-12, 0);
    assert_close(number_of(found, "field", "readings"), 5, 0, 0);
    json_decref(found);
    remove_folder(folder);
}

static void its_arrays_are_those_of_the_tables(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    json_t *found = map_to_json(folder, NULL, NULL);
    assert_int_equal(json_array_size(json_object_get(found, "parts")), 5);
    expect_table(json_object_get(found, "parts"), folder, "out/parts.csv");
    assert_true(json_array_size(json_object_get(found, "zones")) > 0);
    expect_table(json_object_get(found, "zones"), folder, "out/zones.csv");
    assert_true(json_array_size(json_object_get(found, "sources")) >= 2);
    expect_table(json_object_get(found, "sources"), folder, "out/sources.csv");
    assert_true(json_array_size(json_object_get(found, "kit")) > 0);
    expect_table(json_object_get(found, "kit"), folder, "out/kit.csv");
    json_decref(found);
    remove_folder(folder);
}

static void the_counts_of_the_summary_are_those_of_the_parts(void **state)
{
    (void)state;
    static const char *const words[] = {"replace", "check", "leave"};
    char folder[PATH_BYTES];
    lay_job(folder);
    json_t *found = map_to_json(folder, NULL, NULL);
    double total = 0;
    for (size_t i = 0; i < 3; i++) {
        size_t count = 0, index;
        const json_t *part;
        json_array_foreach(json_object_get(found, "parts"), index, part) count +=
            strcmp(json_string_value(json_object_get(part, "verdict")), words[i]) == 0;
        assert_int_equal(number_of(found, "summary", words[i]), count);
        total += number_of(found, "summary", words[i]);
    }
    assert_int_equal(total, number_of(found, "summary", "parts"));
    assert_has(json_string_value(member(found, "summary", "sentence")), " of 5 capacitors");
    json_decref(found);
    remove_folder(folder);
}

static void what_is_not_known_is_null(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "board.csv", "run_hours,38400,h\n", "");
    json_t *found = map_to_json(folder, "--model", "thin-plate");
    const json_t *part = json_array_get(json_object_get(found, "parts"), 1);
    assert_true(json_is_null(member(found, "board", "run_hours_h")));
    assert_true(json_is_null(member(found, "field", "length_mm")));
    assert_true(json_is_null(json_object_get(part, "used")));
    assert_true(json_is_number(json_object_get(part, "temp_c")));
    json_decref(found);
    remove_folder(folder);
}

/* What is told of one of the references; fails the test where it is not that model. */
static const json_t *reference_error(const json_t *told, size_t at, const char *model)
{
    const json_t *one = json_array_get(member(told, "field", "yardsticks"), at);
    assert_string_equal(json_string_value(json_object_get(one, "model")), model);
    return json_object_get(one, "left_out_rmse_k");
}

static void the_model_that_is_asked_for_is_used_and_the_others_are_references(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    json_t *usual = map_to_json(folder, NULL, NULL);
    json_t *other = map_to_json(folder, "--model", "kriging");
    assert_string_equal(json_string_value(member(usual, "field", "model")), "heat-balance");
    assert_string_equal(json_string_value(member(other, "field", "model")), "kriging");
    assert_close(json_number_value(reference_error(usual, 0, "thin-plate")),
                 json_number_value(reference_error(other, 1, "thin-plate")), 1e-8, 0);
    assert_close(number_of(usual, "field", "left_out_rmse_k"),
                 json_number_value(reference_error(other, 0, "heat-balance")), 1e-8, 0);
    assert_close(number_of(other, "field", "left_out_rmse_k"),
                 json_number_value(reference_error(usual, 1, "kriging")), 1e-8, 0);
    json_decref(usual);
    json_decref(other);
    remove_folder(folder);
}

static void the_left_out_errors_are_also_told_in_words(void **state)
{
    (void)state;
    char folder[PATH_BYTES], line[256];
    lay_job(folder);
    json_t *found = map_to_json(folder, NULL, NULL);
    ended said = run("map", folder);
    snprintf(line, sizeof line,
             "\nLeft-out error, for comparing models: %.2f K by heat-balance, %.2f K by "
             "thin-plate, %.2f K by kriging.\n",
             number_of(found, "field", "left_out_rmse_k"),
             json_number_value(reference_error(found, 0, "thin-plate")),
             json_number_value(reference_error(found, 1, "kriging")));
    assert_has(said.out, line);
    ended_free(&said);
    json_decref(found);
    remove_folder(folder);
}

static void a_model_that_could_not_be_fitted_is_said_so(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    /* one reading: too few for a spline */
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method,spot\nk1,31,37.5,58.9,C,thermocouple-K,board\n");
    json_t *found = map_to_json(folder, NULL, NULL);
    ended said = run("map", folder);
    assert_true(json_is_null(reference_error(found, 0, "thin-plate")));
    assert_true(json_is_null(reference_error(found, 1, "kriging")));
    assert_has(said.out, "thin-plate could not be fitted, kriging could not be fitted.\n");
    assert_has_not(said.message, "thin-plate");
    ended_free(&said);
    json_decref(found);
    remove_folder(folder);
}

static void the_cell_that_is_asked_for_is_used(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    json_t *coarse = map_to_json(folder, "--cell", "4.7");
    json_t *fine = map_to_json(folder, "--cell", "0.75");
    /* a whole number of cells spans the width */
    assert_close(number_of(coarse, "field", "cell_mm"), 97.5 / 21, 1e-8, 0);
    assert_close(number_of(fine, "field", "cell_mm"), 0.75, 1e-8, 0);
    assert_true(number_of(fine, "field", "cells") > 10000);
    json_decref(coarse);
    json_decref(fine);
    remove_folder(folder);
}

static void every_file_is_named_with_its_path(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    json_t *found = map_to_json(folder, NULL, NULL);
    size_t count = 0;
    for (const sf_output *output = sf_outputs(); output->name; output++, count++) {
        const char *path = json_string_value(member(found, "files", output->name));
        assert_string_equal(path, in_folder(in_folder(folder, "out"), output->name));
        free(bytes_of(path, NULL));
    }
    assert_int_equal(json_object_size(json_object_get(found, "files")), count);
    json_decref(found);
    remove_folder(folder);
}

static void warnings_are_told_in_the_object_too(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "parts.csv", ",condition", ",conditoin");
    json_t *found = map_to_json(folder, "--quiet", NULL);
    const json_t *first = json_array_get(json_object_get(found, "warnings"), 0);
    assert_has(json_string_value(first), "parts.csv:1: warning: unknown column \"conditoin\"");
    json_decref(found);
    remove_folder(folder);
}

static void a_folder_whose_name_is_not_utf_8_does_not_spoil_the_object(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    const char *odd = in_folder(folder, "caf\xE9");
    json_t *found = map_to_json(folder, "--out", odd);
    assert_string_equal(json_string_value(member(found, "files", "kit.csv")),
                        in_folder(folder, "caf?/kit.csv"));
    json_decref(found);
    remove_folder(folder);
}

static void a_failed_run_prints_no_object(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    change_file(folder, "parts.csv", "44,40.5", "44,4O.5");
    ended said = run("map", "--json", folder);
    assert_int_equal(said.status, 65);
    assert_string_equal(said.out, "");
    assert_has(said.message, "parts.csv:3: y_mm: ");
    ended_free(&said);
    remove_folder(folder);
}

/* More than one buffer full: the write that fails is not the last. */
static void a_reader_that_stops_reading_is_no_news(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run_in(&(surroundings){.reader_gone = true},
                        (const char *const[]){"map", "--json", folder, NULL});
    assert_int_equal(said.status, 73);
    assert_has_not(said.message, "standard output");
    ended_free(&said);
    remove_folder(folder);
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_object_is_versioned_and_says_what_it_is_about),
        cmocka_unit_test(its_arrays_are_those_of_the_tables),
        cmocka_unit_test(the_counts_of_the_summary_are_those_of_the_parts),
        cmocka_unit_test(what_is_not_known_is_null),
        cmocka_unit_test(the_model_that_is_asked_for_is_used_and_the_others_are_references),
        cmocka_unit_test(the_left_out_errors_are_also_told_in_words),
        cmocka_unit_test(a_model_that_could_not_be_fitted_is_said_so),
        cmocka_unit_test(the_cell_that_is_asked_for_is_used),
        cmocka_unit_test(every_file_is_named_with_its_path),
        cmocka_unit_test(warnings_are_told_in_the_object_too),
        cmocka_unit_test(a_folder_whose_name_is_not_utf_8_does_not_spoil_the_object),
        cmocka_unit_test(a_failed_run_prints_no_object),
        cmocka_unit_test(a_reader_that_stops_reading_is_no_news),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("json", tests, NULL, NULL);
}
