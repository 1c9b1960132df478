/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the page can do, each over its socket as a browser would ask: plan, undo and redo, what if,
 * and the results. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <gsl/gsl_errno.h>

#include "core/text.h"
#include "served.h"
#include "spotfield/output.h"

static char *read_bytes(const char *of, const char *name, size_t *size)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", of, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    char *bytes = malloc(1u << 20);
    assert_non_null(bytes);
    *size = fread(bytes, 1, 1u << 20, file);
    assert_true(*size > 0 && *size < 1u << 20);
    fclose(file);
    return bytes;
}

static void every_result_is_exported_and_shown_byte_by_byte(void **state)
{
    (void)state;
    assert_int_equal(served_status("out/parts.csv", NULL), 404);
    json_t *told = served_json("export", "", 200);
    assert_string_equal(json_string_value(json_object_get(told, "folder")), served_results);
    const json_t *names = json_object_get(told, "names");
    size_t count = 0;
    for (const sf_output *output = sf_outputs(); output->name; output++, count++) {
        const json_t *name = json_object_get(json_array_get(names, count), "name");
        char path[256];
        size_t size = 0;
        assert_string_equal(json_string_value(name), output->name);
        snprintf(path, sizeof path, "out/%s", output->name);
        answer got = served_ask(path, NULL, 0);
        char *bytes = read_bytes(served_results, output->name, &size);
        assert_int_equal(got.status, 200);
        assert_int_equal(got.size - (size_t)(got.body - got.bytes), size);
        assert_memory_equal(got.body, bytes, size);
        answer_clear(&got);
        free(bytes);
    }
    assert_int_equal(json_array_size(names), count);
    json_decref(told);
}

/* A report from a foreign folder may hold anything: it may run only what it brings. */
static void a_result_comes_with_its_type_and_a_policy_of_its_own(void **state)
{
    (void)state;
    static const char *const types[][2] = {{"out/parts.csv", "Content-Type: text/csv"},
                                           {"out/heat.png", "Content-Type: image/png"},
                                           {"out/report.html", "Content-Type: text/html"}};
    assert_int_equal(served_status("export", ""), 200);
    for (size_t i = 0; i < sizeof types / sizeof *types; i++) {
        answer got = served_ask(types[i][0], NULL, 0);
        assert_int_equal(got.status, 200);
        assert_non_null(strstr(got.bytes, types[i][1]));
        assert_non_null(strstr(got.bytes, "connect-src 'none'"));
        assert_non_null(strstr(got.bytes, "frame-ancestors 'none'\r\n"));
        answer_clear(&got);
    }
}

