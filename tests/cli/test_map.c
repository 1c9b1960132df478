/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The command map: what it prints, what it writes, and what it leaves alone. Exit statuses are
 * those of <sysexits.h> of BSD: EX_USAGE 64, EX_DATAERR 65, EX_CANTCREAT 73. */
#include "support/check.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "job_folder.h"
#include "program.h"
#include "spotfield/output.h"

enum { OUTPUTS_MAX = 32 };

static size_t count_outputs(void)
{
    size_t count = 0;
    while (sf_outputs()[count].name)
        count++;
    return count;
}

/* Files in a folder, hidden ones too; 0 where there is no folder. */
static size_t count_files(const char *folder)
{
    size_t count = 0;
    DIR *entries = opendir(folder);
    for (struct dirent *entry; entries && (entry = readdir(entries));)
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    if (entries)
        closedir(entries);
    return count;
}

static void every_result_is_written_and_pointed_at(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder);
    assert_int_equal(said.status, 0);
    for (const sf_output *output = sf_outputs(); output->name; output++)
        free(bytes_of(in_folder(in_folder(folder, "out"), output->name), NULL));
    assert_int_equal(count_files(in_folder(folder, "out")), count_outputs());
    assert_has(said.out, in_folder(folder, "out/heat.png\n"));
    assert_has(said.out, in_folder(folder, "out/report.html\n"));
    ended_free(&said);
    remove_folder(folder);
}

static void the_verdict_comes_first_and_the_zones_after_it(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder);
    char *report = bytes_of(in_folder(folder, "out/report.html"), NULL);
    size_t length = strcspn(said.out, "\n");
    char first[128] = "";
    /* the page says the same; signs that HTML writes otherwise come later in the sentence */
    snprintf(first, sizeof first, "%.*s", (int)strcspn(said.out, ",:"), said.out);
    assert_has(report, first);
    assert_has(said.out, " of 5 capacitors");
    assert_int_equal(said.out[length + 1], '\n');
    assert_has(said.out + length, " C: ");
    free(report);
    ended_free(&said);
    remove_folder(folder);
}

static void results_go_to_the_folder_that_is_named(void **state)
{
    (void)state;
    char folder[PATH_BYTES], other[PATH_BYTES];
    lay_job(folder);
    snprintf(other, sizeof other, "%s", fresh_folder());
    ended said = run("map", folder, "--out", in_folder(other, "there/and here"));
    assert_int_equal(said.status, 0);
    assert_has(said.out, in_folder(other, "there/and here/heat.png\n"));
    assert_int_equal(count_files(in_folder(other, "there/and here")), count_outputs());
    assert_int_equal(count_files(in_folder(folder, "out")), 0);
    ended_free(&said);
    remove_folder(folder);
    remove_folder(other);
}

static void quiet_prints_nothing_and_writes_all_the_same(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", "-q", folder);
    assert_int_equal(said.status, 0);
    assert_string_equal(said.out, "");
    assert_string_equal(said.message, "");
    assert_int_equal(count_files(in_folder(folder, "out")), count_outputs());
    ended_free(&said);
    remove_folder(folder);
}

/* Width of a PNG: bytes 16 to 19, the high one first (W3C PNG specification, 11.2.2 IHDR). */
static unsigned long png_width(const char *path)
{
    size_t size = 0;
    unsigned char *bytes = (unsigned char *)bytes_of(path, &size);
    assert_true(size > 24);
    unsigned long width = (unsigned long)bytes[16] << 24 | (unsigned long)bytes[17] << 16 |
                          (unsigned long)bytes[18] << 8 | bytes[19];
    free(bytes);
    return width;
}

static void the_pictures_have_the_width_that_is_asked_for(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(0, "", "map", folder, "--width", "613");
    assert_int_equal(png_width(in_folder(folder, "out/heat.png")), 613);
    assert_int_equal(png_width(in_folder(folder, "out/uncertainty.png")), 613);
    remove_folder(folder);
}

/* The results of a run, name by name. */
typedef struct results {
    char *bytes[OUTPUTS_MAX];
    size_t sizes[OUTPUTS_MAX];
} results;

static results read_results(const char *job)
{
    results found = {0};
    for (size_t i = 0; i < count_outputs(); i++)
        found.bytes[i] =
            bytes_of(in_folder(in_folder(job, "out"), sf_outputs()[i].name), &found.sizes[i]);
    return found;
}

/* Fails the test unless both are the same; frees both. `but` is passed over. */
static void expect_same(results *one, results *other, const char *but)
{
    for (size_t i = 0; i < count_outputs(); i++) {
        const char *name = sf_outputs()[i].name;
        if (strcmp(name, but) != 0 && (one->sizes[i] != other->sizes[i] ||
                                       memcmp(one->bytes[i], other->bytes[i], one->sizes[i]) != 0))
            fail_msg("%s has changed", name);
        free(one->bytes[i]);
        free(other->bytes[i]);
    }
}

