/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Token, Host and Origin. */
#include "page/guard.h"

#include <stdio.h>
#include <string.h>

#include "core/platform.h"

bool guard_make(guard *made, unsigned port)
{
    unsigned char random[TOKEN_LENGTH / 2];
    if (!random_fill(random, sizeof random))
        return false;
    for (size_t i = 0; i < sizeof random; i++)
        snprintf(made->token + 2 * i, 3, "%02x", (unsigned)random[i]);
    snprintf(made->host, sizeof made->host, "127.0.0.1:%u", port);
    snprintf(made->local_host, sizeof made->local_host, "localhost:%u", port);
    return true;
}

bool guard_host(const guard *of, const char *host)
{
    return host && (strcmp(host, of->host) == 0 || strcmp(host, of->local_host) == 0);
}

bool guard_origin(const guard *of, const char *origin)
{
    static const char scheme[] = "http://";
    return origin && strncmp(origin, scheme, sizeof scheme - 1) == 0 &&
           guard_host(of, origin + sizeof scheme - 1);
}

/* In a time that does not depend on how much of the token is right. */
static bool same_token(const char *token, const char *given)
{
    unsigned char difference = 0;
    for (int i = 0; i < TOKEN_LENGTH; i++)
        difference |= (unsigned char)(token[i] ^ given[i]);
    return difference == 0;
}

const char *guard_path(const guard *of, const char *url)
{
    if (strlen(url) < TOKEN_LENGTH + 2 || url[0] != '/' || url[TOKEN_LENGTH + 1] != '/')
        return NULL;
    return same_token(of->token, url + 1) ? url + TOKEN_LENGTH + 2 : NULL;
}
