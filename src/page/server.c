/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The bench page as a server on this machine alone, by libmicrohttpd: one thread, one request after
 * another, so that a job is never changed by two at once. What takes long is done at a desk beside
 * it while the connection is suspended. */
#include <stdlib.h>
#include <string.h>

#include <microhttpd.h>

#include "core/folders.h"
#include "core/memory.h"
#include "page/deadline.h"
#include "page/desk.h"
#include "page/guard.h"
#include "page/handle.h"
#include "page/socket.h"
#include "spotfield/page.h"

enum { CONNECTIONS_MOST = 400, IDLE_SECONDS = 10, HEADER_BYTES = 32 * 1024 };

struct sf_page {
    struct MHD_Daemon *daemon;
    session *session;
    desk *desks[DESKS]; /* of routes; none for AT_ONCE */
    deadlines *deadlines;
    guard guard;
    char address[32 + TOKEN_LENGTH + 16];
};

/* One request on its way in. */
typedef struct incoming {
    desk_task task; /* first, so that a task is its request */
    desk *at;       /* that has or had the task; NULL: none */
    session *session;
    struct MHD_Connection *connection; /* suspended while the desk has the task */
    bool begun, undone;
    page_request request;
} incoming;

static const char page_policy[] =
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/* --- answers --- */

