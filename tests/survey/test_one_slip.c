/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A slip in one reading or two, put into the demo's readings: it is told with what was meant, and
 * the sound jobs are left in peace. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "spotfield/spotfield.h"

#define DEMO "demo/desk-supply"

static sf_reading *reading_of(const sf_job *job, const char *id)
{
    for (size_t i = 0; i < job->reading_count; i++)
        if (strcmp(job->readings[i].id, id) == 0)
            return &job->readings[i];
    fail_msg("no reading %s", id);
    return NULL;
}

/* Maps a job whose readings `spoil` has changed; told NULL: nothing is said. */
static void check_told(const char *path, void (*spoil)(const sf_job *job), const char *told)
{
    sf_diagnostics diagnostics = {0};
    sf_job *job;
    sf_outcome *outcome;
    sf_finding *findings;
    size_t count, warned = 0, found = 0;
    assert_int_equal(sf_job_read(source_path(path), &job, &diagnostics), SF_OK);
    if (spoil)
        spoil(job);
    sf_map_options options = sf_map_options_default();
    options.no_reference = true;
    assert_int_equal(sf_map_job(job, &options, &outcome, &diagnostics), SF_OK);
    if (!told && outcome->one_slip)
        fail_msg("%s: %s", path, outcome->one_slip);
    if (told && (!outcome->one_slip || !strstr(outcome->one_slip, told)))
        fail_msg("%s: \"%s\" and not %s", path, outcome->one_slip ? outcome->one_slip : "", told);
    for (size_t i = 0; i < diagnostics.count; i++)
        warned += told && strstr(diagnostics.items[i].what, told) != NULL;
    assert_int_equal(sf_outcome_findings(outcome, &findings, &count), SF_OK);
    for (size_t i = 0; i < count; i++)
        found += told && strstr(findings[i].words, told + 1) != NULL;
    assert_int_equal(warned, told ? 1 : 0);
    assert_int_equal(found, told ? 1 : 0);
    sf_findings_free(findings, count);
    sf_outcome_free(outcome);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
}

static void exchange(const sf_job *job)
{
    reading_of(job, "t03")->value = 28.8;
    reading_of(job, "t13")->value = 69.4;
}

static void transpose(const sf_job *job)
{
    reading_of(job, "t18")->value = 63.1;
}

static void lose_a_digit(const sf_job *job)
{
    reading_of(job, "t10")->value = 3.13;
}

static void each_slip_is_told_with_what_was_meant(void **state)
{
    (void)state;
    check_told(DEMO, exchange, "reading t03 and reading t13 fit far better swapped");
    check_told(DEMO, transpose, "reading t18 fits far better as 36.1 than as 63.1");
    check_told(DEMO, lose_a_digit, "reading t10 fits far better as 31.3 than as 3.13");
}

static void sound_jobs_are_left_in_peace(void **state)
{
    (void)state;
    static const char *const sound[] = {DEMO, "samples/minimal", "samples/decimal-comma",
                                        "samples/infrared-history", "samples/thermogram"};
    for (size_t i = 0; i < sizeof sound / sizeof *sound; i++)
        check_told(sound[i], NULL, NULL);
}
int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_slip_is_told_with_what_was_meant),
        cmocka_unit_test(sound_jobs_are_left_in_peace),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