static void a_job_with_faults_exports_nothing_and_says_why(void **state)
{
    (void)state;
    size_t size = 0;
    assert_int_equal(served_status("export", ""), 200);
    char *before = read_bytes(served_results, "parts.csv", &size);
    write_file(served_folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method\nr3,44,27,hot,C,infrared\n");
    answer got = served_ask("export", "", 0);
    assert_int_equal(got.status, 409);
    assert_non_null(strstr(got.body, "readings.csv:2"));
    answer_clear(&got);
    size_t size_after = 0;
    char *after = read_bytes(served_results, "parts.csv", &size_after);
    assert_int_equal(size, size_after);
    assert_memory_equal(before, after, size);
    free(before);
    free(after);
}

/* Each row has one fault, and there are more of them than are kept. */
static void of_very_many_faults_those_that_are_kept_are_told(void **state)
{
    (void)state;
    text rows = {0};
    text_add(&rows, "id,x_mm,y_mm,value,unit,method\n");
    for (int i = 0; i < SF_DIAGNOSTICS_KEPT + 77; i++)
        text_addf(&rows, "r%d,44,27,hot,C,infrared\n", i);
    assert_false(rows.failed);
    write_file(served_folder, "readings.csv", rows.bytes);
    text_clear(&rows);
    answer got = served_ask("export", "", 0);
    assert_int_equal(got.status, 409);
    json_t *read = json_loads(got.body, 0, NULL);
    assert_int_equal(json_array_size(json_object_get(read, "complaints")), SF_DIAGNOSTICS_KEPT);
    json_decref(read);
    answer_clear(&got);
}

/* Some 10 MB before it was bounded; the limit of columns is the job's. */
static void a_file_of_a_million_columns_is_not_told_to_the_browser(void **state)
{
    (void)state;
    enum { COLUMNS = 1000000 };
    char *header = malloc(COLUMNS + 8);
    assert_non_null(header);
    for (size_t i = 0; i < COLUMNS; i += 2)
        memcpy(header + i, ",a", 2);
    memcpy(header, "mark", 4);
    memcpy(header + COLUMNS, "\na\n", 4);
    write_file(served_folder, "photo-marks.csv", header);
    answer got = served_ask("job", NULL, 0);
    assert_int_equal(got.status, 200);
    assert_true(got.size < 20000);
    json_t *read = json_loads(got.body, 0, NULL), *files = json_object_get(read, "files");
    assert_true(json_is_null(json_object_get(files, "photo-marks.csv")));
    assert_true(json_is_object(json_object_get(files, "parts.csv")));
    json_decref(read);
    answer_clear(&got);
    assert_int_equal(served_status("edit",
                                   "{\"ops\": [{\"file\": \"photo-marks.csv\", \"op\":"
                                   "\"delete\", \"row\": 0, \"expect\": {\"mark\": \"a\"}}]}"),
                     409);
    size_t size = 0;
    char *still = read_bytes(served_folder, "photo-marks.csv", &size);
    assert_int_equal(size, COLUMNS + 3);
    assert_memory_equal(still, header, size);
    free(still);
    free(header);
}

static void what_is_taken_back_can_be_done_again(void **state)
{
    (void)state;
    const char insert[] = "{\"label\": \"part C11\", \"ops\": [{\"file\": \"parts.csv\","
                          "\"op\": \"insert\", \"set\": {\"ref\": \"C11\", \"x_mm\": \"71.5\","
                          "\"y_mm\": \"16\"}}]}";
    assert_int_equal(served_status("redo", ""), 400);
    assert_int_equal(served_status("edit", insert), 200);
    answer undone = served_ask("undo", "", 0);
    assert_int_equal(undone.status, 200);
    assert_null(strstr(undone.body, "\"C11\""));
    assert_non_null(strstr(undone.body, "\"redo\":\"part C11\""));
    answer_clear(&undone);
    answer redone = served_ask("redo", "", 0);
    assert_int_equal(redone.status, 200);
    assert_non_null(strstr(redone.body, "\"C11\""));
    answer_clear(&redone);
    assert_int_equal(served_status("redo", ""), 400);
}

static void an_undo_that_another_program_stands_against_tells_the_conflict(void **state)
{
    (void)state;
    const char move[] =
        "{\"label\": \"move C9\", \"ops\": [{\"file\": \"parts.csv\", \"op\": \"set\","
        "\"row\": 1, \"expect\": {\"ref\": \"C9\"}, \"set\": {\"x_mm\": \"23.5\"}}]}";
    assert_int_equal(served_status("edit", move), 200);
    write_file(served_folder, "parts.csv", "ref,x_mm,y_mm\nC7,47.5,31\nC9,77.5,64\n");
    answer got = served_ask("undo", "", 0);
    assert_int_equal(got.status, 409);
    json_t *read = json_loads(got.body, JSON_DECODE_ANY, NULL);
    assert_true(json_is_object(json_object_get(read, "conflict")));
    json_decref(read);
    answer_clear(&got);
}

/* Looks until the plan of the files as they are has been made. */
static json_t *wait_for_plan(void)
{
    const struct timespec pause = {.tv_nsec = 50000000};
    json_decref(served_json("live", NULL, 200));
    for (;;) {
        json_t *stamp = served_json("stamp", NULL, 200), *plan = served_json("plan", NULL, 200);
        bool made = json_equal(stamp, json_object_get(plan, "stamp")) &&
                    json_is_false(json_object_get(plan, "thinking"));
        json_decref(stamp);
        if (made)
            return plan;
        json_decref(plan);
        nanosleep(&pause, NULL);
    }
}

static void the_plan_comes_when_it_is_made_with_reasons(void **state)
{
    (void)state;
    json_t *plan = wait_for_plan();
    const json_t *points = json_object_get(plan, "points");
    assert_true(json_array_size(points) > 0);
    for (size_t i = 0; i < json_array_size(points); i++) {
        const json_t *point = json_array_get(points, i);
        double x_mm = json_number_value(json_object_get(point, "x_mm"));
        assert_true(x_mm > 0 && x_mm < 125);
        assert_true(json_number_value(json_object_get(point, "gain")) > 0);
        assert_true(json_string_length(json_object_get(point, "reason")) > 10);
        const char *spot = json_string_value(json_object_get(point, "spot"));
        const char *side = json_string_value(json_object_get(point, "side"));
        assert_true(strcmp(spot, "board") == 0 || strcmp(spot, "part") == 0);
        assert_true((strcmp(side, "component side") == 0) == (strcmp(spot, "part") == 0));
    }
    assert_true(json_is_null(json_object_get(plan, "expected")));
    json_decref(plan);
}

static void before_any_reading_the_plan_shows_what_is_expected(void **state)
{
    (void)state;
    write_file(served_folder, "readings.csv", "id,x_mm,y_mm,value,unit,method\n");
    write_file(served_folder, "sources.csv", "ref,x_mm,y_mm,width_mm,height_mm\nR5,53,37,8,6\n");
    json_t *plan = wait_for_plan();
    const json_t *expected = json_object_get(plan, "expected");
    assert_true(json_is_object(expected));
    assert_true(json_array_size(json_object_get(plan, "points")) > 0);
    json_decref(plan);
}

static void a_what_if_answers_for_each_part_and_wants_its_numbers(void **state)
{
    (void)state;
    json_t *now = served_json("what-if", "{\"air_k\": 0, \"hours\": 0}", 200);
    json_t *warm = served_json("what-if", "{\"air_k\": 9.5, \"hours\": 0}", 200);
    json_t *later = served_json("what-if", "{\"air_k\": 0, \"hours\": 7300}", 200);
    assert_int_equal(json_array_size(now), 2);
    for (size_t i = 0; i < 2; i++) {
        double used = json_number_value(json_object_get(json_array_get(now, i), "used"));
        /* warmer air wears from now on */
        assert_close(json_number_value(json_object_get(json_array_get(warm, i), "used")), used,
                     1e-12, 0);
        assert_close(json_number_value(json_object_get(json_array_get(warm, i), "temp_c")),
                     json_number_value(json_object_get(json_array_get(now, i), "temp_c")) + 9.5,
                     1e-12, 0);
        /* at today's temperature the share grows as the hours: 43,000 of them, then 50,300 */
        assert_close(json_number_value(json_object_get(json_array_get(later, i), "used")),
                     used * 50300 / 43000, 1e-6, 0);
    }
    json_decref(now);
    json_decref(warm);
    json_decref(later);
    assert_int_equal(served_status("what-if", "{\"air_k\": 3}"), 400);
    assert_int_equal(served_status("what-if", "{\"air_k\": 3, \"hours\": -7}"), 400);
    assert_int_equal(served_status("what-if", "{\"air_k\": -61, \"hours\": 7}"), 400);
    assert_int_equal(served_status("what-if", "{\"air_k\": 3, \"hours\": 7, \"grade_c\": 84}"),
                     400);
}

static void without_verdicts_a_what_if_is_empty(void **state)
{
    (void)state;
    write_file(served_folder, "readings.csv", "id,x_mm,y_mm,value,unit,method\n");
    answer got = served_ask("what-if", "{\"air_k\": 2, \"hours\": 0}", 24);
    assert_int_equal(got.status, 200);
    assert_string_equal(got.body, "null");
    answer_clear(&got);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        WITH_PAGE(every_result_is_exported_and_shown_byte_by_byte),
        WITH_PAGE(a_result_comes_with_its_type_and_a_policy_of_its_own),
        WITH_PAGE(a_job_with_faults_exports_nothing_and_says_why),
        WITH_PAGE(of_very_many_faults_those_that_are_kept_are_told),
        WITH_PAGE(a_file_of_a_million_columns_is_not_told_to_the_browser),
        WITH_PAGE(what_is_taken_back_can_be_done_again),
        WITH_PAGE(an_undo_that_another_program_stands_against_tells_the_conflict),
        WITH_PAGE(the_plan_comes_when_it_is_made_with_reasons),
        WITH_PAGE(before_any_reading_the_plan_shows_what_is_expected),
        WITH_PAGE(a_what_if_answers_for_each_part_and_wants_its_numbers),
        WITH_PAGE(without_verdicts_a_what_if_is_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
