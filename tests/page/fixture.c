/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Opens, changes and compares. */
#include "support/check.h"

#include "fixture.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "page/view.h"

const char fixture_parts[] =
    "# invented\nref;x_mm;y_mm;shelf\nC7;12,5;31;left\nC9;17,25;44,5;right\n";

const char move_c9[] =
    "{\"label\": \"move C9\", \"ops\": [{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 1,"
    "\"expect\": {\"ref\": \"C9\", \"x_mm\": \"17,25\"}, \"set\": {\"x_mm\": \"18.75\"}}]}";

const char moved_parts[] =
    "# invented\nref;x_mm;y_mm;shelf\nC7;12,5;31;left\nC9;18,75;44,5;right\n";

const char rename_c7[] =
    "{\"label\": \"rename C7\", \"ops\": [{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 0,"
    "\"expect\": {\"ref\": \"C7\"}, \"set\": {\"ref\": \"C71\"}}]}";

char fixture_folder[256];

static session *open_folder(void)
{
    session *opened = session_new(fixture_folder, "/nowhere");
    assert_non_null(opened);
    return opened;
}

session *fixture_open(void)
{
    snprintf(fixture_folder, sizeof fixture_folder, "%s", fresh_folder());
    write_file(fixture_folder, "parts.csv", fixture_parts);
    return open_folder();
}

void fixture_close(session *opened)
{
    session_free(opened);
    remove_folder(fixture_folder);
}

session *fixture_anew(session *opened)
{
    session_free(opened);
    return open_folder();
}

char *fixture_bytes(const char *name, size_t *size)
{
    enum { MOST = 1 << 23 };
    char path[512], *content = malloc(MOST);
    snprintf(path, sizeof path, "%s/%s", fixture_folder, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(content);
    if (!file)
        fail_msg("%s cannot be opened", name);
    *size = fread(content, 1, MOST - 1, file);
    fclose(file);
    content[*size] = '\0';
    return content;
}

void assert_file(const char *name, const char *expected)
{
    size_t size = 0;
    char *content = fixture_bytes(name, &size);
    assert_string_equal(content, expected);
    free(content);
}

sf_status fixture_edit(session *of, const char *words)
{
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL, *made = json_loads(words, 0, NULL);
    assert_non_null(made);
    sf_status status = session_edit(of, made, &conflict, &diagnostics);
    json_decref(made);
    json_decref(conflict);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

sf_status fixture_step(session *of, direction way)
{
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL;
    sf_status status = session_step(of, way, &conflict, &diagnostics);
    json_decref(conflict);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

const char *fixture_next(session *of, direction way)
{
    size_t dropped = 0;
    assert_int_equal(history_fit(&of->history, fixture_folder, &dropped), SF_OK);
    return step_label(history_next(&of->history, way));
}

const char *fixture_path(const char *name)
{
    static char path[512];
    snprintf(path, sizeof path, "%s/%s", fixture_folder, name);
    return path;
}

/* What the browser is told of the history; the caller frees it. NULL where it is told nothing. */
static char *told(session *of)
{
    json_t *job = view_job(of);
    assert_non_null(job);
    const char *words = json_string_value(json_object_get(job, "note"));
    char *copy = words ? strdup(words) : NULL;
    json_decref(job);
    return copy;
}

void assert_told(session *of, const char *part)
{
    char *words = told(of);
    assert_non_null(words);
    if (!strstr(words, part))
        fail_msg("\"%s\" is not told in \"%s\"", part, words);
    free(words);
}

void assert_told_nothing(session *of)
{
    char *words = told(of);
    if (words)
        fail_msg("told: %s", words);
}
