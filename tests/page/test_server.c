/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The page as a server: whom it answers, and that hostile and broken clients do not hurt it. */
#include "support/check.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "served.h"

/* Status of a request of these very bytes; "TOKEN" and "PORT" in it are replaced. */
static int status_of(const char *request)
{
    char token[33], port[8], made[2048] = "";
    client_token(served_address(), token);
    snprintf(port, sizeof port, "%u", client_port(served_address()));
    for (const char *at = request; *at;) {
        bool is_token = strncmp(at, "TOKEN", 5) == 0, is_port = strncmp(at, "PORT", 4) == 0;
        size_t length = strlen(made);
        snprintf(made + length, sizeof made - length, "%s",
                 is_token  ? token
                 : is_port ? port
                           : (char[]){*at, '\0'});
        at += is_token ? 5 : is_port ? 4 : 1;
    }
    int descriptor = client_connect(client_port(served_address()));
    client_send(descriptor, made, strlen(made));
    answer got = client_receive(descriptor);
    int status = got.status;
    answer_clear(&got);
    return status;
}

static void the_page_and_its_parts_come_with_a_strict_policy(void **state)
{
    (void)state;
    answer got = served_ask("", NULL, 0);
    assert_int_equal(got.status, 200);
    assert_non_null(strstr(got.bytes, "default-src 'none'; script-src 'self'; style-src 'self'"));
    /* or another site lays the page, unseen, under a person's pointer */
    assert_non_null(strstr(got.bytes, "frame-ancestors 'none'\r\n"));
    assert_non_null(strstr(got.bytes, "X-Content-Type-Options: nosniff"));
    assert_non_null(strstr(got.body, "<script type=\"module\" src=\"main.js\">"));
    answer_clear(&got);
    assert_int_equal(served_status("main.js", NULL), 200);
    assert_int_equal(served_status("page.css", NULL), 200);
}

static void nobody_without_the_token_is_answered(void **state)
{
    (void)state;
    static const char *const requests[] = {
        "GET / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n\r\n",
        "GET /job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n\r\n",
        ("GET /00000000000000000000000000000000/job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n"
         "Connection: close\r\n\r\n"),
        "GET //TOKEN/job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n\r\n",
        ("GET http://127.0.0.1:PORT/TOKEN/job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n"
         "Connection: close\r\n\r\n"),
        "GET /TOKENx/job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n\r\n",
        "GET /TOKENxjob HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n\r\n",
    };
    for (size_t i = 0; i < sizeof requests / sizeof *requests; i++)
        assert_int_equal(status_of(requests[i]), 404);
}

static void a_token_that_is_wrong_in_one_place_opens_nothing(void **state)
{
    (void)state;
    char token[33], request[256];
    client_token(served_address(), token);
    for (size_t i = 0; i < 32; i++) {
        char right = token[i];
        token[i] = (char)(right ^ 1); /* as little as a character can differ */
        snprintf(request, sizeof request,
                 "GET /%s/job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n\r\n",
                 token);
        if (status_of(request) != 404)
            fail_msg("the token with another character %zu is let in", i);
        token[i] = right;
    }
}

/* RFC 5735, 3: all of 127.0.0.0/8 is this machine, and only one address of it is the page's. */
static void only_one_address_of_this_machine_is_listened_at(void **state)
{
    (void)state;
    struct sockaddr_in other = {.sin_family = AF_INET,
                                .sin_port = htons((uint16_t)client_port(served_address())),
                                .sin_addr.s_addr = htonl(INADDR_LOOPBACK + 1)};
    int descriptor = socket(AF_INET, SOCK_STREAM, 0);
    assert_true(descriptor >= 0);
    assert_int_equal(connect(descriptor, (struct sockaddr *)&other, sizeof other), -1);
    assert_int_equal(errno, ECONNREFUSED);
    close(descriptor);
}

static void another_host_name_that_leads_here_is_refused(void **state)
{
    (void)state;
    assert_int_equal(status_of("GET /TOKEN/job HTTP/1.1\r\nHost: bench.example:PORT\r\n"
                               "Connection: close\r\n\r\n"),
                     421);
    static const char *const hosts[] = {
        "127.0.0.1",           "127.0.0.1:PORT.evil", "127.0.0.1:PORT0",     "127.0.0.1:PORT@evil",
        "localhost:PORT.evil", "evil.127.0.0.1:PORT", "127.0.0.1:PORT,evil", ""};
    for (size_t i = 0; i < sizeof hosts / sizeof *hosts; i++) {
        char request[256];
        snprintf(request, sizeof request,
                 "GET /TOKEN/job HTTP/1.1\r\nHost: %s\r\nConnection: close\r\n\r\n", hosts[i]);
        if (status_of(request) != 421)
            fail_msg("Host: %s is let in", hosts[i]);
    }
    assert_int_equal(status_of("GET /TOKEN/job HTTP/1.0\r\n\r\n"), 421);
    assert_int_equal(status_of("GET /TOKEN/job HTTP/1.1\r\nHost: localhost:PORT\r\n"
                               "Connection: close\r\n\r\n"),
                     200);
}

