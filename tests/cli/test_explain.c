/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What map tells of single parts and of what-ifs, and that the demo agrees with itself. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <jansson.h>

#include "job_folder.h"
#include "part_rows.h"
#include "program.h"

/* Sums a column, from 0, of a table over rows; text may be quoted. */
static double sum_column(const char *folder, const char *name, int column)
{
    char *table = bytes_of(in_folder(folder, name), NULL);
    double sum = 0;
    for (char *line = strchr(table, '\n') + 1; *line; line = strchr(line, '\n') + 1) {
        bool quoted = false;
        char *at = line;
        for (int commas = 0; commas < column; at++) {
            quoted = quoted != (*at == '"');
            commas += *at == ',' && !quoted;
        }
        sum += strtod(at, NULL);
    }
    free(table);
    return sum;
}

static size_t count_verdicts(const row *rows, size_t count, const char *verdict)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++)
        found += strcmp(rows[i].verdict, verdict) == 0;
    return found;
}

/* Whether a reference stands as a word of its own in the kit. */
static bool is_in_kit(const char *kit, const char *ref)
{
    size_t length = strlen(ref);
    for (const char *at = kit; (at = strstr(at, ref)); at += length)
        if (strchr(" ,", at[-1]) && strchr(" ,", at[length]))
            return true;
    return false;
}

static void sentence_zones_kit_and_parts_of_the_demo_agree_to_the_part(void **state)
{
    (void)state;
    static row rows[PARTS_MAX];
    char folder[PATH_BYTES];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    ended said = run("map", source_path("demo/desk-supply"), "--out", folder);
    size_t count = read_rows(folder, rows), told[4];
    assert_int_equal(sscanf(said.out, "Replace %zu of %zu capacitors, check %zu, leave %zu.",
                            &told[0], &told[1], &told[2], &told[3]),
                     4);
    assert_int_equal(told[1], count);
    assert_int_equal(told[0], count_verdicts(rows, count, "replace"));
    assert_int_equal(told[2], count_verdicts(rows, count, "check"));
    assert_int_equal(told[3], count_verdicts(rows, count, "leave"));
    char *zones = bytes_of(in_folder(folder, "zones.csv"), NULL);
    static const char *const columns[] = {"parts", "replace", "check", "leave"};
    static const int order[] = {1, 0, 2, 3};
    for (int i = 0; i < 4; i++) {
        char *heading = strstr(zones, columns[i]);
        int column = 0;
        for (const char *at = zones; at < heading; at++)
            column += *at == ',';
        assert_close(sum_column(folder, "zones.csv", column), (double)told[order[i]], 0, 0);
    }
    assert_close(sum_column(folder, "kit.csv", 0), (double)told[0], 0, 0);
    char *kit = bytes_of(in_folder(folder, "kit.csv"), NULL);
    for (size_t i = 0; i < count; i++)
        assert_int_equal(is_in_kit(kit, rows[i].ref), strcmp(rows[i].verdict, "replace") == 0);
    char everything[96];
    snprintf(everything, sizeof everything,
             "Replacing everything would take %zu parts; this leaves %zu of them in place.", count,
             told[2] + told[3]);
    assert_has(said.out, everything);
    free(zones);
    free(kit);
    ended_free(&said);
    remove_folder(folder);
}

static void the_last_rule_told_is_the_one_that_decides(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--explain", "C15", "-x", "C11");
    assert_int_equal(said.status, 0);
    char *second = strstr(said.out, "\n\nC11\n");
    assert_non_null(second);
    assert_has(second,
               "rule 2, critical, and old or perhaps past its rated life: replace: critical, seals "
               "older than advised");
    assert_has_not(second, "rule 3");
    *second = '\0';
    assert_has(said.out, "rule 1, worn by meter or eye: replace: bulged; it decides\n");
    assert_has_not(said.out, "rule 2");
    assert_has(said.out, "k4 at ");
    ended_free(&said);
    remove_folder(folder);
}

static void the_report_counts_parts_on_which_heat_and_meter_disagree(void **state)
{
    (void)state;
    static const char notice[] = "One part on which heat and meter disagree";
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--quiet");
    char *page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has_not(page, notice);
    free(page);
    ended_free(&said);
    /* C14 has used a fifth of its life; now it bulges */
    change_file(folder, "parts.csv", "105,,1,no,2003,sound", "105,,1,no,2003,bulged");
    said = run("map", folder, "--quiet");
    page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has(page, notice);
    free(page);
    ended_free(&said);
    remove_folder(folder);
}

