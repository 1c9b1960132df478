/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The table of outputs and the loop that writes them. */
#include "support/check.h"

#include <dirent.h>
#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "output/sample.h"
#include "support/failing.h"

static void every_output_has_a_name_and_a_clause(void **state)
{
    (void)state;
    /* the files that the description of the results lists, the report last */
    static const char *const names[] = {"parts.csv",       "zones.csv",   "kit.csv",   "order.csv",
                                        "readings.csv",    "sources.csv", "field.csv", "heat.png",
                                        "uncertainty.png", "report.html"};
    const sf_output *output = sf_outputs();
    for (size_t i = 0; i < sizeof names / sizeof *names; i++, output++) {
        assert_string_equal(output->name, names[i]);
        assert_true(strlen(output->description) > 20);
    }
    assert_null(output->name);
}

static off_t size_of(const char *folder, const char *name)
{
    char path[512];
    struct stat found;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return stat(path, &found) == 0 ? found.st_size : -1;
}

static void every_output_is_written(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(13, 9);
    sf_diagnostics diagnostics = {0};
    const char *folder = fresh_folder();
    assert_int_equal(sf_outcome_write(outcome, &sample_pictures, folder, &diagnostics), SF_OK);
    for (const sf_output *output = sf_outputs(); output->name; output++)
        assert_true(size_of(folder, output->name) > 0);
    assert_int_equal(size_of(folder, "heat.png"), (off_t)sample_pictures.heat_png_size);
    assert_int_equal(size_of(folder, "uncertainty.png"), (off_t)sample_pictures.doubt_png_size);
    assert_int_equal(diagnostics.count, 0);
    remove_folder(folder);
    sample_free(outcome);
}

static char *content_of(const char *folder, const char *name)
{
    char path[512], *bytes = calloc(1 << 20, 1);
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    assert_true(fread(bytes, 1, 1 << 20, file) < 1 << 20);
    fclose(file);
    return bytes;
}

static void the_same_outcome_gives_the_same_bytes(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(29, 9);
    sf_diagnostics diagnostics = {0};
    char first[256], second[256];
    snprintf(first, sizeof first, "%s", fresh_folder());
    snprintf(second, sizeof second, "%s", fresh_folder());
    assert_int_equal(sf_outcome_write(outcome, &sample_pictures, first, &diagnostics), SF_OK);
    assert_int_equal(sf_outcome_write(outcome, &sample_pictures, second, &diagnostics), SF_OK);
    for (const sf_output *output = sf_outputs(); output->name; output++) {
        char *one = content_of(first, output->name), *other = content_of(second, output->name);
        assert_memory_equal(one, other, 1 << 20);
        free(one);
        free(other);
    }
    remove_folder(first);
    remove_folder(second);
    sample_free(outcome);
}

static size_t entries(const char *folder)
{
    size_t count = 0;
    DIR *listing = opendir(folder);
    assert_non_null(listing);
    for (struct dirent *entry; (entry = readdir(listing));)
        count += entry->d_name[0] != '.' || strlen(entry->d_name) > 2;
    closedir(listing);
    return count;
}

static void short_memory_leaves_the_earlier_result(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(7, 9);
    const char *folder = fresh_folder();
    write_file(folder, "parts.csv", "ref,x_mm,y_mm,temp_c\n");
    for (int all_after = 0; all_after <= 1; all_after++) {
        for (int nth = 1;; nth++) {
            sf_diagnostics diagnostics = {0};
            fail_at(CALL_ALLOCATE, nth, ENOMEM, all_after);
            sf_status status = sf_outcome_write(outcome, &sample_pictures, folder, &diagnostics);
            bool failed = has_failed(CALL_ALLOCATE);
            fail_none();
            sf_diagnostics_clear(&diagnostics);
            if (!failed)
                break;
            if (status == SF_OK) { /* written in place, since the folder could not be exchanged */
                assert_int_equal(entries(folder), 10);
                remove_folder(folder);
                assert_int_equal(mkdir(folder, 0777), 0);
                write_file(folder, "parts.csv", "ref,x_mm,y_mm,temp_c\n");
                continue;
            }
            assert_int_equal(status, SF_ERROR_MEMORY);
            assert_int_equal(entries(folder), 1);
            assert_int_equal(size_of(folder, "parts.csv"), 21);
        }
        remove_folder(folder);
        assert_int_equal(mkdir(folder, 0777), 0);
        write_file(folder, "parts.csv", "ref,x_mm,y_mm,temp_c\n");
    }
    remove_folder(folder);
    sample_free(outcome);
}

static void a_sentence_without_memory_is_none(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(7, 9);
    int nth = 1;
    for (;; nth++) {
        fail_at(CALL_ALLOCATE, nth, ENOMEM, false);
        char *sentence = sf_outcome_sentence(outcome);
        bool failed = has_failed(CALL_ALLOCATE);
        fail_none();
        free(sentence);
        if (!failed)
            break;
        assert_null(sentence);
    }
    assert_true(nth > 3);
    sample_free(outcome);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_output_has_a_name_and_a_clause),
        cmocka_unit_test(every_output_is_written),
        cmocka_unit_test(the_same_outcome_gives_the_same_bytes),
        cmocka_unit_test(short_memory_leaves_the_earlier_result),
        cmocka_unit_test(a_sentence_without_memory_is_none),
    };
    return cmocka_run_group_tests_name("report outputs", tests, NULL, NULL);
}
