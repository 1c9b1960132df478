/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the commands write for other programs and for a person, while each allocation in turn fails:
 * either all of it is written, or the writer says that it is not. Linked with --wrap, and jansson's
 * allocations pass through here too. */
#include "support/check.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

#include <gsl/gsl_errno.h>
#include <jansson.h>

#include "cli/machine_place.h"
#include "cli/machine_text.h"
#include "cli/told.h"
#include "job_folder.h"
#include "spotfield/spotfield.h"
#include "support/allocations.h"

static void *allocate_json(size_t size)
{
    return allocation_fails() ? NULL : malloc(size);
}

/* --- what is written --- */

#define RESULTS "/nowhere/out"

/* A survey and all that was found out. */
typedef struct survey {
    sf_job *job;
    sf_outcome *outcome;
} survey;

/* Two surveys of one board, the second hotter in one place, and a thermogram of another board. */
static survey first, second, seen;
static sf_plan *plan;
static sf_comparison *comparison;
static sf_diagnostics warnings;

static void map(const char *folder, survey *into)
{
    sf_map_options options = sf_map_options_default();
    options.no_reference = true;
    options.wishes.air_k = -7.25;
    assert_int_equal(sf_job_read(folder, &into->job, &warnings), SF_OK);
    assert_int_equal(sf_map_job(into->job, &options, &into->outcome, &warnings), SF_OK);
}

static void lay_and_map(const char *old, const char *new, survey *into)
{
    char folder[PATH_BYTES];
    lay_job(folder);
    if (old)
        change_file(folder, "readings.csv", old, new);
    map(folder, into);
    remove_folder(folder);
}

static int make_all(void **state)
{
    (void)state;
    lay_and_map(NULL, NULL, &first);
    lay_and_map("k1,31,37.5,58.9", "k1,31,37.5,88.9", &second);
    map(source_path("samples/thermogram"), &seen);
    sf_survey before = {first.job, first.outcome->field, first.outcome->observations,
                        first.outcome->observation_count},
              after = {second.job, second.outcome->field, second.outcome->observations,
                       second.outcome->observation_count};
    assert_int_equal(sf_surveys_compare(&before, &after, &comparison, &warnings), SF_OK);
    sf_plan_options options = sf_plan_options_default();
    options.points = 2;
    assert_int_equal(sf_plan_make(first.job, first.outcome->observations,
                                  first.outcome->observation_count, &options, &plan, &warnings),
                     SF_OK);
    assert_int_equal(sf_diagnose(&warnings, SF_WARNING, "parts.csv", 7, "year", "is odd", "none"),
                     SF_OK);
    return 0;
}

static void drop(survey *dropped)
{
    sf_outcome_free(dropped->outcome);
    sf_job_free(dropped->job);
}

static int drop_all(void **state)
{
    (void)state;
    sf_comparison_free(comparison);
    sf_plan_free(plan);
    drop(&first);
    drop(&second);
    drop(&seen);
    sf_diagnostics_clear(&warnings);
    return 0;
}

/* Part 0 is told of. */
static const size_t explained[] = {0};

static bool write_map_json(FILE *to)
{
    return map_json_write(first.outcome, RESULTS, explained, 1, &warnings, to);
}

static bool write_thermogram_json(FILE *to)
{
    return map_json_write(seen.outcome, RESULTS, NULL, 0, &warnings, to);
}

static understood understood_of(const survey *mapped)
{
    sf_outcome *outcome = mapped->outcome;
    return (understood){mapped->job, outcome->observations, outcome->observation_count,
                        outcome->pixels};
}

static bool write_check_json(FILE *to)
{
    understood found = understood_of(&seen);
    return check_json_write("/nowhere", &found, &warnings, to);
}

static bool write_refused_json(FILE *to)
{
    return check_json_write("/nowhere", &(understood){0}, &warnings, to);
}

static bool write_plan_json(FILE *to)
{
    return plan_json_write(plan, first.job, RESULTS, &warnings, to);
}

static bool write_comparison_json(FILE *to)
{
    const compared told = {.found = comparison, .before = first.outcome, .after = second.outcome};
    return compare_json_write(&told, RESULTS, &warnings, to);
}

static bool write_understood(FILE *to)
{
    understood without = understood_of(&second), with = understood_of(&seen);
    return understood_print(&without, to) && understood_print(&with, to);
}

static bool write_comparison(FILE *to)
{
    const compared told = {.found = comparison, .before = first.outcome, .after = second.outcome};
    return compare_text_write(&told, RESULTS, to);
}

static bool write_map(FILE *to)
{
    return map_text_write(first.outcome, RESULTS, to);
}

static bool write_plan(FILE *to)
{
    plan_text_write(plan, first.job, RESULTS, to);
    return true;
}

static bool write_explained(FILE *to)
{
    return explain_text_write(first.outcome, explained, 1, to);
}

/* --- the failures --- */

/* What a writer writes while the call after so many fails; freed with free(). *met: one did. */
static char *written(bool (*write)(FILE *), long calls, bool *whole, bool *met)
{
    char *words = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&words, &size);
    assert_non_null(to);
    allocations_left = calls;
    *whole = write(to);
    *met = calls >= 0 && allocations_left < 0;
    allocations_left = -1;
    assert_int_equal(fclose(to), 0);
    return words;
}

