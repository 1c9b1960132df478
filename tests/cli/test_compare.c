/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The command compare: what it prints, what it writes, what it refuses. Exit statuses are those of
 * <sysexits.h> of BSD: EX_USAGE 64, EX_DATAERR 65, EX_NOINPUT 66. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <jansson.h>

#include "job_folder.h"
#include "output/markup.h"
#include "program.h"

static const char header[] =
    "ref,x_mm,y_mm,rise_before_k,rise_before_sd_k,rise_after_k,rise_after_sd_k,change_k,"
    "change_sd_k,change,temp_before_c,temp_after_c,pulled,heat,meter,reading_pct\n";

typedef struct pair {
    char before[PATH_BYTES], after[PATH_BYTES];
} pair;

/* The same board three years on: U7 runs much cooler, C15 is another part. */
static void lay_pair(pair *laid)
{
    lay_job(laid->before);
    lay_job(laid->after);
    change_file(laid->after, "readings.csv", "k1,31,37.5,58.9", "k1,31,37.5,38.9");
    change_file(laid->after, "readings.csv", "k2,48.5,52,45.3", "k2,48.5,52,33.3");
    change_file(laid->after, "board.csv", "surveyed,2025-10-19", "surveyed,2028-10-19");
    change_file(laid->after, "parts.csv", "1,no,2003,bulged", "1,no,2025,sound");
}

static void remove_pair(const pair *removed)
{
    remove_folder(removed->before);
    remove_folder(removed->after);
}

static void table_picture_and_page_are_written_and_pointed_at(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    ended said = run("compare", laid.before, laid.after, "--width", "617");
    assert_int_equal(said.status, 0);
    size_t size = 0;
    char *table = bytes_of(in_folder(laid.after, "out/compare.csv"), NULL);
    unsigned char *picture =
        (unsigned char *)bytes_of(in_folder(laid.after, "out/difference.png"), &size);
    assert_memory_equal(table, header, strlen(header));
    /* width of a PNG: bytes 16 to 19 (W3C PNG specification, 11.2.2 IHDR) */
    assert_true(size > 24 && picture[18] * 256 + picture[19] == 617);
    assert_has(said.out, in_folder(laid.after, "out/compare.html\n"));
    assert_has(said.out, "cooler");
    assert_has(said.out, "Cooler by more than the uncertainty:\n");
    assert_has(said.out, "heat alone said replace");
    free(table);
    free(picture);
    ended_free(&said);
    remove_pair(&laid);
}

static void the_page_is_sound_and_holds_picture_table_and_cautions(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    change_file(laid.after, "board.csv", "Talkback amplifier", "Talkback <b>&amp; x</b>");
    ended said = run("compare", laid.before, laid.after, "--quiet");
    assert_int_equal(said.status, 0);
    assert_string_equal(said.out, "");
    char *page = bytes_of(in_folder(laid.after, "out/compare.html"), NULL);
    markup found = {0};
    markup_read(page, &found);
    assert_string_equal(found.fault, "");
    assert_has(found.words.bytes, "Talkback <b>&amp; x</b>");
    assert_has(found.words.bytes, "Heat against meter");
    assert_has(found.words.bytes, "Mains and stored charge can kill even when switched off.");
    assert_has(found.words.bytes, "C15");
    assert_has(page, "src=\"data:image/png;base64,");
    assert_has_not(page, "http:");
    markup_clear(&found);
    free(page);
    ended_free(&said);
    remove_pair(&laid);
}

static void a_board_without_a_name_is_called_so(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    change_file(laid.after, "board.csv", "name,Talkback amplifier,\n", "");
    ended said = run("compare", laid.before, laid.after, "--quiet");
    assert_int_equal(said.status, 0);
    char *page = bytes_of(in_folder(laid.after, "out/compare.html"), NULL);
    assert_has(page, "<title>Board without a name: before and after</title>");
    assert_has(page, "<h1>Board without a name</h1>");
    free(page);
    ended_free(&said);
    remove_pair(&laid);
}