static void a_change_from_another_origin_is_refused(void **state)
{
    (void)state;
    static const char *const requests[] = {
        "POST /TOKEN/undo HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n"
        "Origin: http://bench.example\r\nContent-Length: 0\r\n\r\n",
        "POST /TOKEN/undo HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n"
        "Origin: null\r\nContent-Length: 0\r\n\r\n",
        "POST /TOKEN/undo HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n"
        "Origin: https://127.0.0.1:PORT\r\nContent-Length: 0\r\n\r\n",
        "POST /TOKEN/undo HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n"
        "Origin: http://127.0.0.1:PORT.evil\r\nContent-Length: 0\r\n\r\n",
        "POST /TOKEN/undo HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n"
        "Origin: httpx//127.0.0.1:PORT\r\nContent-Length: 0\r\n\r\n",
        "POST /TOKEN/undo HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n"
        "Content-Length: 0\r\n\r\n",
        "GET /TOKEN/job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nConnection: close\r\n"
        "Origin: http://bench.example\r\n\r\n",
    };
    for (size_t i = 0; i < sizeof requests / sizeof *requests; i++)
        assert_int_equal(status_of(requests[i]), 403);
}

static void only_the_page_and_the_results_have_names(void **state)
{
    (void)state;
    static const char *const paths[] = {"secret.txt",
                                        "../secret.txt",
                                        "out/../secret.txt",
                                        "out/%2e%2e/secret.txt",
                                        "board.csv",
                                        "out/",
                                        "out//etc/passwd",
                                        "out/parts.csv",
                                        "%00",
                                        "photo",
                                        "j%6Fb"};
    write_file(served_folder, "secret.txt", "not of the job");
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++)
        assert_int_equal(served_status(paths[i], NULL), 404);
}

static void a_wrong_method_is_refused(void **state)
{
    (void)state;
    assert_int_equal(served_status("edit", NULL), 404);
    assert_int_equal(served_status("live", ""), 405);
    assert_int_equal(status_of("DELETE /TOKEN/job HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n"
                               "Connection: close\r\n\r\n"),
                     405);
}

static void a_body_above_its_limit_is_refused_by_its_stated_length(void **state)
{
    (void)state;
    assert_int_equal(status_of("POST /TOKEN/edit HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n"
                               "Connection: close\r\nOrigin: http://127.0.0.1:PORT\r\n"
                               "Content-Length: 65537\r\n\r\n"),
                     413);
    assert_int_equal(status_of("POST /TOKEN/photo HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n"
                               "Connection: close\r\nOrigin: http://127.0.0.1:PORT\r\n"
                               "Content-Length: 20971521\r\n\r\n"),
                     413);
}

/* RFC 9110, 8.6: Content-Length = 1*DIGIT. */
static void a_length_that_is_no_number_is_refused(void **state)
{
    (void)state;
    static const char *const lengths[] = {"7x", "0x7", "-7", "seven", "99999999999999999999999"};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        char request[512];
        snprintf(request, sizeof request,
                 "POST /TOKEN/edit HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n"
                 "Origin: http://127.0.0.1:PORT\r\nContent-Length: %s\r\n"
                 "Connection: close\r\n\r\n{\"ops\":7",
                 lengths[i]);
        int status = status_of(request);
        if (status != 400 && status != 413)
            fail_msg("Content-Length: %s answers %d", lengths[i], status);
    }
}