static void add_headers(struct MHD_Response *response, const reply *made)
{
    const char *const headers[][2] = {
        {"Content-Type", made->type},
        {"Content-Security-Policy", made->policy ? made->policy : page_policy},
        {"X-Content-Type-Options", "nosniff"},
        {"Referrer-Policy", "no-referrer"},
        {"Cache-Control", "no-store"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Cross-Origin-Opener-Policy", "same-origin"},
    };
    for (size_t i = 0; i < sizeof headers / sizeof *headers; i++)
        MHD_add_response_header(response, headers[i][0], headers[i][1]);
}

static enum MHD_Result send_reply(struct MHD_Connection *connection, const reply *made)
{
    /* libmicrohttpd takes a plain pointer, and only reads what is persistent */
    struct MHD_Response *response = MHD_create_response_from_buffer(
        made->size, (void *)(uintptr_t)made->bytes,
        made->owned ? MHD_RESPMEM_MUST_FREE : MHD_RESPMEM_PERSISTENT);
    if (!response) {
        if (made->owned)
            free((void *)(uintptr_t)made->bytes);
        return MHD_NO;
    }
    add_headers(response, made);
    enum MHD_Result sent = MHD_queue_response(connection, made->status, response);
    MHD_destroy_response(response);
    return sent;
}

static enum MHD_Result refuse(struct MHD_Connection *connection, unsigned status, const char *words)
{
    reply made;
    reply_words(&made, status, words);
    return send_reply(connection, &made);
}

/* --- the way in --- */

static int socket_of(struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *found =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    return found ? found->connect_fd : -2; /* -1 is a free place in the list */
}

static const char *header(struct MHD_Connection *connection, const char *name)
{
    return MHD_lookup_connection_value(connection, MHD_HEADER_KIND, name);
}

/* Length a request says it has. libmicrohttpd lets through none that is not a number. */
static unsigned long long stated_length(struct MHD_Connection *connection)
{
    const char *stated = header(connection, MHD_HTTP_HEADER_CONTENT_LENGTH);
    return stated ? strtoull(stated, NULL, 10) : 0;
}

/* What stands against a request before its body is read; 0 nothing. */
static unsigned check(const sf_page *page, struct MHD_Connection *connection, const char *url,
                      const char *method, incoming *into)
{
    if (!guard_host(&page->guard, header(connection, MHD_HTTP_HEADER_HOST)))
        return MHD_HTTP_MISDIRECTED_REQUEST;
    const char *path = guard_path(&page->guard, url);
    if (!path)
        return MHD_HTTP_NOT_FOUND;
    unsigned refused = request_begin(&into->request, method, path, stated_length(connection));
    if (refused == MHD_HTTP_METHOD_NOT_ALLOWED)
        return refused;
    const char *origin = header(connection, MHD_HTTP_HEADER_ORIGIN);
    if ((origin || strcmp(method, "GET") != 0) && !guard_origin(&page->guard, origin))
        return MHD_HTTP_FORBIDDEN;
    return refused;
}

/* --- at a desk --- */

static void work_on(desk_task *of)
{
    incoming *asked = (incoming *)of;
    request_work(&asked->request, asked->session);
}

static void go_on(desk_task *of)
{
    MHD_resume_connection(((incoming *)of)->connection);
}

static void go_on_undone(desk_task *of)
{
    ((incoming *)of)->undone = true;
    go_on(of);
}

static void discard(desk_task *of)
{
    incoming *ended = (incoming *)of;
    request_clear(&ended->request);
    free(ended);
}

/* take_request is called again once the desk has handed the task back. */
static void put_on_desk(incoming *asked, desk *at)
{
    asked->task =
        (desk_task){.work = work_on, .done = go_on, .undone = go_on_undone, .discard = discard};
    asked->at = at;
    MHD_suspend_connection(asked->connection);
    if (desk_ask(at, &asked->task))
        return;
    asked->at = NULL;
    go_on_undone(&asked->task);
}

/* --- one request --- */

static enum MHD_Result begin(sf_page *page, struct MHD_Connection *connection, const char *url,
                             const char *method, void **kept)
{
    incoming *made = array_new(1, sizeof *made);
    if (!made)
        return MHD_NO;
    *kept = made;
    made->session = page->session;
    made->connection = connection;
    unsigned refused = check(page, connection, url, method, made);
    return refused ? refuse(connection, refused, "refused") : MHD_YES;
}

static enum MHD_Result take_body(incoming *into, const char *data, size_t *size)
{
    bool taken = request_take_body(&into->request, data, *size);
    *size = 0;
    return taken ? MHD_YES : MHD_NO;
}

/* The last of the answer, where it wants the server's thread. */
static enum MHD_Result finish(incoming *asked)
{
    reply made = request_finish(&asked->request, asked->session);
    return send_reply(asked->connection, &made);
}

static enum MHD_Result take_request(void *context, struct MHD_Connection *connection,
                                    const char *url, const char *method, const char *version,
                                    const char *data, size_t *size, void **kept)
{
    (void)version;
    sf_page *page = context;
    incoming *asked = *kept;
    if (!asked)
        return begin(page, connection, url, method, kept);
    if (*size > 0)
        return take_body(asked, data, size);
    if (!asked->begun) {
        asked->begun = true;
        deadline_met(page->deadlines, socket_of(connection));
        desk *at = page->desks[asked->request.asked->desk];
        if (at) {
            put_on_desk(asked, at);
            return MHD_YES;
        }
        work_on(&asked->task);
    }
    return asked->undone ? refuse(connection, MHD_HTTP_SERVICE_UNAVAILABLE, "the page is ending")
                         : finish(asked);
}

static void end_request(void *context, struct MHD_Connection *connection, void **kept,
                        enum MHD_RequestTerminationCode how)
{
    sf_page *page = context;
    (void)how;
    deadline_wait(page->deadlines, socket_of(connection));
    incoming *ended = *kept;
    *kept = NULL;
    if (ended && (!ended->at || desk_leave(ended->at, &ended->task)))
        discard(&ended->task);
}

static void watch_socket(void *context, struct MHD_Connection *connection, void **kept,
                         enum MHD_ConnectionNotificationCode what)
{
    sf_page *page = context;
    (void)kept;
    if (what == MHD_CONNECTION_NOTIFY_STARTED)
        deadline_open(page->deadlines, socket_of(connection));
    else
        deadline_close(page->deadlines, socket_of(connection));
}

/* No name of the page holds an escape: one that does is no name of the page. */
static size_t keep_escapes(void *context, struct MHD_Connection *connection, char *words)
{
    (void)context;
    (void)connection;
    return strlen(words);
}

/* --- start and stop --- */

sf_page_options sf_page_options_default(void)
{
    return (sf_page_options){0};
}

static struct MHD_Daemon *listen_at(sf_page *page, int port)
{
    loopback address;
    return MHD_start_daemon(
        MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_AUTO | MHD_ALLOW_SUSPEND_RESUME, 0, NULL, NULL,
        take_request, page, MHD_OPTION_SOCK_ADDR, loopback_port(&address, port),
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)CONNECTIONS_MOST, MHD_OPTION_CONNECTION_TIMEOUT,
        (unsigned)IDLE_SECONDS, MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)HEADER_BYTES,
        MHD_OPTION_NOTIFY_COMPLETED, end_request, page, MHD_OPTION_NOTIFY_CONNECTION, watch_socket,
        page, MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_UNESCAPE_CALLBACK, keep_escapes, NULL,
        MHD_OPTION_END);
}