static void the_same_job_gives_the_same_bytes(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(0, "", "map", folder);
    results before = read_results(folder);
    assert_ends(0, "", "map", folder);
    results after = read_results(folder);
    expect_same(&before, &after, "");
    remove_folder(folder);
}

static void earlier_results_survive_a_run_on_bad_data(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(0, "", "map", folder);
    results before = read_results(folder);
    change_file(folder, "readings.csv", "58.9", "58..9");
    assert_ends(65, "readings.csv:2: value: ", "map", folder);
    results after = read_results(folder);
    expect_same(&before, &after, "");
    remove_folder(folder);
}

static void earlier_results_survive_a_run_that_cannot_write(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(0, "", "map", folder);
    results before = read_results(folder);
    unlink(in_folder(folder, "out/heat.png"));
    assert_int_equal(mkdir(in_folder(folder, "out/heat.png"), 0777), 0);
    change_file(folder, "readings.csv", "58.9", "68.4");
    ended said = run("map", folder);
    assert_int_equal(said.status, 73);
    assert_string_equal(said.out, "");
    assert_has(said.message, in_folder(folder, "out/heat.png: "));
    rmdir(in_folder(folder, "out/heat.png"));
    write_file(in_folder(folder, "out"), "heat.png", "");
    results after = read_results(folder);
    expect_same(&before, &after, "heat.png");
    assert_int_equal(count_files(in_folder(folder, "out")), count_outputs());
    ended_free(&said);
    remove_folder(folder);
}

static void a_place_where_nothing_can_be_written_ends_with_73(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    write_file(folder, "out", "a file in the way");
    assert_ends(73, in_folder(folder, "out"), "map", folder);
    assert_ends(73, "/dev/null/out: ", "map", folder, "--out", "/dev/null/out");
    assert_ends(73, "/proc/out: ", "map", folder, "--out", "/proc/out");
    remove_folder(folder);
}

static void results_never_replace_the_files_of_a_job(void **state)
{
    (void)state;
    char folder[PATH_BYTES], other[PATH_BYTES];
    lay_job(folder);
    lay_job(other);
    char *before = bytes_of(in_folder(other, "parts.csv"), NULL);
    assert_ends(64, "there is a job in it", "map", folder, "--out", folder);
    assert_ends(64, "there is a job in it", "map", folder, "--out", in_folder(other, "."));
    char *after = bytes_of(in_folder(other, "parts.csv"), NULL);
    assert_string_equal(before, after);
    free(before);
    free(after);
    remove_folder(folder);
    remove_folder(other);
}

static void a_full_device_is_told_though_the_files_are_written(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run_in(&(surroundings){.out_path = "/dev/full"},
                        (const char *const[]){"map", folder, NULL});
    assert_int_equal(said.status, 73);
    assert_has(said.message, "standard output: ");
    assert_int_equal(count_files(in_folder(folder, "out")), count_outputs());
    ended_free(&said);
    remove_folder(folder);
}

static void an_interrupt_waits_until_the_results_are_whole(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    /* the folder is made as the writing begins */
    surroundings about = {.interrupt_at = in_folder(folder, "out")};
    ended said = run_in(&about, (const char *const[]){"map", folder, NULL});
    assert_int_equal(count_files(in_folder(folder, "out")), count_outputs());
    assert_int_equal(said.status, -1);
    ended_free(&said);
    remove_folder(folder);
}

static void an_interrupt_before_the_writing_leaves_nothing(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said =
        run_in(&(surroundings){.interrupt_at = folder}, (const char *const[]){"map", folder, NULL});
    assert_int_equal(said.status, -1);
    assert_int_equal(count_files(in_folder(folder, "out")), 0);
    ended_free(&said);
    remove_folder(folder);
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_result_is_written_and_pointed_at),
        cmocka_unit_test(the_verdict_comes_first_and_the_zones_after_it),
        cmocka_unit_test(results_go_to_the_folder_that_is_named),
        cmocka_unit_test(quiet_prints_nothing_and_writes_all_the_same),
        cmocka_unit_test(the_pictures_have_the_width_that_is_asked_for),
        cmocka_unit_test(the_same_job_gives_the_same_bytes),
        cmocka_unit_test(earlier_results_survive_a_run_on_bad_data),
        cmocka_unit_test(earlier_results_survive_a_run_that_cannot_write),
        cmocka_unit_test(a_place_where_nothing_can_be_written_ends_with_73),
        cmocka_unit_test(results_never_replace_the_files_of_a_job),
        cmocka_unit_test(a_full_device_is_told_though_the_files_are_written),
        cmocka_unit_test(an_interrupt_waits_until_the_results_are_whole),
        cmocka_unit_test(an_interrupt_before_the_writing_leaves_nothing),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("map", tests, NULL, NULL);
}