/* A change like any other, but for the blanks behind it, and ended as RFC 9112, 7.1 asks. */
static void a_body_without_a_length_is_cut_off_at_its_limit(void **state)
{
    (void)state;
    enum { CHUNK = 4096, CHUNKS = 18 }; /* 72 KiB, where an edit may have 64 */
    static const char change[] = "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\","
                                 "\"set\": {\"ref\": \"C93\", \"x_mm\": \"33\"}}]}";
    char token[33], head[512], chunk[6 + CHUNK + 2];
    unsigned port = client_port(served_address());
    client_token(served_address(), token);
    int length = snprintf(head, sizeof head,
                          "POST /%s/edit HTTP/1.1\r\nHost: 127.0.0.1:%u\r\nConnection: close\r\n"
                          "Origin: http://127.0.0.1:%u\r\nTransfer-Encoding: chunked\r\n\r\n",
                          token, port, port);
    int descriptor = client_connect(port);
    client_send(descriptor, head, (size_t)length);
    memset(chunk, ' ', sizeof chunk);
    memcpy(chunk, "1000\r\n", 6);
    memcpy(chunk + 6, change, sizeof change - 1);
    memcpy(chunk + 6 + CHUNK, "\r\n", 2);
    for (int i = 0; i < CHUNKS; i++) {
        client_send(descriptor, chunk, sizeof chunk);
        memset(chunk + 6, ' ', CHUNK);
    }
    client_send(descriptor, "0\r\n\r\n", 5);
    answer got = client_receive(descriptor);
    assert_int_not_equal(got.status, 200);
    answer_clear(&got);
    got = served_ask("job", NULL, 0);
    assert_int_equal(got.status, 200);
    assert_null(strstr(got.body, "C93"));
    answer_clear(&got);
}

static void what_is_no_json_or_no_change_answers_400(void **state)
{
    (void)state;
    static const char *const bodies[] = {"",
                                         "{",
                                         "7",
                                         "{\"ops\": [7]}",
                                         "{\"ops\": [{}]}",
                                         "{\"ops\": [{\"file\": \"parts.csv\"}]}",
                                         "\xFF\xFE"};
    for (size_t i = 0; i < sizeof bodies / sizeof *bodies; i++)
        assert_int_equal(served_status("edit", bodies[i]), 400);
    assert_int_equal(served_status("what-if", "{\"air_k\": 1e300, \"hours\": 5}"), 400);
    assert_int_equal(served_status("what-if", "{\"air_k\": \"warm\"}"), 400);
}

static void a_deeply_nested_body_is_refused(void **state)
{
    (void)state;
    enum { DEPTH = 60000 };
    char *body = malloc(DEPTH);
    assert_non_null(body);
    memset(body, '[', DEPTH);
    answer got = served_ask("edit", body, DEPTH);
    assert_int_equal(got.status, 400);
    answer_clear(&got);
    free(body);
}

static void the_page_answers_beside_200_idle_and_half_sent_connections(void **state)
{
    (void)state;
    enum { IDLE = 200 };
    int idle[IDLE];
    for (int i = 0; i < IDLE; i++) {
        idle[i] = client_connect(client_port(served_address()));
        if (i % 2)
            client_send(idle[i], "GET /half-a-request HTTP/1.1\r\nHo", 32);
    }
    assert_int_equal(served_status("job", NULL), 200);
    assert_int_equal(served_status("edit",
                                   "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\","
                                   "\"set\": {\"ref\": \"C9\", \"x_mm\": \"33\"}}]}"),
                     200);
    for (int i = 0; i < IDLE; i++)
        close(idle[i]);
}

static void a_half_sent_body_changes_nothing(void **state)
{
    (void)state;
    char token[33], head[512];
    unsigned port = client_port(served_address());
    client_token(served_address(), token);
    int length = snprintf(head, sizeof head,
                          "POST /%s/edit HTTP/1.1\r\nHost: 127.0.0.1:%u\r\n"
                          "Origin: http://127.0.0.1:%u\r\nContent-Length: 400\r\n\r\n"
                          "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"delete\", \"row\": 0,",
                          token, port, port);
    int descriptor = client_connect(port);
    client_send(descriptor, head, (size_t)length);
    close(descriptor);
    answer got = served_ask("job", NULL, 0);
    assert_non_null(strstr(got.body, "\"C7\""));
    answer_clear(&got);
}

static void a_job_shows_its_verdicts_and_takes_a_reading(void **state)
{
    (void)state;
    const char reading[] = "{\"label\": \"reading p1\", \"ops\": [{\"file\": \"readings.csv\","
                           "\"op\": \"insert\", \"set\": {\"id\": \"p1\", \"x_mm\": \"87.5\","
                           "\"y_mm\": \"61.5\", \"value\": \"33.4\", \"unit\": \"C\","
                           "\"method\": \"infrared\"}}]}";
    answer got = served_ask("edit", reading, sizeof reading - 1);
    assert_int_equal(got.status, 200);
    assert_non_null(strstr(got.body, "\"undo\":\"reading p1\""));
    answer_clear(&got);
    got = served_ask("live", NULL, 0);
    assert_int_equal(got.status, 200);
    assert_non_null(strstr(got.body, "\"id\":\"p1\""));
    assert_non_null(strstr(got.body, "\"ref\":\"C7\""));
    answer_clear(&got);
    assert_int_equal(served_status("undo", ""), 200);
    assert_int_equal(served_status("undo", ""), 400);
}

