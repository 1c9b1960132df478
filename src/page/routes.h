/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the page answers to which path: below the token, and after the guard has let it through. */
#ifndef SPOTFIELD_PAGE_ROUTES_H
#define SPOTFIELD_PAGE_ROUTES_H

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

typedef void answerer(session *of, const char *below, const text *body, reply *into);

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

#endif
