/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A slip that all readings share, put into the demo's readings one at a time: each is told, and the
 * sound jobs are left in peace. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "spotfield/spotfield.h"

typedef void (*slip)(const sf_board *board, sf_reading *of);

static void as_fahrenheit(const sf_board *board, sf_reading *of)
{
    (void)board;
    of->value = of->value * 1.8 + 32;
}

static void from_top(const sf_board *board, sf_reading *of)
{
    of->y_mm = board->height_mm - of->y_mm;
}

static void exchange(const sf_board *board, sf_reading *of)
{
    (void)board;
    double x_mm = of->x_mm;
    of->x_mm = of->y_mm;
    of->y_mm = x_mm;
}

static void in_inches(const sf_board *board, sf_reading *of)
{
    (void)board;
    of->x_mm /= 25.4;
    of->y_mm /= 25.4;
}

static void a_digit_short(const sf_board *board, sf_reading *of)
{
    (void)board;
    of->value /= 10;
}

/* Of a board so little loaded that no value is beyond what a board stands. */
static void a_digit_more(const sf_board *board, sf_reading *of)
{
    of->value = 10 * (board->ambient_c + 0.2 * (of->value - board->ambient_c));
}

/* Maps a job of the source tree, its readings spoilt, and checks what is said of all of them
 * together; NULL: nothing. */
static void check_told(const char *path, slip made, const char *told)
{
    sf_diagnostics diagnostics = {0};
    sf_job *job;
    sf_outcome *outcome;
    assert_int_equal(sf_job_read(source_path(path), &job, &diagnostics), SF_OK);
    for (size_t i = 0; made && i < job->reading_count; i++)
        made(&job->board, &job->readings[i]);
    sf_map_options options = sf_map_options_default();
    options.no_reference = true;
    assert_int_equal(sf_map_job(job, &options, &outcome, &diagnostics), SF_OK);
    if (!told && outcome->whole_file)
        fail_msg("%s: %s", path, outcome->whole_file);
    if (told && (!outcome->whole_file || !strstr(outcome->whole_file, told)))
        fail_msg("%s: \"%s\" and not %s", path, outcome->whole_file ? outcome->whole_file : "",
                 told);
    size_t warned = 0;
    for (size_t i = 0; i < diagnostics.count; i++)
        warned += told && strstr(diagnostics.items[i].what, told) != NULL;
    assert_int_equal(warned, told ? 1 : 0);
    sf_outcome_free(outcome);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
}

static void each_slip_of_the_whole_file_is_told(void **state)
{
    (void)state;
    check_told("demo/desk-supply", as_fahrenheit, "as Fahrenheit");
    check_told("demo/desk-supply", from_top, "y counted from the top");
    check_told("demo/desk-supply", exchange, "x and y swapped");
    check_told("demo/desk-supply", in_inches, "in inches");
    check_told("demo/desk-supply", a_digit_short, "ten times as high");
}

static void a_decimal_point_that_is_missing_is_told(void **state)
{
    (void)state;
    check_told("samples/minimal", a_digit_more, "tenths of a degree");
}

static void sound_jobs_are_left_in_peace(void **state)
{
    (void)state;
    static const char *const sound[] = {"demo/desk-supply", "samples/minimal",
                                        "samples/decimal-comma", "samples/infrared-history",
                                        "samples/thermogram"};
    for (size_t i = 0; i < sizeof sound / sizeof *sound; i++)
        check_told(sound[i], NULL, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_slip_of_the_whole_file_is_told),
        cmocka_unit_test(a_decimal_point_that_is_missing_is_told),
        cmocka_unit_test(sound_jobs_are_left_in_peace),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
