/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The command plan: what it prints, what it writes, and what it needs. Exit statuses are those of
 * <sysexits.h> of BSD: EX_USAGE 64, EX_DATAERR 65, EX_NOINPUT 66. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <jansson.h>

#include "job_folder.h"
#include "program.h"

static const char header[] = "rank,x_mm,y_mm,spot,side,method,gain,on,reason\n";

static size_t count_lines(const char *words)
{
    size_t count = 0;
    for (; *words; words++)
        count += *words == '\n';
    return count;
}

static void lay_unread_job(char folder[PATH_BYTES])
{
    lay_job(folder);
    assert_int_equal(unlink(in_folder(folder, "readings.csv")), 0);
}

static void set_keepout(const char *folder)
{
    write_file(folder, "keepout.csv",
               "ring,x_mm,y_mm,reason\n0,2,30,mains side\n0,56,30,mains side\n"
               "0,56,69,mains side\n0,2,69,mains side\n");
}

static void table_and_picture_are_written_and_pointed_at(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_unread_job(folder);
    ended said = run("plan", folder, "--width", "613");
    size_t size = 0;
    assert_int_equal(said.status, 0);
    char *table = bytes_of(in_folder(folder, "out/plan.csv"), NULL);
    unsigned char *picture = (unsigned char *)bytes_of(in_folder(folder, "out/plan.png"), &size);
    assert_memory_equal(table, header, strlen(header));
    assert_has(table, "\n1,");
    assert_has(said.out, in_folder(folder, "out/plan.csv\n"));
    assert_has(said.out, in_folder(folder, "out/plan.png\n"));
    assert_has(said.out, in_folder(folder, "out/worksheet.html\n"));
    char *sheet = bytes_of(in_folder(folder, "out/worksheet.html"), NULL);
    assert_has(sheet, "data:image/png;base64,");
    free(sheet);
    /* width of a PNG: bytes 16 to 19 (W3C PNG specification, 11.2.2 IHDR) */
    assert_true(size > 24 && picture[18] * 256 + picture[19] == 613);
    free(table);
    free(picture);
    ended_free(&said);
    remove_folder(folder);
}

static void cautions_come_before_the_first_place(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_unread_job(folder);
    ended said = run("plan", folder);
    const char *first = strstr(said.out, "\n  1  (");
    assert_non_null(first);
    static const char *const said_first[] = {"kill",
                                             "hold their charge",
                                             "through a resistor",
                                             "proved with a meter",
                                             "isolating transformer",
                                             "residual-current device no longer protects",
                                             "probe is earthed ends the isolation",
                                             "autotransformer does not isolate",
                                             "one hand",
                                             "infrared",
                                             "trimmer",
                                             "Local codes"};
    for (size_t i = 0; i < sizeof said_first / sizeof *said_first; i++) {
        const char *at = strstr(said.out, said_first[i]);
        assert_true(at && at < first);
    }
    assert_has(first, "not a safety certificate");
    ended_free(&said);
    remove_folder(folder);
}

static void a_job_that_was_not_read_on_yet_is_planned(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    char *tables[2];
    for (int way = 0; way < 2; way++) {
        if (way == 0)
            assert_int_equal(unlink(in_folder(folder, "readings.csv")), 0);
        else
            write_file(folder, "readings.csv", "id,x_mm,y_mm,value,unit,method\n");
        ended said = run("plan", folder);
        assert_int_equal(said.status, 0);
        assert_has(said.out, "no readings yet");
        tables[way] = bytes_of(in_folder(folder, "out/plan.csv"), NULL);
        ended_free(&said);
    }
    assert_has(tables[0], "\n1,");
    assert_string_equal(tables[0], tables[1]);
    /* a map does not do without */
    assert_ends(65, "the file has no reading", "map", folder);
    free(tables[0]);
    free(tables[1]);
    remove_folder(folder);
}

static void no_more_places_than_asked_for(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_unread_job(folder);
    assert_ends(0, "", "plan", folder, "--points", "2");
    char *table = bytes_of(in_folder(folder, "out/plan.csv"), NULL);
    assert_int_equal(count_lines(table), 1 + 2);
    free(table);
    remove_folder(folder);
    assert_ends(64, "1 to 100", "plan", "job", "--points", "0");
    assert_ends(64, "1 to 100", "plan", "job", "--points", "101");
    assert_ends(64, "", "plan", "job", "--points", "2.5");
}

static void places_in_a_no_touch_area_are_for_infrared(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_unread_job(folder);
    set_keepout(folder);
    ended said = run("plan", folder, "--points", "40");
    assert_int_equal(said.status, 0);
    char *table = bytes_of(in_folder(folder, "out/plan.csv"), NULL), *rest = NULL;
    size_t inside = 0;
    strtok_r(table, "\n", &rest);
    for (char *row; (row = strtok_r(NULL, "\n", &rest));) {
        double x_mm, y_mm;
        char method[32];
        assert_int_equal(sscanf(row, "%*u,%lf,%lf,%*[^,],%*[^,],%31[^,]", &x_mm, &y_mm, method), 3);
        if (x_mm < 2 || x_mm > 56 || y_mm < 30 || y_mm > 69)
            continue;
        inside++;
        assert_string_equal(method, "infrared");
        assert_has(row, "infrared only: mains side");
    }
    assert_true(inside > 0);
    free(table);
    ended_free(&said);
    remove_folder(folder);
}

