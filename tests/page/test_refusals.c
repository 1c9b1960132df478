/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A system that gives no random numbers, no thread and no memory, and a clock that goes on: the
 * page does not start and says why, and a client that takes too long is dropped. */
#include "support/check.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdio.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>
#include <microhttpd.h>

#include "client.h"
#include "page/deadline.h"
#include "page/planner.h"
#include "spotfield/page.h"
#include "support/allocations.h"
#include "support/threads.h"

/* --- the system; linked with --wrap, so that the library's calls come here --- */

static bool no_random, no_response;
static _Atomic long ahead_s; /* of the true time, for CLOCK_MONOTONIC alone */

ssize_t __real_getrandom(void *into, size_t size, unsigned flags);
ssize_t __wrap_getrandom(void *into, size_t size, unsigned flags);
ssize_t __wrap_getrandom(void *into, size_t size, unsigned flags)
{
    return no_random ? -1 : __real_getrandom(into, size, flags);
}

int __real_clock_gettime(clockid_t clock, struct timespec *time);
int __wrap_clock_gettime(clockid_t clock, struct timespec *time);
int __wrap_clock_gettime(clockid_t clock, struct timespec *time)
{
    int status = __real_clock_gettime(clock, time);
    time->tv_sec += clock == CLOCK_MONOTONIC ? ahead_s : 0;
    return status;
}

/* Waits by the true clock, until what is that moment by the other one: whoever reads the clock just
 * after it goes on would wait for all that it went on, too. */
int __real_pthread_cond_timedwait(pthread_cond_t *on, pthread_mutex_t *lock,
                                  const struct timespec *until);
int __wrap_pthread_cond_timedwait(pthread_cond_t *on, pthread_mutex_t *lock,
                                  const struct timespec *until);
int __wrap_pthread_cond_timedwait(pthread_cond_t *on, pthread_mutex_t *lock,
                                  const struct timespec *until)
{
    struct timespec by_true_clock = *until;
    by_true_clock.tv_sec -= ahead_s;
    return __real_pthread_cond_timedwait(on, lock, &by_true_clock);
}

struct MHD_Response *__real_MHD_create_response_from_buffer(size_t size, void *bytes,
                                                            enum MHD_ResponseMemoryMode mode);
struct MHD_Response *__wrap_MHD_create_response_from_buffer(size_t size, void *bytes,
                                                            enum MHD_ResponseMemoryMode mode);
struct MHD_Response *__wrap_MHD_create_response_from_buffer(size_t size, void *bytes,
                                                            enum MHD_ResponseMemoryMode mode)
{
    return no_response ? NULL : __real_MHD_create_response_from_buffer(size, bytes, mode);
}

/* --- starting --- */

static sf_page *page;

static int open_job(void **state)
{
    folder_set_up(state);
    write_file(test_folder, "parts.csv", "ref,x_mm,y_mm\nC7,12.5,31\n");
    return 0;
}

static int close_job(void **state)
{
    no_random = no_response = false;
    threads_left = -1;
    allocations_left = -1;
    ahead_s = 0;
    return folder_tear_down(state);
}

static sf_status start(int port, sf_diagnostics *diagnostics)
{
    sf_page_options options = sf_page_options_default();
    options.port = port;
    page = (sf_page *)test_folder; /* no page: is to be made NULL where none comes of it */
    return sf_page_start(test_folder, &options, &page, diagnostics);
}

static void a_page_without_random_numbers_does_not_open(void **state)
{
    (void)state;
    sf_diagnostics diagnostics = {0};
    no_random = true;
    assert_int_equal(start(0, &diagnostics), SF_ERROR_MISSING);
    assert_null(page);
    assert_int_equal(diagnostics.count, 1);
    assert_string_equal(diagnostics.items[0].what, "the system gives no random numbers");
    sf_diagnostics_clear(&diagnostics);
}

/* RFC 793, 3.1: a port has 16 bits. */
static void a_port_that_is_none_is_refused(void **state)
{
    (void)state;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(start(-1, &diagnostics), SF_ERROR_ARGUMENT);
    assert_null(page);
    assert_int_equal(start(65536, &diagnostics), SF_ERROR_ARGUMENT);
    assert_null(page);
    sf_page_stop(NULL);
}

/* Five threads are the page's own: one plans, one looks after the deadlines, three are at desks. */
static void without_a_thread_the_page_does_not_open(void **state)
{
    (void)state;
    for (int begun = 0; begun < 5; begun++) {
        sf_diagnostics diagnostics = {0};
        threads_left = begun;
        assert_int_equal(start(0, &diagnostics), SF_ERROR_MEMORY);
        assert_null(page);
    }
}

static void each_allocation_of_a_page_that_opens_may_fail(void **state)
{
    (void)state;
    sf_diagnostics diagnostics = {0};
    long count = 0;
    for (allocations_left = 0; start(0, &diagnostics) != SF_OK; allocations_left = ++count) {
        assert_null(page);
        assert_true(count < 100);
    }
    assert_true(count >= 4); /* page, session, planner, deadlines at the least */
    allocations_left = -1;
    answer got = client_ask(sf_page_address(page), "stamp", NULL, 0);
    assert_int_equal(got.status, 200);
    answer_clear(&got);
    sf_page_stop(page);
    sf_diagnostics_clear(&diagnostics);
}

