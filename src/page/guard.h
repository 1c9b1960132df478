/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Who is answered: loopback clients that name this page's address and know its token. */
#ifndef SPOTFIELD_PAGE_GUARD_H
#define SPOTFIELD_PAGE_GUARD_H

#include <stdbool.h>

enum { TOKEN_LENGTH = 32 };

typedef struct guard {
    char token[TOKEN_LENGTH + 1];
    char host[32];       /* "127.0.0.1:PORT" */
    char local_host[32]; /* "localhost:PORT" */
} guard;

/* A new random token for a page at a port; false where the system gives no random numbers. */
bool guard_make(guard *made, unsigned port);

/* Whether `host`, the header or NULL, is this page's: another name that leads here is refused, so
 * that no other site's page reads this one by turning its own name to this machine. */
bool guard_host(const guard *of, const char *host);

/* Whether a change may come from `origin`, the header or NULL: only this page's own. */
bool guard_origin(const guard *of, const char *origin);

/* The path below the token; NULL where the address does not begin with it. */
const char *guard_path(const guard *of, const char *url);

#endif
