/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tasks done at once, also where the system gives no threads. */
#include "support/check.h"

#include <pthread.h>
#include <stdatomic.h>

#include "core/parallel.h"
#include "support/threads.h"

enum { TASKS = 23 };

typedef struct task {
    int number, runs, square;
    sf_status answer;
    pthread_t by;
} task;

static sf_status take(void *given)
{
    task *of = given;
    of->runs++;
    of->square = of->number * of->number;
    of->by = pthread_self();
    return of->answer;
}

static void run_all(int threads, size_t count, task tasks[TASKS])
{
    threads_left = threads;
    for (int i = 0; i < TASKS; i++)
        tasks[i] = (task){.number = 7 + i};
    assert_int_equal(parallel_for(take, tasks, count, sizeof *tasks), SF_OK);
    for (int i = 0; i < TASKS; i++) {
        assert_int_equal(tasks[i].runs, (size_t)i < count);
        assert_int_equal(tasks[i].square, (size_t)i < count ? (7 + i) * (7 + i) : 0);
    }
}

static void each_task_is_run_once_however_many_threads_there_are(void **state)
{
    (void)state;
    task tasks[TASKS];
    for (int threads = 0; threads < 12; threads++)
        for (size_t count = 0; count <= TASKS; count += 1 + count / 3)
            run_all(threads, count, tasks);
}

static void the_first_task_is_run_by_the_caller_and_others_apart(void **state)
{
    (void)state;
    task tasks[TASKS];
    run_all(TASKS, 3, tasks);
    assert_true(pthread_equal(tasks[0].by, pthread_self()));
    assert_false(pthread_equal(tasks[1].by, pthread_self()));
    assert_false(pthread_equal(tasks[2].by, pthread_self()));
}

static void without_threads_the_caller_runs_all(void **state)
{
    (void)state;
    task tasks[TASKS];
    run_all(0, TASKS, tasks);
    for (int i = 0; i < TASKS; i++)
        assert_true(pthread_equal(tasks[i].by, pthread_self()));
}

/* Each waits for the other: one after the other they would wait for ever. */
static atomic_int arrived;

static sf_status meet(void *given)
{
    (void)given;
    arrived++;
    while (arrived < 2)
        ;
    return SF_OK;
}

static void two_tasks_are_under_way_at_once(void **state)
{
    (void)state;
    char tasks[2] = {0};
    threads_left = 1;
    arrived = 0;
    assert_int_equal(parallel_for(meet, tasks, 2, 1), SF_OK);
    assert_int_equal(arrived, 2);
}

/* Whoever runs a task, and whichever is done first. */
static void the_first_fault_in_the_order_of_tasks_is_told(void **state)
{
    (void)state;
    for (int threads = 0; threads < 12; threads++)
        for (size_t earlier = 0; earlier + 1 < TASKS; earlier++) {
            task tasks[TASKS] = {0};
            threads_left = threads;
            tasks[earlier].answer = SF_ERROR_NUMERIC;
            tasks[TASKS - 1].answer = SF_ERROR_MEMORY;
            assert_int_equal(parallel_for(take, tasks, TASKS, sizeof *tasks), SF_ERROR_NUMERIC);
            for (int i = 0; i < TASKS; i++)
                assert_int_equal(tasks[i].runs, 1);
        }
}

enum { THINGS = 37, FAULTY = 29 };

static sf_status count_things(void *context, size_t from, size_t to)
{
    int *counted = context;
    for (size_t i = from; i < to; i++)
        counted[i]++;
    return from <= FAULTY && FAULTY < to ? SF_ERROR_DATA : SF_OK;
}

static void stretches_hold_each_thing_once(void **state)
{
    (void)state;
    for (size_t count = 0; count <= THINGS; count++) {
        int counted[THINGS] = {0};
        threads_left = (long)(count % 5);
        sf_status status = parallel_in_chunks(count_things, counted, count);
        assert_int_equal(status, count > FAULTY ? SF_ERROR_DATA : SF_OK);
        for (size_t i = 0; i < THINGS; i++)
            assert_int_equal(counted[i], i < count);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_task_is_run_once_however_many_threads_there_are),
        cmocka_unit_test(the_first_task_is_run_by_the_caller_and_others_apart),
        cmocka_unit_test(without_threads_the_caller_runs_all),
        cmocka_unit_test(two_tasks_are_under_way_at_once),
        cmocka_unit_test(the_first_fault_in_the_order_of_tasks_is_told),
        cmocka_unit_test(stretches_hold_each_thing_once),
    };
    return cmocka_run_group_tests_name("together", tests, NULL, NULL);
}
