/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A page while a field or a plan is being computed, however long that takes: it answers and changes
 * the job, and it ends. */
#include "support/check.h"

#include <pthread.h>
#include <semaphore.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "served.h"
#include "spotfield/output.h"
#include "spotfield/plan.h"

/* --- what takes long; linked with --wrap, so that the library's calls come here --- */

static _Atomic bool held; /* whoever computes waits from now on */
static sem_t begun, let_go;

static void take_long(void)
{
    if (!held)
        return;
    sem_post(&begun);
    while (sem_wait(&let_go) != 0)
        ;
}

sf_status __real_sf_map_job(const sf_job *job, const sf_map_options *options, sf_outcome **outcome,
                            sf_diagnostics *diagnostics);
sf_status __wrap_sf_map_job(const sf_job *job, const sf_map_options *options, sf_outcome **outcome,
                            sf_diagnostics *diagnostics);
sf_status __wrap_sf_map_job(const sf_job *job, const sf_map_options *options, sf_outcome **outcome,
                            sf_diagnostics *diagnostics)
{
    take_long();
    return __real_sf_map_job(job, options, outcome, diagnostics);
}

sf_status __real_sf_plan_make(const sf_job *job, const sf_observation *observations, size_t count,
                              const sf_plan_options *options, sf_plan **plan,
                              sf_diagnostics *diagnostics);
sf_status __wrap_sf_plan_make(const sf_job *job, const sf_observation *observations, size_t count,
                              const sf_plan_options *options, sf_plan **plan,
                              sf_diagnostics *diagnostics);
sf_status __wrap_sf_plan_make(const sf_job *job, const sf_observation *observations, size_t count,
                              const sf_plan_options *options, sf_plan **plan,
                              sf_diagnostics *diagnostics)
{
    take_long();
    return __real_sf_plan_make(job, observations, count, options, plan, diagnostics);
}

/* --- a request that waits --- */

typedef struct waiting {
    pthread_t thread;
    const char *path, *body;
    int status;
} waiting;

static void *ask(void *argument)
{
    waiting *of = argument;
    answer got = served_ask(of->path, of->body, of->body ? strlen(of->body) : 0);
    of->status = got.status;
    answer_clear(&got);
    return NULL;
}

static void begin(waiting *of, const char *path, const char *body)
{
    *of = (waiting){.path = path, .body = body};
    held = true;
    assert_int_equal(pthread_create(&of->thread, NULL, ask, of), 0);
    assert_int_equal(sem_wait(&begun), 0);
    held = false;
}

static int end(waiting *of)
{
    pthread_join(of->thread, NULL);
    return of->status;
}

static const char insert[] = "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\","
                             "\"set\": {\"ref\": \"C11\", \"x_mm\": \"71.5\", \"y_mm\": \"16\"}}]}";

/* Each of them is answered while another one is computed; none of these would come to an end. */
static void beside_a_long_field_all_else_is_answered(void **state)
{
    (void)state;
    waiting field;
    begin(&field, "live", NULL);
    assert_int_equal(served_status("", NULL), 200);
    assert_int_equal(served_status("job", NULL), 200);
    assert_int_equal(served_status("stamp", NULL), 200);
    assert_int_equal(served_status("plan", NULL), 200);
    assert_int_equal(served_status("edit", insert), 200);
    assert_int_equal(served_status("undo", ""), 200);
    assert_int_equal(served_status("straight", NULL), 404);
    assert_int_equal(served_status("photo", "no picture"), 409);
    assert_int_equal(served_status("export", ""), 200);
    assert_int_equal(served_status("out/parts.csv", NULL), 200);
    sem_post(&let_go);
    assert_int_equal(end(&field), 200);
}

static void beside_a_long_export_the_field_is_answered(void **state)
{
    (void)state;
    waiting written;
    begin(&written, "export", "");
    assert_int_equal(served_status("live", NULL), 200);
    assert_int_equal(served_status("what-if", "{\"air_k\": 1, \"hours\": 7}"), 200);
    sem_post(&let_go);
    assert_int_equal(end(&written), 200);
}

/* The field is of the files as they are when it is told, not of those that an edit has left since.
 */
static void a_field_that_an_edit_overtook_has_the_stamp_of_its_files(void **state)
{
    (void)state;
    waiting field;
    json_t *before = served_json("stamp", NULL, 200);
    begin(&field, "live", NULL);
    assert_int_equal(served_status("edit", insert), 200);
    sem_post(&let_go);
    assert_int_equal(end(&field), 200);
    json_t *after = served_json("stamp", NULL, 200), *live = served_json("live", NULL, 200);
    assert_false(json_equal(before, after));
    assert_true(json_equal(json_object_get(live, "stamp"), after));
    json_decref(before);
    json_decref(after);
    json_decref(live);
}

/* --- the end --- */

static sf_page *own;

static void *ask_own(void *argument)
{
    waiting *of = argument;
    answer got = client_ask(sf_page_address(own), of->path, of->body, 0);
    of->status = got.status;
    answer_clear(&got);
    return NULL;
}

/* Begins `path` at a page of its own, ends that page meanwhile, and looks that nothing is written
 * once what was begun goes on. */
static void end_beside(const char *path, const char *body, bool told)
{
    sf_page_options options = {.results = served_results};
    sf_diagnostics diagnostics = {0};
    char result[sizeof served_results + 16];
    waiting of = {.path = path, .body = body};
    assert_int_equal(served_open(NULL), 0);
    served_close_page();
    assert_int_equal(sf_page_start(served_folder, &options, &own, &diagnostics), SF_OK);
    held = true;
    assert_int_equal(pthread_create(&of.thread, NULL, ask_own, &of), 0);
    assert_int_equal(sem_wait(&begun), 0);
    held = false;
    if (told)
        pthread_join(of.thread, NULL); /* a plan is not waited for */
    assert_false(sf_page_stop_within(own, 0.05));
    if (!told)
        pthread_join(of.thread,
                     NULL); /* it hears that nothing comes, or the connection is closed */
    assert_int_equal(of.status == 200, told);
    /* the next page can have the job */
    sf_page *next = NULL;
    assert_int_equal(sf_page_start(served_folder, &options, &next, &diagnostics), SF_OK);
    assert_true(sf_page_stop_within(next, 60));
    sem_post(&let_go);
    sf_page_stop(own);
    snprintf(result, sizeof result, "%s/parts.csv", served_results);
    assert_int_equal(access(result, F_OK), -1);
    remove_folder(served_folder);
}

static void a_page_ends_beside_a_long_field(void **state)
{
    (void)state;
    end_beside("live", NULL, false);
}

static void a_page_ends_beside_a_long_export_which_then_writes_nothing(void **state)
{
    (void)state;
    end_beside("export", "", false);
}

static void a_page_ends_beside_a_long_plan(void **state)
{
    (void)state;
    end_beside("plan", NULL, true);
}

int main(void)
{
    gsl_set_error_handler_off();
    sem_init(&begun, 0, 0);
    sem_init(&let_go, 0, 0);
    const struct CMUnitTest tests[] = {
        WITH_PAGE(beside_a_long_field_all_else_is_answered),
        WITH_PAGE(beside_a_long_export_the_field_is_answered),
        WITH_PAGE(a_field_that_an_edit_overtook_has_the_stamp_of_its_files),
        cmocka_unit_test(a_page_ends_beside_a_long_field),
        cmocka_unit_test(a_page_ends_beside_a_long_export_which_then_writes_nothing),
        cmocka_unit_test(a_page_ends_beside_a_long_plan),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