static void quiet_prints_nothing_and_writes_all_the_same(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_unread_job(folder);
    ended said = run("plan", "-q", folder);
    assert_int_equal(said.status, 0);
    assert_string_equal(said.out, "");
    assert_string_equal(said.message, "");
    free(bytes_of(in_folder(folder, "out/plan.png"), NULL));
    ended_free(&said);
    remove_folder(folder);
}

static void json_holds_what_the_table_holds(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_unread_job(folder);
    ended said = run("plan", folder, "--json");
    assert_int_equal(said.status, 0);
    ended words = run("plan", folder);
    json_t *whole = json_loads(said.out, 0, NULL);
    assert_non_null(whole);
    char *table = bytes_of(in_folder(folder, "out/plan.csv"), NULL), *rest = NULL;
    const json_t *points = json_object_get(whole, "points");
    size_t index;
    const json_t *point;
    assert_true(json_array_size(points) > 0);
    assert_int_equal(json_array_size(points), count_lines(table) - 1);
    strtok_r(table, "\n", &rest);
    json_array_foreach(points, index, point)
    {
        const char *row = strtok_r(NULL, "\n", &rest);
        char place[64];
        double x_mm, y_mm, gain;
        unsigned long rank;
        assert_int_equal(
            sscanf(row, "%lu,%lf,%lf,%*[^,],%*[^,],%*[^,],%lf", &rank, &x_mm, &y_mm, &gain), 4);
        assert_int_equal(json_integer_value(json_object_get(point, "rank")), rank);
        assert_close(json_number_value(json_object_get(point, "x_mm")), x_mm, 0, 1e-9);
        assert_close(json_number_value(json_object_get(point, "y_mm")), y_mm, 0, 1e-9);
        assert_close(json_number_value(json_object_get(point, "gain")), gain, 0, 6e-5);
        assert_has(row, json_string_value(json_object_get(point, "reason")));
        /* a word where people read: 1 is a part left in place that ought to go */
        snprintf(place, sizeof place, "%3lu  (%.1f, %.1f) mm", rank, x_mm, y_mm);
        const char *told = strstr(words.out, place);
        assert_non_null(told);
        char line[256];
        snprintf(line, sizeof line, "%.*s", (int)strcspn(told, "\n"), told);
        assert_has(line, gain >= 0.1    ? ", high gain"
                         : gain >= 0.02 ? ", medium gain"
                                        : ", low gain");
    }
    assert_true(json_array_size(json_object_get(whole, "cautions")) >= 5);
    static const char *const numbers[] = {"schema", "readings", "loss", "loss_after"};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        assert_true(json_is_number(json_object_get(whole, numbers[i])));
    assert_string_equal(json_string_value(json_object_get(whole, "job")), folder);
    assert_string_equal(
        json_string_value(json_object_get(json_object_get(whole, "files"), "plan.csv")),
        in_folder(folder, "out/plan.csv"));
    assert_true(json_is_array(json_object_get(whole, "warnings")));
    assert_true(json_is_boolean(json_object_get(whole, "settled")));
    assert_true(json_is_array(json_object_get(whole, "measure")));
    assert_int_equal(json_object_size(whole), 11);
    json_decref(whole);
    free(table);
    ended_free(&words);
    ended_free(&said);
    remove_folder(folder);
}

static void results_do_not_go_where_a_job_stands(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(64, "there is a job in it", "plan", folder, "--out", folder);
    remove_folder(folder);
}

static void an_earlier_plan_survives_a_failed_run(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(0, "", "plan", folder);
    char *before = bytes_of(in_folder(folder, "out/plan.csv"), NULL);
    change_file(folder, "board.csv", "97.5", "wide");
    assert_ends(65, "board.csv", "plan", folder);
    char *after = bytes_of(in_folder(folder, "out/plan.csv"), NULL);
    assert_string_equal(before, after);
    assert_int_equal(unlink(in_folder(folder, "parts.csv")), 0);
    assert_ends(66, "parts.csv", "plan", folder);
    free(before);
    free(after);
    remove_folder(folder);
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_and_picture_are_written_and_pointed_at),
        cmocka_unit_test(cautions_come_before_the_first_place),
        cmocka_unit_test(a_job_that_was_not_read_on_yet_is_planned),
        cmocka_unit_test(no_more_places_than_asked_for),
        cmocka_unit_test(places_in_a_no_touch_area_are_for_infrared),
        cmocka_unit_test(quiet_prints_nothing_and_writes_all_the_same),
        cmocka_unit_test(json_holds_what_the_table_holds),
        cmocka_unit_test(results_do_not_go_where_a_job_stands),
        cmocka_unit_test(an_earlier_plan_survives_a_failed_run),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("plan", tests, NULL, NULL);
}
