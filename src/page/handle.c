/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From a method, a path and a body to the answer of the route. */
#include "page/handle.h"

#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

unsigned request_begin(page_request *begun, const char *method, const char *path,
                       unsigned long long stated)
{
    begun->asked = route_find(method, path);
    if (!begun->asked)
        return 405; /* to GET, each path is a name that may be asked for */
    if (stated > begun->asked->body_most)
        return 413;
    begun->path = text_copy(path);
    size_t known = strlen(begun->asked->path);
    begun->below = begun->path;
    if (begun->path && known > 1 && begun->asked->path[known - 1] == '/')
        begun->below += known;
    return begun->path ? 0 : 500;
}

bool request_take_body(page_request *of, const void *bytes, size_t size)
{
    if (size > of->asked->body_most || of->body.length > of->asked->body_most - size)
        return false; /* a body without a stated length that never ends */
    text_add_bytes(&of->body, bytes, size);
    return !of->body.failed;
}

void request_work(page_request *of, session *open)
{
    of->asked->answer(open, of);
}

reply request_finish(page_request *of, session *open)
{
    if (of->made.status == 0)
        of->asked->then(open, of);
    reply taken = of->made;
    of->made.owned = false;
    return taken;
}

void request_clear(page_request *ended)
{
    if (ended->made.owned)
        free((void *)(uintptr_t)ended->made.bytes);
    text_clear(&ended->body);
    free(ended->path);
    *ended = (page_request){0};
}

reply handle(session *open, const char *method, const char *path, const void *body, size_t size)
{
    page_request asked = {0};
    reply made;
    unsigned refused = request_begin(&asked, method, path, size);
    if (refused == 0 && !request_take_body(&asked, body, size))
        refused = 500;
    if (refused != 0) {
        reply_words(&made, refused, refused == 500 ? "out of memory" : "refused");
    } else {
        request_work(&asked, open);
        made = request_finish(&asked, open);
    }
    request_clear(&asked);
    return made;
}
