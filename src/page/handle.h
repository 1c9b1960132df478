/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A request of the page and its answer, however it came: over a socket, or by a call. */
#ifndef SPOTFIELD_PAGE_HANDLE_H
#define SPOTFIELD_PAGE_HANDLE_H

#include "page/routes.h"

typedef struct page_request {
    const route *asked;
    char *path;
    const char *below; /* the path that the route is asked for */
    text body;
    reply made; /* owned until it is taken */
} page_request;

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
