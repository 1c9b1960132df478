/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The page without a server: the same routes, answered by calls. */
#include "web/calls.h"

#include <stdlib.h>

#include <gsl/gsl_errno.h>

#include "core/folders.h"
#include "core/memory.h"
#include "page/assets.h"
#include "page/handle.h"

/* the page itself is in the file that holds this program */
const page_asset page_assets[] = {{0}};

static session *open_job;
static reply made;

int web_open(const char *folder)
{
    gsl_set_error_handler_off();
    session_free(open_job);
    char *results = path_join(folder, "out");
    open_job = results ? session_new(folder, results) : NULL;
    free(results);
    return open_job ? 0 : 1;
}

int web_ask(const char *method, const char *path, const void *body, size_t size)
{
    web_reply_end();
    if (!open_job)
        return 503;
    made = handle(open_job, method, path, body, size);
    return (int)made.status;
}

const void *web_reply_bytes(void)
{
    return made.bytes;
}

size_t web_reply_size(void)
{
    return made.size;
}

const char *web_reply_type(void)
{
    return made.type;
}

void web_reply_end(void)
{
    if (made.owned)
        free((void *)(uintptr_t)made.bytes);
    made = (reply){0};
}
