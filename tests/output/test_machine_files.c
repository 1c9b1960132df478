/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of a machine, from results that are read back. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/folders.h"
#include "markup.h"
#include "output/machine_files.h"
#include "support/allocations.h"

enum { BOARDS = 4 };

static const char parts[] = "ref,x_mm,y_mm,temp_c,verdict\n"
                            "C1,1,2,41.5,leave\nC2,3,4,66.25,replace\nC3,5,6,,check\n"
                            "C4,5,6,50,replace\n";
static const char kit[] =
    "count,spares,capacitance_uf,rated_v,rated_c,endurance_h,diameter_mm_max,height_mm_max,type,"
    "mount,lead_pitch_mm,ripple_a_min,esr_ohm_max,low_esr,description,refs,note\n"
    "2,1,100,35,105,2000,8.0,,bipolar,radial,3.5,1.2,,yes,\"all, of it\",C2 C4,'=look\n";

static const char *const jobs[BOARDS] = {"m/a b", "m/c", "m/<i>d#1?&\"", "m/gone"};
static const char *const names[BOARDS] = {"a b", "c", "<i>d#1?&\"", "gone"};
static const char *const links[BOARDS] = {"a b/out", "c/out", "<i>d#1?&\"/out", "gone/out"};

static board_row row_of(size_t replaced, size_t checked, double hottest_c)
{
    return (board_row){.mapped = true,
                       .counts = {[SF_REPLACE] = replaced, [SF_CHECK] = checked, [SF_LEAVE] = 5},
                       .hottest_c = hottest_c,
                       .owner = {"<b>Station</b>"}};
}

static void set_rows(board_row rows[BOARDS])
{
    rows[0] = row_of(3, 1, 60);
    rows[1] = row_of(3, 2, 50);
    rows[2] = row_of(3, 2, 70);
    rows[3] = (board_row){.mapped = false};
    rows[1].name = (excerpt){"<script>alert(1)</script>"};
}

static void results_are_counted_as_they_were_written(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    board_row row = {0};
    kit_join joint = {0};
    assert_false(board_row_count(folder, &row));
    write_file(folder, "parts.csv", parts);
    write_file(folder, "kit.csv", kit);
    assert_true(board_row_count(folder, &row));
    assert_int_equal(row.counts[SF_REPLACE], 2);
    assert_int_equal(row.counts[SF_CHECK], 1);
    assert_int_equal(row.counts[SF_LEAVE], 1);
    assert_int_equal(board_row_parts(&row), 4);
    assert_close(row.hottest_c, 66.25, 0, 0);
    assert_int_equal(board_kit_join(folder, "psu", &joint), SF_OK);
    assert_int_equal(joint.kit.count, 1);
    const sf_kit_line *line = &joint.kit.lines[0];
    assert_int_equal(line->count, 2);
    assert_int_equal(line->type, SF_TYPE_BIPOLAR);
    assert_int_equal(line->mount, SF_FORM_RADIAL);
    assert_true(line->low_esr && isnan(line->height_mm_max) && isnan(line->esr_ohm_max));
    assert_close(line->capacitance_uf, 100, 0, 0);
    assert_close(line->endurance_h, 2000, 0, 0);
    assert_close(line->ripple_a_min, 1.2, 0, 0);
    assert_close(line->lead_pitch_mm, 3.5, 0, 0);
    assert_string_equal(line->refs, "psu: C2 C4");
    assert_string_equal(line->note, "=look");
    kit_join_clear(&joint);
    write_file(folder, "parts.csv", "ref,verdict\nC1,perhaps\n");
    assert_false(board_row_count(folder, &row));
    remove_folder(folder);
}

static void the_worst_comes_first(void **state)
{
    (void)state;
    board_row rows[BOARDS];
    set_rows(rows);
    size_t *order = board_rows_order(rows, BOARDS);
    const size_t wanted[BOARDS] = {3, 2, 1, 0};
    assert_memory_equal(order, wanted, sizeof wanted);
    free(order);
}

static void write_machine(const char *folder, sf_status *status, sf_diagnostics *diagnostics)
{
    static const size_t order[BOARDS] = {3, 2, 1, 0};
    sf_kit_line line = {.capacitance_uf = 100,
                        .rated_v = 35,
                        .rated_c = 105,
                        .count = 9,
                        .refs = (char[]){"c: C1"},
                        .description = (char[]){"=1+1"},
                        .note = (char[]){""}};
    board_row rows[BOARDS];
    const sf_kit one = {.lines = &line, .count = 1};
    set_rows(rows);
    const machine_told told = {jobs, names, links, rows, order, BOARDS, &one};
    *status = machine_files_write(&told, folder, diagnostics);
}

