/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What `plan_gain` prints: on raised boards four planned readings are worth
 * more than none, than four spread ones, and than the four cans that are most in doubt. */
#include "support/check.h"

#include <gsl/gsl_errno.h>

#include "benchmark/planning.h"

enum { BOARDS = 12, READINGS = 8, FURTHER = 4 };

static void planned_readings_beat_each_other_way(void **state)
{
    (void)state;
    const planning_case of = {.readings = READINGS, .further = FURTHER, .seed = 3};
    planning_score scores[PLANNING_WAYS] = {{0}};
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    assert_non_null(chance);
    for (size_t board = 1; board <= BOARDS; board++)
        assert_int_equal(planning_board(&of, board, chance, scores), SF_OK);
    gsl_rng_free(chance);
    const planning_score *planned = &scores[WAY_PLANNED];
    assert_true(planned->planned > BOARDS);
    assert_int_equal(planned->worn_left, 0);
    /* whoever reads hot cans finds some that have to go, and is wrong with one now and then */
    assert_true(planned->needless <= scores[WAY_UNCERTAIN].needless);
    for (int how = 0; how < PLANNING_WAYS; how++) {
        print_message("%s: %zu of %zu cans on the wrong side, %zu needless, %.3f K2\n",
                      planning_way_names[how], scores[how].wrong_side, scores[how].cans,
                      scores[how].needless, scores[how].square_k2 / (double)scores[how].cans);
        if (how == WAY_PLANNED)
            continue;
        assert_true(planned->wrong_side < scores[how].wrong_side);
        assert_true(planned->square_k2 < scores[how].square_k2);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(planned_readings_beat_each_other_way)};
    return cmocka_run_group_tests_name("benchmark planning", tests, NULL, NULL);
}
