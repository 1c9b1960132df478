/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is said of fits that were put together by hand, each with one thing in it to look at. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/scene.h"
#include "field/warnings.h"

/* One reading of 20 K, of which a fit thinks so. */
static void check_spot(sf_spot spot, sf_reading_fit fit, const char *told)
{
    sf_observation seen = plain_observation("t1", 30, 20, 20, 0.5);
    seen.spot = spot;
    sf_field_input input = {.observations = &seen, .observation_count = 1};
    sf_field_summary summary = {.model = "heat-balance", .readings = 1};
    sf_diagnostics heard = {0};
    judged_fit made = {.input = &input, .summary = &summary, .readings = &fit};
    assert_int_equal(warn_of_fit(&made, &heard), SF_OK);
    assert_int_equal(heard.count, told ? 1 : 0);
    if (told)
        assert_non_null(strstr(heard.items[0].what, told));
    sf_diagnostics_clear(&heard);
}

static void check_reading(sf_reading_fit fit, const char *told)
{
    check_spot(SF_SPOT_BOARD, fit, told);
}

static void a_reading_that_does_not_fit_is_told_on_either_side(void **state)
{
    (void)state;
    sf_reading_fit cold = {.left_out_k = {26, 1}, .score = -6, .gross = 0.2};
    sf_reading_fit warm = {.left_out_k = {14, 1}, .score = 6, .gross = 0.2};
    sf_reading_fit gross = {.left_out_k = {26, 1}, .score = -6, .gross = 0.8};
    sf_reading_fit sound = {.left_out_k = {21, 1}, .score = -1};
    check_reading(cold, "6.0 K colder than the other readings predict: a lifted bead");
    check_reading(warm, "6.0 K warmer than the other readings predict: an unlisted heat source");
    check_reading(gross, "was given no weight");
    check_reading(sound, NULL);
}

/* That a can makes heat of its own is doubt enough for a score that is none, and a person who reads
 * it again is to know of it. */
static void a_can_that_is_held_to_heat_itself_is_told(void **state)
{
    (void)state;
    sf_reading_fit own = {.left_out_k = {14, 4}, .score = 1.5, .gross = 1};
    check_spot(SF_SPOT_PART, own,
               "6.0 K warmer than the other readings predict: the part's own heat");
}

/* Listed watts have a standard deviation of their own, of which as much counts as of the watts:
 * hypot(3, 4) = 5, and a tenth of it where a tenth of the watts is the bound. */
static void watts_are_judged_by_both_their_uncertainties(void **state)
{
    (void)state;
    sf_source listed = plain_source("R1", 30, 20, 10, 10);
    sf_field_input input = {.sources = &listed, .source_count = 1};
    sf_field_summary summary = {.readings = 0};
    sf_source_fit fit = {.listed = true};
    judged_fit made = {.input = &input, .summary = &summary, .sources = &fit, .source_count = 1};
    listed.power_w = 10;
    listed.power_sd_w = 4;
    fit.power_w = (sf_estimate){25, 3};
    judge_sources(&made);
    assert_close(fit.power_score, 15.0 / 5, 0, 1e-12);
    listed.power_sd_w = NAN;
    judge_sources(&made);
    assert_close(fit.power_score, 15.0 / 3, 0, 1e-12);
    listed.power_sd_w = 4;
    fit.power_w = (sf_estimate){0.5, 0.3};
    judge_sources(&made);
    assert_close(fit.power_score, -0.5 / 0.5, 0, 1e-12);
    fit.power_w = (sf_estimate){5, 0.3};
    judge_sources(&made);
    assert_close(fit.power_score, 0, 0, 0);
}

static void check_step(const sf_source_fit *found, const sf_observation *seen,
                       const sf_reading_fit *fits, size_t count, const char *expected)
{
    char *step = found_next_step(found, seen, fits, count);
    assert_string_equal(step, expected);
    free(step);
}

/* A source that hangs on one reading is not to be looked for before that is read again: what is
 * said of the source and what is said of the reading agree. */
static void a_source_that_one_reading_makes_waits_for_it(void **state)
{
    (void)state;
    sf_observation seen[] = {{.id = "r1", .x_mm = 41, .y_mm = 29, .rise_k = 40},
                             {.id = "r2", .x_mm = 44, .y_mm = 31, .rise_k = 38},
                             {.id = "r3", .x_mm = 60, .y_mm = 30, .rise_k = 12}};
    sf_reading_fit fits[] = {{.observation = 0, .score = 1, .alone = 5},
                             {.observation = 2, .score = 1, .alone = 5},
                             {.observation = 1, .score = 1, .alone = 1}};
    sf_source_fit found = {.x_mm = 40, .y_mm = 30, .width_mm = 12, .height_mm = 12};
    check_step(&found, seen, fits, 2, "read r1 again first");
    check_step(&found, seen, fits, 3, "look there"); /* r2 is on it too */
    fits[0].alone = 2;
    check_step(&found, seen, fits, 2, "look there");
    fits[0].alone = 5;
    sf_field_input input = {.observations = seen, .observation_count = 3};
    sf_field_summary summary = {.readings = 1};
    sf_diagnostics heard = {0};
    judged_fit made = {&input, &summary, &found, 1, fits};
    assert_int_equal(warn_of_fit(&made, &heard), SF_OK);
    assert_int_equal(heard.count, 2);
    assert_non_null(strstr(heard.items[0].what, "only reading r1 points to"));
    assert_non_null(strstr(heard.items[1].what, "read r1 again first"));
    assert_null(strstr(heard.items[1].what, "look there"));
    sf_diagnostics_clear(&heard);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reading_that_does_not_fit_is_told_on_either_side),
        cmocka_unit_test(a_can_that_is_held_to_heat_itself_is_told),
        cmocka_unit_test(a_source_that_one_reading_makes_waits_for_it),
        cmocka_unit_test(watts_are_judged_by_both_their_uncertainties),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
