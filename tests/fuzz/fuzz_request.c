/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Requests of the page without their sockets: "METHOD address", Host, Origin, a line each, then the
 * body; a line "===" parts one from the next. Nobody is let in without token and address; whoever
 * is gets an answer, and the files are those of a job or as they were. */
#define _GNU_SOURCE /* memmem */
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "fuzz/expect.h"
#include "fuzz/folder.h"
#include "fuzz/target.h"
#include "page/guard.h"
#include "page/handle.h"

static const guard door = {"0123456789abcdef0123456789abcdef", "127.0.0.1:8081", "localhost:8081"};

/* Without a width no field is fitted, which would take a thousand times as long as the rest. */
static const char board[] = "key,value,unit\nheight,43,mm\nambient,21.5,C\n";

static session *opened;

static void lay_files(void)
{
    fuzz_folder_anew();
    fuzz_folder_with("board.csv", (const uint8_t *)board, sizeof board - 1);
}

static void close_session(void)
{
    session_free(opened);
}

static void open_session(void)
{
    gsl_set_error_handler_off();
    opened = session_new(fuzz_folder_anew(), "/nowhere");
    expect(opened != NULL, "a session opens");
    lay_files();
    atexit(close_session);
}

/* As if the page had just been started. */
static void start_anew(void)
{
    lay_files();
    history_clear(&opened->history);
    expect(history_open(opened->folder, &opened->history) == SF_OK, "a history opens");
}

/* The next line as a text of its own, without its end. */
static char *take_line(const uint8_t **at, const uint8_t *end)
{
    const uint8_t *start = *at;
    const uint8_t *line_end = memchr(start, '\n', (size_t)(end - start));
    *at = line_end ? line_end + 1 : end;
    char *line = strndup((const char *)start, (size_t)((line_end ? line_end : end) - start));
    expect(line != NULL, "there is memory for a line");
    return line;
}

/* `plan` and `export` take nothing from the request; what looks at a field is not asked once a
 * change may have given the board its width. */
static bool is_asked(const route *of, bool changed)
{
    static const char *const never[] = {"plan", "export"}, *const before[] = {"live", "what-if",
                                                                              "straight"};
    for (size_t i = 0; i < sizeof never / sizeof *never; i++)
        if (strcmp(of->path, never[i]) == 0)
            return false;
    for (size_t i = 0; changed && i < sizeof before / sizeof *before; i++)
        if (strcmp(of->path, before[i]) == 0)
            return false;
    return true;
}

static void answer(const route *of, const char *below, const uint8_t *bytes, size_t size)
{
    page_request asked = {.asked = of, .below = below};
    text_add_bytes(&asked.body, (const char *)bytes, size);
    request_work(&asked, opened);
    reply made = request_finish(&asked, opened);
    expect(made.status >= 200 && made.status < 600, "an answer has a status of HTTP");
    expect(made.status != 500, "no request makes the page fail");
    expect(made.type && made.bytes, "an answer says something");
    if (made.owned)
        free((void *)(uintptr_t)made.bytes);
    request_clear(&asked);
}

/* As server.c takes it in. Answers whether files may have changed. */
static bool request(const uint8_t *at, const uint8_t *end, bool changed)
{
    char *first = take_line(&at, end), *host = take_line(&at, end), *origin = take_line(&at, end);
    char *url = strchr(first, ' ');
    bool is_change = false;
    if (url)
        *url++ = '\0';
    const char *path = url && guard_host(&door, host) ? guard_path(&door, url) : NULL;
    const route *found = path ? route_find(first, path) : NULL;
    expect(!found || strncmp(url + 1, door.token, TOKEN_LENGTH) == 0, "the token opens the door");
    is_change = found && strcmp(found->method, "GET") != 0;
    if (found && (!is_change || guard_origin(&door, origin)) &&
        (size_t)(end - at) <= found->body_most && is_asked(found, changed)) {
        size_t known = strlen(found->path);
        bool is_folder = known > 1 && found->path[known - 1] == '/';
        answer(found, is_folder ? path + known : path, at, (size_t)(end - at));
    }
    free(first);
    free(host);
    free(origin);
    return is_change;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    static const char border[] = "\n===\n";
    if (!opened)
        open_session();
    bool changed = false;
    if (!bytes || size == 0)
        return 0;
    for (const uint8_t *at = bytes, *end = bytes + size; at < end;) {
        const uint8_t *next = memmem(at, (size_t)(end - at), border, sizeof border - 1);
        changed = request(at, next ? next : end, changed) || changed;
        at = next ? next + sizeof border - 1 : end;
    }
    if (changed)
        start_anew();
    return 0;
}
