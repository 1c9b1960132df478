/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Kills the page while it writes, again and again: test_kill [ROUNDS], 25 where none is named.
 * After each kill the job must read, and lack at most the change that was on its way; what was kept
 * can still be taken back. */
#include "support/check.h"

#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "client.h"
#include "page/view.h"
#include "spotfield/job.h"
#include "spotfield/page.h"

static int rounds = 25;

static void serve(const char *folder, int tell)
{
    sf_page *page = NULL;
    sf_diagnostics diagnostics = {0};
    sf_page_options options = sf_page_options_default();
    if (sf_page_start(folder, &options, &page, &diagnostics) != SF_OK)
        _exit(1);
    const char *address = sf_page_address(page);
    if (write(tell, address, strlen(address) + 1) < 0)
        _exit(1);
    for (;;)
        pause();
}

static pid_t start_page(const char *folder, char *address, size_t size)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        serve(folder, ends[1]);
    close(ends[1]);
    assert_true(read(ends[0], address, size) > 0);
    close(ends[0]);
    return child;
}

/* Kills the page after a while, from a process of its own. */
static pid_t start_killer(pid_t victim, long microseconds)
{
    pid_t child = fork();
    assert_true(child >= 0);
    if (child != 0)
        return child;
    struct timespec wait = {.tv_nsec = microseconds * 1000};
    nanosleep(&wait, NULL);
    kill(victim, SIGKILL);
    _exit(0);
}

/* Enters one reading; whether the page said that it is kept. */
static bool enter_reading(const char *address, size_t number)
{
    char body[512], token[33], head[512];
    unsigned port = client_port(address);
    client_token(address, token);
    int size = snprintf(body, sizeof body,
                        "{\"ops\": [{\"file\": \"readings.csv\", \"op\": \"insert\", \"set\":"
                        "{\"id\": \"p%zu\", \"x_mm\": \"37.5\", \"y_mm\": \"21.5\","
                        "\"value\": \"41.5\", \"unit\": \"C\", \"method\": \"infrared\"}}]}",
                        number);
    int length = snprintf(head, sizeof head,
                          "POST /%s/edit HTTP/1.1\r\nHost: 127.0.0.1:%u\r\nConnection: close\r\n"
                          "Origin: http://127.0.0.1:%u\r\nContent-Length: %d\r\n\r\n",
                          token, port, port, size);
    int descriptor = client_try(port);
    if (descriptor < 0)
        return false;
    client_send(descriptor, head, (size_t)length);
    client_send(descriptor, body, (size_t)size);
    answer got = client_receive(descriptor);
    bool kept = got.status == 200;
    answer_clear(&got);
    return kept;
}

static size_t count_readings(const char *folder)
{
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read_to_plan(folder, &job, &diagnostics), SF_OK);
    size_t count = job->reading_count;
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    return count;
}

/* The page that is started next can take back what this one kept. */
static void assert_undo_outlived(const char *folder, size_t kept)
{
    session *next = session_new(folder, "/nowhere");
    assert_non_null(next);
    json_t *job = view_job(next);
    assert_true(json_is_null(json_object_get(job, "note")));
    assert_int_equal(json_string_length(json_object_get(job, "undo")) > 0, kept > 0);
    json_decref(job);
    session_free(next);
}

/* Enters readings until the page is gone, and looks at what it left. */
static size_t one_round(const char *folder, size_t before, long microseconds)
{
    char address[128] = "";
    pid_t page = start_page(folder, address, sizeof address);
    pid_t killer = start_killer(page, microseconds);
    size_t kept = before;
    while (enter_reading(address, kept + 1))
        kept++;
    assert_int_equal(waitpid(killer, NULL, 0), killer);
    assert_int_equal(waitpid(page, NULL, 0), page);
    size_t found = count_readings(folder);
    assert_in_range(found, kept, kept + 1);
    assert_undo_outlived(folder, found);
    return found;
}

static void a_killed_page_loses_at_most_the_change_on_its_way(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_file(folder, "board.csv", "key,value,unit\nwidth,125,mm\nheight,85,mm\nambient,21.5,C\n");
    write_file(folder, "parts.csv", "ref,x_mm,y_mm\nC7,12.5,31\n");
    write_file(folder, "readings.csv", "id,x_mm,y_mm,value,unit,method\n");
    size_t count = 0;
    unsigned seed = 71;
    for (int i = 0; i < rounds; i++) {
        seed = seed * 1103515245u + 12345u;
        count = one_round(folder, count, 500 + (long)(seed >> 8) % 25000);
    }
    assert_true(count > 0);
    remove_folder(folder);
}

int main(int count, char **words)
{
    gsl_set_error_handler_off();
    if (count > 1)
        rounds = atoi(words[1]);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_killed_page_loses_at_most_the_change_on_its_way),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
