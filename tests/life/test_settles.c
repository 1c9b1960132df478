/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether one more reading would settle a part that is to be checked: against deciding it after
 * every reading that may come. */
#include "support/check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>

#include "life/fixture.h"
#include "spotfield/reading.h"

enum { DRAWS = 400 };

static sf_part_result decided(const sf_job *job, double rise_k, double sd_k)
{
    sf_part_result *results;
    sf_estimate at = {rise_k, sd_k};
    assert_int_equal(sf_parts_decide(job, &at, &results), SF_OK);
    sf_part_result first = results[0];
    sf_part_results_free(results, 1);
    first.reason = NULL;
    return first;
}

/* The mean to come is normal about today's, with the variance that the reading takes away; even
 * quantiles of it, each decided by the rules themselves. */
static double chance_of_settling(const sf_job *job, double rise_k, double sd_k, sf_method method)
{
    sf_observation seen = sf_reading_expect(job, method, SF_SPOT_PART, 0, rise_k);
    double told = sd_k * sd_k / (sd_k * sd_k + seen.sd_k * seen.sd_k);
    size_t settled = 0;
    for (int i = 0; i < DRAWS; i++) {
        double moved_k = sqrt(told) * sd_k * gsl_cdf_ugaussian_Pinv((i + 0.5) / DRAWS);
        settled += decided(job, rise_k + moved_k, sqrt(1 - told) * sd_k).verdict != SF_CHECK;
    }
    return (double)settled / DRAWS;
}

/* The loss model takes past_life as a normal step, which it is to some per cent. */
static void the_chance_is_that_of_the_rules_after_each_reading_that_may_come(void **state)
{
    (void)state;
    sf_part part = plain_part("C7");
    sf_job job = plain_job(&part, 1);
    size_t checked = 0, likely = 0, hardly = 0;
    for (double rise_k = 2; rise_k < 40; rise_k += 2.3)
        for (double sd_k = 0.7; sd_k < 9; sd_k *= 2.1) {
            sf_part_result today = decided(&job, rise_k, sd_k);
            if (today.verdict != SF_CHECK) {
                assert_true(isnan(today.settles));
                assert_false(sf_part_wants_meter(&today));
                continue;
            }
            checked++;
            likely += today.settles > 0.6;
            hardly += sf_part_wants_meter(&today);
            assert_int_equal(today.settles_by, SF_METHOD_THERMOCOUPLE_K);
            assert_true(sf_part_wants_meter(&today) == (today.settles < SF_SETTLES_LEAST));
            assert_close(today.settles, chance_of_settling(&job, rise_k, sd_k, today.settles_by), 0,
                         0.06);
        }
    assert_true(checked > 8 && likely > 0 && hardly > 0);
}

static void a_part_in_a_no_touch_area_is_settled_by_infrared(void **state)
{
    (void)state;
    sf_part part = plain_part("C7");
    sf_job job = plain_job(&part, 1);
    sf_point corners[] = {{part.x_mm - 9, part.y_mm - 9},
                          {part.x_mm + 9, part.y_mm - 9},
                          {part.x_mm + 9, part.y_mm + 9},
                          {part.x_mm - 9, part.y_mm + 9}};
    sf_ring keepout = {.points = corners, .count = 4, .reason = "mains"};
    job.keepouts = &keepout;
    job.keepout_count = 1;
    assert_int_equal(decided(&job, 14, 6).settles_by, SF_METHOD_INFRARED);
}

/* Its can tells nothing anew once it was read, and wear by evidence needs no reading. */
static void a_can_that_was_read_is_not_settled_by_reading_it_again(void **state)
{
    (void)state;
    sf_part part = plain_part("C7");
    sf_job job = plain_job(&part, 1);
    sf_reading taken = {.id = "t1",
                        .x_mm = part.x_mm,
                        .y_mm = part.y_mm,
                        .method = SF_METHOD_THERMOCOUPLE_K,
                        .spot = SF_SPOT_PART,
                        .part = "C7"};
    double rise_k = 12;
    while (decided(&job, rise_k, 5).verdict != SF_CHECK)
        rise_k += 0.5;
    assert_true(decided(&job, rise_k, 5).settles > 0);
    job.readings = &taken;
    job.reading_count = 1;
    assert_close(decided(&job, rise_k, 5).settles, 0, 0, 0);
    assert_true(decided(&job, rise_k, 5).verdict == SF_CHECK);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_chance_is_that_of_the_rules_after_each_reading_that_may_come),
        cmocka_unit_test(a_part_in_a_no_touch_area_is_settled_by_infrared),
        cmocka_unit_test(a_can_that_was_read_is_not_settled_by_reading_it_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