static char *content_of(const char *folder, const char *name)
{
    static char held[1 << 18];
    char *path = path_join(folder, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    held[fread(held, 1, sizeof held - 1, file)] = '\0';
    fclose(file);
    free(path);
    return held;
}

static void the_page_is_sound_and_links_lead_to_the_boards(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    sf_diagnostics diagnostics = {0};
    sf_status status;
    markup found;
    write_machine(folder, &status, &diagnostics);
    assert_int_equal(status, SF_OK);
    const char *page = content_of(folder, "index.html");
    markup_read(page, &found);
    assert_string_equal(found.fault, "");
    assert_null(strstr(page, "<script>"));
    assert_non_null(strstr(found.words.bytes, "<script>alert(1)</script>"));
    assert_non_null(strstr(found.words.bytes, "<b>Station</b>"));
    assert_non_null(strstr(found.words.bytes, "3 boards, 29 capacitors: replace 9, check 5, leave "
                                              "15. 1 more board was not mapped."));
    assert_non_null(strstr(found.attributes.bytes, "href=a%20b/out/report.html\n"));
    assert_non_null(strstr(found.attributes.bytes, "src=%3Ci%3Ed%231%3F%26%22/out/heat.png\n"));
    assert_null(strstr(found.attributes.bytes, "gone/out"));
    assert_non_null(strstr(found.words.bytes, "not mapped: run it alone"));
    assert_non_null(strstr(found.attributes.bytes, "loading=lazy\n"));
    markup_clear(&found);
    assert_non_null(strstr(content_of(folder, "order.csv"), "1,9,,'=1+1,c: C1\n"));
    assert_string_equal(content_of(folder, "boards.csv"),
                        "job,board,state,capacitors,replace,check,leave,hottest_c,results\n"
                        "gone,,not mapped,,,,,,\n"
                        "\"<i>d#1?&\"\"\",,mapped,10,3,2,5,70.00,\"<i>d#1?&\"\"/out\"\n"
                        "c,<script>alert(1)</script>,mapped,10,3,2,5,50.00,c/out\n"
                        "a b,,mapped,9,3,1,5,60.00,a b/out\n");
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

static void what_somebody_else_put_there_stays(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    sf_diagnostics diagnostics = {0};
    sf_status status;
    write_file(folder, "index.html", "a page of somebody's");
    write_machine(folder, &status, &diagnostics);
    assert_int_equal(status, SF_ERROR_WRITE);
    assert_int_equal(diagnostics.error_count, 1);
    assert_string_equal(content_of(folder, "index.html"), "a page of somebody's");
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

/* What leaks is seen by the sanitizer. */
static void any_allocation_may_fail(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    long tried = 0, failed = 0;
    write_file(folder, "parts.csv", parts);
    write_file(folder, "kit.csv", kit);
    for (bool done = false; !done; tried++) {
        sf_diagnostics diagnostics = {0};
        kit_join joint = {0};
        board_row row = {0}, rows[BOARDS];
        set_rows(rows);
        sf_status status = SF_ERROR_MEMORY;
        char out[300];
        snprintf(out, sizeof out, "%s/out", folder);
        allocations_left = tried;
        size_t *order = board_rows_order(rows, BOARDS);
        bool counted = board_row_count(folder, &row);
        sf_status joined = board_kit_join(folder, "psu", &joint);
        sf_status ended = kit_join_end(&joint, 10);
        write_machine(out, &status, &diagnostics);
        done = allocations_left >= 0; /* none failed */
        allocations_left = -1;
        bool whole = order && counted && joined == SF_OK && ended == SF_OK && status == SF_OK;
        failed += !whole; /* a result may be had on another way */
        assert_true(whole || !done);
        free(order);
        kit_join_clear(&joint);
        sf_diagnostics_clear(&diagnostics);
        assert_true(tried < 2000);
    }
    assert_true(failed > 50);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(results_are_counted_as_they_were_written),
        cmocka_unit_test(the_worst_comes_first),
        cmocka_unit_test(the_page_is_sound_and_links_lead_to_the_boards),
        cmocka_unit_test(what_somebody_else_put_there_stays),
        cmocka_unit_test(any_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