static void two_pages_have_two_tokens(void **state)
{
    (void)state;
    sf_page *other = NULL;
    sf_diagnostics diagnostics = {0};
    sf_page_options options = sf_page_options_default();
    char token[33], other_token[33], folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    assert_int_equal(sf_page_start(folder, &options, &other, &diagnostics), SF_OK);
    client_token(served_address(), token);
    client_token(sf_page_address(other), other_token);
    assert_string_not_equal(token, other_token);
    sf_page_stop(other);
    remove_folder(folder);
}

static void a_job_that_another_page_has_open_is_not_opened(void **state)
{
    (void)state;
    sf_page *other = NULL;
    sf_diagnostics diagnostics = {0};
    sf_page_options options = sf_page_options_default();
    char process[32], address[48], token[33];
    snprintf(process, sizeof process, "process %ld", (long)getpid());
    snprintf(address, sizeof address, "http://127.0.0.1:%u/", client_port(served_address()));
    client_token(served_address(), token);
    assert_int_equal(sf_page_start(served_folder, &options, &other, &diagnostics),
                     SF_ERROR_MISSING);
    assert_null(other);
    assert_int_equal(diagnostics.count, 1);
    assert_non_null(strstr(diagnostics.items[0].what, process));
    assert_non_null(strstr(diagnostics.items[0].what, address));
    assert_null(strstr(diagnostics.items[0].what, token)); /* who reads the file gets no further */
    sf_diagnostics_clear(&diagnostics);
    assert_int_equal(served_status("undo", ""), 400); /* the one that has it goes on */
}

/* Two pages on a folder that neither found: whoever writes first has it. */
static void of_two_pages_that_begin_a_job_only_one_changes_it(void **state)
{
    (void)state;
    static const char insert[] = "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\","
                                 "\"set\": {\"ref\": \"C9\", \"x_mm\": \"33\"}}]}";
    sf_page *pages[2] = {NULL};
    sf_diagnostics diagnostics = {0};
    sf_page_options options = sf_page_options_default();
    char parent[256], folder[272];
    snprintf(parent, sizeof parent, "%s", fresh_folder());
    snprintf(folder, sizeof folder, "%s/job", parent);
    for (int i = 0; i < 2; i++)
        assert_int_equal(sf_page_start(folder, &options, &pages[i], &diagnostics), SF_OK);
    static const int statuses[] = {200, 404};
    for (int i = 0; i < 2; i++) {
        answer got = client_ask(sf_page_address(pages[i]), "edit", insert, sizeof insert - 1);
        assert_int_equal(got.status, statuses[i]);
        assert_true(i == 0 || strstr(got.body, "another page has this job open"));
        answer_clear(&got);
    }
    sf_page_stop(pages[0]);
    answer got = client_ask(sf_page_address(pages[1]), "edit", insert, sizeof insert - 1);
    assert_int_equal(got.status, 200);
    answer_clear(&got);
    sf_page_stop(pages[1]);
    remove_folder(folder);
    remove_folder(parent);
}

/* What a page that was killed leaves: the file, and nobody who holds it. */
static void a_lock_that_nobody_holds_keeps_nobody_out(void **state)
{
    (void)state;
    sf_page *page = NULL;
    sf_diagnostics diagnostics = {0};
    sf_page_options options = sf_page_options_default();
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_file(folder, ".spotfield-page.lock", "process 4711 at http://127.0.0.1:8081/\n");
    assert_int_equal(sf_page_start(folder, &options, &page, &diagnostics), SF_OK);
    sf_page_stop(page);
    char path[320];
    snprintf(path, sizeof path, "%s/.spotfield-page.lock", folder);
    assert_int_equal(access(path, F_OK), -1); /* a page that has ended leaves none */
    remove_folder(folder);
}