/* --- answering --- */

static void a_request_that_no_memory_is_left_for_is_closed_and_the_next_answered(void **state)
{
    (void)state;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(start(0, &diagnostics), SF_OK);
    static const char *const paths[] = {"main.js", "stamp"}; /* bytes that stay, bytes to free */
    for (size_t i = 0; i < 2; i++) {
        no_response = true;
        answer got = client_ask(sf_page_address(page), paths[i], NULL, 0);
        assert_int_equal(got.status, 0);
        answer_clear(&got);
        no_response = false;
        got = client_ask(sf_page_address(page), paths[i], NULL, 0);
        assert_int_equal(got.status, 200);
        answer_clear(&got);
    }
    sf_page_stop(page);
}

/* --- too late --- */

/* Whether the other end of a socket has been shut. */
static bool is_shut(int descriptor)
{
    char byte;
    return recv(descriptor, &byte, 1, MSG_DONTWAIT) == 0;
}

/* Four sockets: one waits from before the clock goes on, one has its request whole, one is closed
 * again, one waits for its next request only since. */
static void only_who_waits_past_the_deadline_is_dropped(void **state)
{
    (void)state;
    int ends[4][2];
    deadlines *of = deadlines_new(4);
    assert_non_null(of);
    for (int i = 0; i < 4; i++) {
        assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM, 0, ends[i]), 0);
        deadline_open(of, ends[i][0]);
    }
    deadline_met(of, ends[1][0]);
    deadline_close(of, ends[2][0]);
    deadline_met(of, ends[3][0]);
    ahead_s = DEADLINE_SECONDS + 1;
    deadline_wait(of, ends[3][0]);
    char byte;
    assert_int_equal(recv(ends[0][1], &byte, 1, 0), 0); /* comes when it is shut */
    for (int i = 1; i < 4; i++)
        assert_false(is_shut(ends[i][1]));
    deadlines_free(of);
    for (int i = 0; i < 4; i++) {
        close(ends[i][0]);
        close(ends[i][1]);
    }
}

/* As many as there is room for are watched; one more is answered all the same. */
static void one_more_socket_than_there_is_room_for_is_left_alone(void **state)
{
    (void)state;
    int ends[2][2];
    deadlines *of = deadlines_new(1);
    assert_non_null(of);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM, 0, ends[i]), 0);
        deadline_open(of, ends[i][0]);
    }
    ahead_s = DEADLINE_SECONDS + 1;
    char byte;
    assert_int_equal(recv(ends[0][1], &byte, 1, 0), 0);
    assert_false(is_shut(ends[1][1]));
    deadlines_free(of);
    deadlines_free(NULL);
    for (int i = 0; i < 2; i++) {
        close(ends[i][0]);
        close(ends[i][1]);
    }
}

/* --- planning --- */

typedef struct seen {
    bool thinking, planned, job;
    uint64_t stamp;
} seen;

static void look(const sf_plan *plan, const sf_job *job, uint64_t stamp, bool thinking,
                 void *context)
{
    *(seen *)context = (seen){thinking, plan != NULL, job != NULL, stamp};
}

static seen plan_of(uint64_t stamp)
{
    seen found = {.thinking = true};
    planner *of = planner_new(test_folder);
    assert_non_null(of);
    planner_ask(of, stamp);
    while (found.thinking) {
        nanosleep(&(struct timespec){.tv_nsec = 2000000}, NULL);
        planner_look(of, look, &found);
    }
    planner_free(of);
    return found;
}

static void a_job_that_has_become_unreadable_is_not_planned(void **state)
{
    (void)state;
    seen found = plan_of(77);
    assert_false(found.planned);
    assert_int_equal(found.stamp, 77);
    write_file(test_folder, "board.csv",
               "key,value,unit\nwidth,125,mm\nheight,85,mm\nambient,21.5,C\n");
    write_file(test_folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method\nr3,44,21,47.5,C,infrared\n");
    found = plan_of(79);
    assert_true(found.planned && found.job);
    assert_int_equal(found.stamp, 79);
    planner_free(NULL);
}

int main(void)
{
    gsl_set_error_handler_off();
#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, open_job, close_job)
    const struct CMUnitTest tests[] = {
        IN_FOLDER(a_page_without_random_numbers_does_not_open),
        IN_FOLDER(a_port_that_is_none_is_refused),
        IN_FOLDER(without_a_thread_the_page_does_not_open),
        IN_FOLDER(each_allocation_of_a_page_that_opens_may_fail),
        IN_FOLDER(a_request_that_no_memory_is_left_for_is_closed_and_the_next_answered),
        IN_FOLDER(only_who_waits_past_the_deadline_is_dropped),
        IN_FOLDER(one_more_socket_than_there_is_room_for_is_left_alone),
        IN_FOLDER(a_job_that_has_become_unreadable_is_not_planned),
    };
#undef IN_FOLDER
    return cmocka_run_group_tests(tests, NULL, NULL);
}
