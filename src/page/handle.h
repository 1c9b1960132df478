/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A request of the page and its answer, however it came: over a socket, or by a call. */
#ifndef SPOTFIELD_PAGE_HANDLE_H
#define SPOTFIELD_PAGE_HANDLE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "page/session.h"

typedef struct reply {
    unsigned status;    /* of HTTP */
    const char *type;   /* media type; static */
    const char *policy; /* content security policy; NULL: the page's own */
    const void *bytes;
    size_t size;
    bool owned; /* bytes are freed with free() */
} reply;

/* Where a route is answered: by the server's thread at once, or by the thread of a desk. */
typedef enum route_desk { AT_ONCE, AT_FIELD, AT_PHOTO, AT_EXPORT, DESKS } route_desk;

struct route;

typedef struct page_request {
    const struct route *asked;
    char *path;
    const char *below; /* the path that the route is asked for */
    text body;
    reply made; /* owned until it is taken */
} page_request;

typedef void answerer(session *of, page_request *request);

typedef struct route {
    const char *method, *path; /* a path that ends in a slash stands for all below it */
    size_t body_most;          /* bytes */
    answerer *answer;
    route_desk desk; /* but for AT_ONCE it uses of the session what session.h gives that desk */
    answerer *then;  /* at once, where `answer` has left the status 0; else NULL */
} route;

/* The route of a path below the token; NULL where the method is none of that path. */
const route *route_find(const char *method, const char *path);

/* Words as an answer; `words` is static. */
void reply_words(reply *into, unsigned status, const char *words);

/* --- one request --- */

/* Finds the route of a path below the token. What stands against it, as a status of HTTP; 0
 * nothing. `stated` is the length that the body is said to have. */
unsigned request_begin(page_request *begun, const char *method, const char *path,
                       unsigned long long stated);

/* Adds to the body; false where it becomes longer than the route takes, or memory is short. */
bool request_take_body(page_request *of, const void *bytes, size_t size);

/* The part that is done at the route's desk. */
void request_work(page_request *of, session *open);

/* The rest, by the thread that keeps the session. Who takes the reply frees its bytes. */
reply request_finish(page_request *of, session *open);

void request_clear(page_request *ended);

/* All of it at once. */
reply handle(session *open, const char *method, const char *path, const void *body, size_t size);

#endif