static void an_unknown_reference_is_told_with_the_nearest_and_nothing_is_written(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(64, "--explain C41: no such part; did you mean C11", "map", folder, "--explain",
                "C41");
    assert_int_equal(access(in_folder(folder, "out"), F_OK), -1);
    remove_folder(folder);
}

static void json_holds_the_same_lines(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended words = run("map", folder, "--explain", "C12");
    ended said = run("map", folder, "--explain", "C12", "--json");
    json_t *whole = json_loads(said.out, 0, NULL);
    assert_non_null(whole);
    json_t *one = json_array_get(json_object_get(whole, "explained"), 0);
    assert_string_equal(json_string_value(json_object_get(one, "ref")), "C12");
    assert_has(words.out, json_string_value(json_object_get(one, "explained")));
    json_decref(whole);
    ended_free(&words);
    ended_free(&said);
    remove_folder(folder);
}

static void what_ifs_begin_with_today_as_it_is_decided(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--if-air", "-6.5", "--if-fan", "--if-grade", "105",
                     "--if-hours", "12500", "--json");
    json_t *whole = json_loads(said.out, 0, NULL);
    assert_non_null(whole);
    json_t *rows = json_object_get(whole, "what_ifs"), *today = json_array_get(rows, 0);
    json_t *summary = json_object_get(whole, "summary");
    static const char *const verdicts[] = {"replace", "check", "leave"};
    static const char *const asked[] = {
        "as it is, today",
        "as it is, after 12,500 h",
        "air 6.5 K cooler, after 12,500 h",
        "a fan (heat loss up from 15 to 45 W/m2K, rises at the parts fall to ",
        "parts to replace fitted new, 105 C grade, after 12,500 h",
        "air 6.5 K cooler, a fan (",
    };
    assert_int_equal(json_array_size(rows), 6);
    for (size_t i = 0; i < 6; i++) {
        const char *words = json_string_value(json_object_get(json_array_get(rows, i), "what_if"));
        assert_memory_equal(words, asked[i], strlen(asked[i]));
    }
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(json_integer_value(json_object_get(today, verdicts[i])),
                         json_integer_value(json_object_get(summary, verdicts[i])));
    json_decref(whole);
    ended_free(&said);
    char *page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has(page, "<section id=\"what-if\"");
    assert_has(page, "parts to replace fitted new, 105");
    free(page);
    remove_folder(folder);
}

static void what_ifs_are_a_table_for_people_and_absent_where_none_is_asked(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--if-air", "4");
    assert_has(said.out,
               "What if       replace  check  leave  worn out  next past its rated life\n");
    assert_has(said.out, "\nair 4 K warmer, today:\n"); /* no service goal, no hours asked */
    ended_free(&said);
    said = run("map", folder);
    assert_has_not(said.out, "What if");
    char *page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has_not(page, "what-if");
    free(page);
    ended_free(&said);
    assert_ends(64, "--if-fan needs the model heat-balance", "map", folder, "--model", "thin-plate",
                "--if-fan");
    assert_ends(64, "--if-grade 65: expected a number from 85 to 150", "map", folder, "--if-grade",
                "65");
    remove_folder(folder);
}

int main(int argc, char **argv)
{
    if (argc != 2)
        return 2;
    program_path = argv[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sentence_zones_kit_and_parts_of_the_demo_agree_to_the_part),
        cmocka_unit_test(the_last_rule_told_is_the_one_that_decides),
        cmocka_unit_test(the_report_counts_parts_on_which_heat_and_meter_disagree),
        cmocka_unit_test(an_unknown_reference_is_told_with_the_nearest_and_nothing_is_written),
        cmocka_unit_test(json_holds_the_same_lines),
        cmocka_unit_test(what_ifs_begin_with_today_as_it_is_decided),
        cmocka_unit_test(what_ifs_are_a_table_for_people_and_absent_where_none_is_asked),
    };
    return cmocka_run_group_tests_name("explain", tests, NULL, NULL);
}
