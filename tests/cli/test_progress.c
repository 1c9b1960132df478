/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The line that tells what takes so long. */
#include "support/check.h"

#include <pthread.h>
#include <stdbool.h>
#include <time.h>

#include "cli/progress.h"
#include "program.h"
#include "support/threads.h"

/* Linked with --wrap: the call of progress.c comes here. */
static bool no_condition;

int __real_pthread_cond_init(pthread_cond_t *made, const pthread_condattr_t *how);
int __wrap_pthread_cond_init(pthread_cond_t *made, const pthread_condattr_t *how);
int __wrap_pthread_cond_init(pthread_cond_t *made, const pthread_condattr_t *how)
{
    return no_condition ? 12 : __real_pthread_cond_init(made, how);
}

static void wait_ms(long milliseconds)
{
    struct timespec pause = {milliseconds / 1000, milliseconds % 1000 * 1000000};
    nanosleep(&pause, NULL);
}

static void work_for_long(void)
{
    progress line;
    progress_begin(&line, "sweeping the bench");
    progress_step("warming the iron", &line);
    wait_ms(1400);
    progress_step("reading the meter", &line);
    wait_ms(200);
    progress_end(&line);
}

static void work_shortly(void)
{
    progress line;
    progress_begin(&line, "sweeping the bench");
    progress_step("warming the iron", &line);
    wait_ms(50);
    progress_end(&line);
}

static void
work_for_more_than_a_second_is_told_step_by_step_and_the_line_is_gone_after_it(void **state)
{
    (void)state;
    ended seen = run_function_in(&(surroundings){.terminal = true}, work_for_long);
    assert_int_equal(seen.status, 0);
    assert_has_not(seen.message, "sweeping the bench");
    assert_has(seen.message, "\rwarming the iron");
    /* then spaces over what was written, and back to the first column */
    assert_has(seen.message, "\rreading the meter\r                                        \r");
    ended_free(&seen);
}

static void short_work_is_not_told(void **state)
{
    (void)state;
    ended seen = run_function_in(&(surroundings){.terminal = true}, work_shortly);
    assert_int_equal(seen.status, 0);
    assert_string_equal(seen.message, "");
    ended_free(&seen);
}

static void nothing_is_told_where_standard_error_is_no_terminal(void **state)
{
    (void)state;
    ended seen = run_function_in(&(surroundings){0}, work_for_long);
    assert_int_equal(seen.status, 0);
    assert_string_equal(seen.message, "");
    ended_free(&seen);
}

/* The work is done all the same, here and in a second call. */
static void work_without_a_thread(void)
{
    threads_left = 0;
    work_for_long();
    threads_left = -1;
    no_condition = true;
    work_for_long();
}

static void nothing_is_told_where_the_system_gives_no_thread(void **state)
{
    (void)state;
    ended seen = run_function_in(&(surroundings){.terminal = true}, work_without_a_thread);
    assert_int_equal(seen.status, 0);
    assert_string_equal(seen.message, "");
    ended_free(&seen);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(
            work_for_more_than_a_second_is_told_step_by_step_and_the_line_is_gone_after_it),
        cmocka_unit_test(short_work_is_not_told),
        cmocka_unit_test(nothing_is_told_where_standard_error_is_no_terminal),
        cmocka_unit_test(nothing_is_told_where_the_system_gives_no_thread),
    };
    return cmocka_run_group_tests_name("progress", tests, NULL, NULL);
}