/* Whether the words are the same, or names of files stand where their paths would. A number for
 * which there is no memory says so itself. */
static bool is_as_told(const char *made, const char *undisturbed)
{
    static const char folder[] = RESULTS "/", unknown[] = "out of memory";
    while (*undisturbed) {
        if (*made == *undisturbed) {
            made++;
            undisturbed++;
        } else if (strncmp(undisturbed, folder, sizeof folder - 1) == 0) {
            undisturbed += sizeof folder - 1;
        } else if (strncmp(made, unknown, sizeof unknown - 1) == 0) {
            made += sizeof unknown - 1;
            undisturbed += strspn(undisturbed, "0123456789,.");
        } else {
            return false;
        }
    }
    return *made == '\0';
}

static void assert_whole_or_told(bool (*write)(FILE *), bool is_json)
{
    bool whole = false, met = false;
    long refused = 0;
    char *undisturbed = written(write, -1, &whole, &met);
    assert_true(whole);
    met = true;
    for (long calls = 0; met; calls++) {
        char *words = written(write, calls, &whole, &met);
        refused += !whole;
        bool same = is_json ? strcmp(words, undisturbed) == 0 : is_as_told(words, undisturbed);
        if (whole && !same)
            fail_msg("the call after %ld fails, and this is told as whole:\n%s", calls, words);
        if (!whole && !met)
            fail_msg("no call fails, and it is not whole");
        free(words);
    }
    if (is_json)
        assert_true(refused > 20);
    free(undisturbed);
}

static bool write_machine(FILE *to)
{
    static const char *const jobs[] = {"psu", "amp"};
    static const size_t order[] = {1, 0};
    static const board_row rows[] = {{.mapped = true, .counts = {3, 2, 1}, .hottest_c = 66},
                                     {.mapped = false}};
    static sf_kit_line line = {.count = 1, .spares = 1};
    static const sf_kit kit = {.lines = &line, .count = 1};
    const machine_told told = {jobs, jobs, jobs, rows, order, 2, &kit};
    return machine_text_write(&told, RESULTS, to);
}

/* What leaks is seen by the sanitizer. */
static void places_are_found_or_none(const char *out, int wanted)
{
    static const char *const jobs[] = {"/proc", "/sys/", "gone/psu"};
    static const command of = {.name = "map"};
    const machine asked = {.of = &of, .folders = jobs, .count = 3, .out = out};
    int status = EX_SOFTWARE;
    long tried = 0;
    for (; status == EX_SOFTWARE; tried++) {
        machine_place place = {0};
        allocations_left = tried;
        status = machine_place_find(&asked, &place);
        allocations_left = -1;
        if (status == EX_OK) {
            assert_string_equal(place.folder, out ? out : "/");
            assert_string_equal(place.names[1], "sys");
            assert_string_equal(place.links[2], out ? "psu" : "psu/out");
        }
        machine_place_clear(&place, asked.count);
        assert_true(tried < 200);
    }
    assert_int_equal(status, wanted);
    assert_true(tried > 10);
}

static void where_a_machine_goes_is_known_or_memory_is_short(void **state)
{
    (void)state;
    places_are_found_or_none(NULL, EX_OK);
    places_are_found_or_none("deep/results", EX_OK);
}

static void the_json_of_a_map_is_whole_or_none(void **state)
{
    (void)state;
    assert_whole_or_told(write_map_json, true);
    assert_whole_or_told(write_thermogram_json, true);
}

static void the_json_of_a_check_is_whole_or_none(void **state)
{
    (void)state;
    assert_whole_or_told(write_check_json, true);
    assert_whole_or_told(write_refused_json, true);
}

static void the_json_of_a_plan_is_whole_or_none(void **state)
{
    (void)state;
    assert_whole_or_told(write_plan_json, true);
}

static void the_json_of_a_comparison_is_whole_or_none(void **state)
{
    (void)state;
    assert_whole_or_told(write_comparison_json, true);
}

static void what_a_person_is_told_is_whole_or_said_not_to_be(void **state)
{
    (void)state;
    assert_whole_or_told(write_understood, false);
    assert_whole_or_told(write_comparison, false);
    assert_whole_or_told(write_map, false);
    assert_whole_or_told(write_plan, false);
    assert_whole_or_told(write_explained, false);
    assert_whole_or_told(write_machine, false);
}

int main(void)
{
    gsl_set_error_handler_off();
    json_set_alloc_funcs(allocate_json, free);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_json_of_a_map_is_whole_or_none),
        cmocka_unit_test(the_json_of_a_check_is_whole_or_none),
        cmocka_unit_test(the_json_of_a_plan_is_whole_or_none),
        cmocka_unit_test(the_json_of_a_comparison_is_whole_or_none),
        cmocka_unit_test(what_a_person_is_told_is_whole_or_said_not_to_be),
        cmocka_unit_test(where_a_machine_goes_is_known_or_memory_is_short),
    };
    return cmocka_run_group_tests(tests, make_all, drop_all);
}