static void json_agrees_with_the_table_part_by_part(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    ended said = run("compare", laid.before, laid.after, "--json");
    json_t *whole = json_loads(said.out, 0, NULL);
    char *table = bytes_of(in_folder(laid.after, "out/compare.csv"), NULL);
    assert_non_null(whole);
    json_t *parts = json_object_get(whole, "parts");
    assert_int_equal(json_array_size(parts), 5);
    char *row = strtok(table, "\n");
    for (size_t i = 0; i < 5; i++) {
        double change_k, sd_k;
        char ref[16];
        json_t *part = json_array_get(parts, i);
        row = strtok(NULL, "\n");
        assert_int_equal(
            sscanf(row, "%15[^,],%*f,%*f,%*f,%*f,%*f,%*f,%lf,%lf", ref, &change_k, &sd_k), 3);
        assert_string_equal(json_string_value(json_object_get(part, "ref")), ref);
        assert_close(json_real_value(json_object_get(part, "change_k")), change_k, 0, 0.00501);
        assert_close(json_real_value(json_object_get(part, "change_sd_k")), sd_k, 0, 0.000501);
    }
    json_t *last = json_array_get(parts, 4);
    assert_true(json_is_true(json_object_get(last, "pulled")));
    json_decref(whole);
    free(table);
    ended_free(&said);
    remove_pair(&laid);
}

static void surveys_of_other_boards_are_refused_and_nothing_is_written(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    change_file(laid.after, "board.csv", "width,97.5", "width,107.5");
    assert_ends(65, "97.5 x 71.25 mm before, 107.5 x 71.25 mm after", "compare", laid.before,
                laid.after);
    assert_int_equal(access(in_folder(laid.after, "out"), F_OK), -1);
    remove_pair(&laid);
}

static void parts_in_one_survey_only_are_told(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    change_file(laid.after, "parts.csv", "C13,", "C33,");
    ended said = run("compare", laid.before, laid.after);
    assert_int_equal(said.status, 0);
    assert_has(said.message, "1 part in the first survey only: C13");
    assert_has(said.message, "1 part in the second survey only: C33");
    ended_free(&said);
    remove_pair(&laid);
}

static void faults_of_both_jobs_are_told_in_one_run(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    change_file(laid.before, "board.csv", "width,97.5", "width,wide");
    change_file(laid.after, "parts.csv", "C13,62", "C13,east");
    ended said = run("compare", laid.before, laid.after);
    assert_int_equal(said.status, 65);
    assert_has(said.message, in_folder(laid.before, "board.csv:3"));
    assert_has(said.message, in_folder(laid.after, "parts.csv:4"));
    ended_free(&said);
    remove_pair(&laid);
}

static void two_folders_are_asked_for(void **state)
{
    (void)state;
    pair laid;
    lay_pair(&laid);
    assert_ends(64, "BEFORE AFTER is missing", "compare", laid.before);
    assert_ends(64, "3 operands where BEFORE AFTER is expected", "compare", laid.before, laid.after,
                laid.after);
    assert_ends(66, "", "compare", laid.before, in_folder(laid.after, "nowhere"));
    assert_ends(64, "there is a job in it", "compare", laid.before, laid.after, "--out",
                laid.before);
    remove_pair(&laid);
}

int main(int argc, char **argv)
{
    if (argc != 2)
        return 2;
    program_path = argv[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_picture_and_page_are_written_and_pointed_at),
        cmocka_unit_test(the_page_is_sound_and_holds_picture_table_and_cautions),
        cmocka_unit_test(a_board_without_a_name_is_called_so),
        cmocka_unit_test(json_agrees_with_the_table_part_by_part),
        cmocka_unit_test(surveys_of_other_boards_are_refused_and_nothing_is_written),
        cmocka_unit_test(parts_in_one_survey_only_are_told),
        cmocka_unit_test(faults_of_both_jobs_are_told_in_one_run),
        cmocka_unit_test(two_folders_are_asked_for),
    };
    return cmocka_run_group_tests_name("compare", tests, NULL, NULL);
}