static sf_status open_port(sf_page *page, int port, sf_diagnostics *diagnostics)
{
    page->daemon = listen_at(page, port);
    const union MHD_DaemonInfo *bound =
        page->daemon ? MHD_get_daemon_info(page->daemon, MHD_DAEMON_INFO_BIND_PORT) : NULL;
    if (!bound) {
        sf_diagnose(diagnostics, SF_ERROR, "", 0, "--port", "the page cannot be served there",
                    "a port that is free");
        return SF_ERROR_MISSING;
    }
    /* nobody is let through before this is done: the token is still empty */
    if (!guard_make(&page->guard, bound->port)) {
        sf_diagnose(diagnostics, SF_ERROR, "", 0, "", "the system gives no random numbers", "");
        return SF_ERROR_MISSING;
    }
    session_sign(page->session, page->guard.host);
    snprintf(page->address, sizeof page->address, "http://%s/%s/", page->guard.host,
             page->guard.token);
    return SF_OK;
}

static sf_status open_session(sf_page *page, const char *folder, const char *given,
                              sf_diagnostics *diagnostics)
{
    char *results = given ? text_copy(given) : path_join(folder, "out");
    if (results)
        page->session = session_new(folder, results);
    free(results);
    if (!page->session)
        return SF_ERROR_MEMORY;
    page->session->results_given = given != NULL;
    return session_lock(page->session, diagnostics);
}

static bool open_threads(sf_page *page)
{
    page->deadlines = deadlines_new(CONNECTIONS_MOST);
    bool made = page->deadlines != NULL;
    for (int i = AT_ONCE + 1; made && i < DESKS; i++) {
        page->desks[i] = desk_new();
        made = page->desks[i] != NULL;
    }
    return made;
}

sf_status sf_page_start(const char *folder, const sf_page_options *options, sf_page **page,
                        sf_diagnostics *diagnostics)
{
    *page = NULL;
    if (options->port < 0 || options->port > 65535)
        return SF_ERROR_ARGUMENT;
    sf_page *made = array_new(1, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    sf_status status = open_session(made, folder, options->results, diagnostics);
    if (status == SF_OK)
        status = open_threads(made) ? open_port(made, options->port, diagnostics) : SF_ERROR_MEMORY;
    if (status == SF_OK)
        *page = made;
    else
        sf_page_stop(made);
    return status;
}

const char *sf_page_address(const sf_page *page)
{
    return page->address;
}

/* A connection may not be suspended when libmicrohttpd ends: the desks give all of them back. */
static void stop_answering(sf_page *page)
{
    if (page->session)
        page->session->leaving = true;
    for (int i = 0; i < DESKS; i++)
        if (page->desks[i])
            desk_close(page->desks[i]);
    if (page->daemon)
        MHD_stop_daemon(page->daemon);
    page->daemon = NULL;
}

void sf_page_stop(sf_page *page)
{
    if (!page)
        return;
    stop_answering(page);
    for (int i = 0; i < DESKS; i++)
        desk_free(page->desks[i]);
    deadlines_free(page->deadlines);
    session_free(page->session);
    free(page);
}

bool sf_page_stop_within(sf_page *page, double seconds)
{
    struct timespec until = moment_in(seconds);
    stop_answering(page);
    bool rests = session_rests(page->session, &until);
    for (int i = 0; i < DESKS; i++)
        rests = (!page->desks[i] || desk_rests(page->desks[i], &until)) && rests;
    if (rests)
        sf_page_stop(page);
    else
        session_leave(page->session);
    return rests;
}
