/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A client that sends exactly the bytes it is told to, well-behaved or not. */
#ifndef SPOTFIELD_TESTS_PAGE_CLIENT_H
#define SPOTFIELD_TESTS_PAGE_CLIENT_H

#include <stddef.h>

/* What came back; ends with a NUL. body points into bytes. */
typedef struct answer {
    int status; /* of HTTP; 0 where the connection was closed without one */
    char *bytes;
    size_t size;
    const char *body;
} answer;

/* Opens a connection to 127.0.0.1; fails the test where it cannot. */
int client_connect(unsigned port);

/* The same; -1 where nobody listens. */
int client_try(unsigned port);

/* Port and token of a page's address. */
unsigned client_port(const char *address);
void client_token(const char *address, char token[33]);

/* Sends bytes; what the server no longer takes is dropped. */
void client_send(int descriptor, const void *bytes, size_t count);

/* Reads until the server closes, and closes. Freed with answer_clear. */
answer client_receive(int descriptor);
void answer_clear(answer *discarded);

/* One proper request to the page at `address`: its host, its origin, its token. `path` is below the
 * token; body NULL: a GET. */
answer client_ask(const char *address, const char *path, const void *body, size_t size);

#endif