/* Before the oldest made room these held the page for 20 s. */
static void a_thousand_half_sent_requests_do_not_hold_the_page(void **state)
{
    (void)state;
    enum { HALF_SENT = 1000 };
    static int half[HALF_SENT];
    struct rlimit files;
    struct timespec before, after;
    assert_int_equal(getrlimit(RLIMIT_NOFILE, &files), 0);
    files.rlim_cur = files.rlim_max < 4096 ? files.rlim_max : 4096;
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &files), 0);
    clock_gettime(CLOCK_MONOTONIC, &before);
    for (int i = 0; i < HALF_SENT; i++) {
        half[i] = client_connect(client_port(served_address()));
        client_send(half[i], "POST /half-a-request HTTP/1.1\r\nHo", 33);
    }
    for (int i = 0; i < 10; i++)
        assert_int_equal(served_status("job", NULL), 200);
    clock_gettime(CLOCK_MONOTONIC, &after);
    assert_true(after.tv_sec - before.tv_sec < 7); /* some 0.2 s; the rest is for a busy machine */
    for (int i = 0; i < HALF_SENT; i++)
        close(half[i]);
}

static void a_linked_result_is_not_served(void **state)
{
    (void)state;
    char secret[320], linked[320];
    assert_int_equal(served_status("export", ""), 200);
    assert_int_equal(served_status("out/parts.csv", NULL), 200);
    write_file(served_folder, "secret.txt", "not a result");
    snprintf(secret, sizeof secret, "%s/secret.txt", served_folder);
    snprintf(linked, sizeof linked, "%s/parts.csv", served_results);
    assert_int_equal(unlink(linked), 0);
    assert_int_equal(symlink(secret, linked), 0);
    assert_int_equal(served_status("out/parts.csv", NULL), 404);
    assert_int_equal(served_status("out/kit.csv", NULL), 200);
}

/* A job that came from elsewhere may have a link as its `out`. */
static void a_linked_folder_of_results_is_not_served(void **state)
{
    (void)state;
    sf_page *page = NULL;
    sf_diagnostics diagnostics = {0};
    sf_page_options options = sf_page_options_default();
    char folder[256], elsewhere[256], out[272];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    snprintf(elsewhere, sizeof elsewhere, "%s", fresh_folder());
    snprintf(out, sizeof out, "%s/out", folder);
    write_file(elsewhere, "parts.csv", "not a result");
    assert_int_equal(symlink(elsewhere, out), 0);
    assert_int_equal(sf_page_start(folder, &options, &page, &diagnostics), SF_OK);
    answer got = client_ask(sf_page_address(page), "out/parts.csv", NULL, 0);
    assert_int_equal(got.status, 404);
    answer_clear(&got);
    sf_page_stop(page);
    remove_folder(folder);
    remove_folder(elsewhere);
}

static void a_port_that_is_taken_is_told(void **state)
{
    (void)state;
    sf_page *other = NULL;
    sf_diagnostics diagnostics = {0};
    sf_page_options options = {.port = (int)client_port(served_address())};
    assert_int_equal(sf_page_start("/nowhere", &options, &other, &diagnostics), SF_ERROR_MISSING);
    assert_null(other);
    assert_int_equal(diagnostics.error_count, 1);
    sf_diagnostics_clear(&diagnostics);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        WITH_PAGE(the_page_and_its_parts_come_with_a_strict_policy),
        WITH_PAGE(nobody_without_the_token_is_answered),
        WITH_PAGE(a_token_that_is_wrong_in_one_place_opens_nothing),
        WITH_PAGE(only_one_address_of_this_machine_is_listened_at),
        WITH_PAGE(another_host_name_that_leads_here_is_refused),
        WITH_PAGE(a_change_from_another_origin_is_refused),
        WITH_PAGE(only_the_page_and_the_results_have_names),
        WITH_PAGE(a_wrong_method_is_refused),
        WITH_PAGE(a_body_above_its_limit_is_refused_by_its_stated_length),
        WITH_PAGE(a_length_that_is_no_number_is_refused),
        WITH_PAGE(a_body_without_a_length_is_cut_off_at_its_limit),
        WITH_PAGE(what_is_no_json_or_no_change_answers_400),
        WITH_PAGE(a_deeply_nested_body_is_refused),
        WITH_PAGE(the_page_answers_beside_200_idle_and_half_sent_connections),
        WITH_PAGE(a_half_sent_body_changes_nothing),
        WITH_PAGE(a_job_shows_its_verdicts_and_takes_a_reading),
        WITH_PAGE(two_pages_have_two_tokens),
        WITH_PAGE(a_job_that_another_page_has_open_is_not_opened),
        cmocka_unit_test(of_two_pages_that_begin_a_job_only_one_changes_it),
        cmocka_unit_test(a_lock_that_nobody_holds_keeps_nobody_out),
        WITH_PAGE(a_thousand_half_sent_requests_do_not_hold_the_page),
        WITH_PAGE(a_linked_result_is_not_served),
        cmocka_unit_test(a_linked_folder_of_results_is_not_served),
        WITH_PAGE(a_port_that_is_taken_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
