/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Changes the files of a job in memory, and writes them together with the history. */
#include "page/edits.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

/* One call: what it changes, and what it meets with. */
typedef struct work {
    batch files;
    const json_t *ops; /* NULL: the next step of the history is taken */
    direction way;
    const char *label;
    history *kept;
    json_t *conflict;
    bool refused; /* for what it asks, which is complained of */
} work;

static sf_status tell_conflict(work *at, const char *file, json_t *row, const char *why)
{
    json_decref(at->conflict);
    at->conflict = json_pack("{s:s, s:O*, s:s}", "file", file, "row", row, "why", why);
    return at->conflict ? SF_ERROR_DATA : SF_ERROR_MEMORY;
}

/* --- in memory --- */

static bool is_kind(const json_t *op, const char *kind)
{
    const char *is = json_string_value(json_object_get(op, "op"));
    return is && strcmp(is, kind) == 0;
}

static sf_status change_file(work *at, const json_t *op)
{
    const char *name = json_string_value(json_object_get(op, "file"));
    json_t *row = json_object_get(op, "row");
    size_t file = name ? job_file_find(name) : JOB_FILES;
    if (file == JOB_FILES)
        return SF_ERROR_ARGUMENT;
    sf_status status = batch_touch(&at->files, file);
    if (status == SF_ERROR_DATA || status == SF_ERROR_MISSING)
        return tell_conflict(at, name, row, "it is not a table of this job, and is left as it is");
    if (status != SF_OK)
        return status;
    if (is_kind(op, "check"))
        return SF_OK;
    /* a file with its header alone may say something: of no-touch areas, that there are none */
    if (!is_kind(op, "begin"))
        status = edit_sheet(&at->files.files[file].now, op);
    if (status == SF_ERROR_DATA)
        return tell_conflict(at, name, row, "another program has changed the row");
    at->files.files[file].changed = true;
    return status;
}

static sf_status take_ops(work *at)
{
    size_t index;
    json_t *op;
    sf_status status = json_is_array(at->ops) ? SF_OK : SF_ERROR_ARGUMENT;
    json_array_foreach(at->ops, index, op)
    {
        if (status == SF_OK)
            status = change_file(at, op);
    }
    return status == SF_OK ? batch_add_needed(&at->files) : status;
}

static sf_status take_step(work *at)
{
    const json_t *step = history_next(at->kept, at->way);
    size_t file = 0;
    sf_status status = step ? step_take(&at->files, step, at->way, &file) : SF_ERROR_ARGUMENT;
    if (status == SF_ERROR_DATA)
        return tell_conflict(at, job_files[file].name, NULL,
                             "another program has changed the file");
    return status;
}

/* --- on the disk --- */

/* Where the history cannot be written the job goes on without it. */
static sf_status write_all(const work *at, history *after, sf_diagnostics *diagnostics)
{
    if (!after->outlives)
        return batch_write(&at->files, NULL, diagnostics);
    char *words = history_text(after);
    if (!words)
        return SF_ERROR_MEMORY;
    file_block block = {HISTORY_NAME, words, strlen(words)};
    sf_diagnostics dropped = {0};
    sf_status status = batch_write(&at->files, &block, &dropped);
    free(words);
    sf_diagnostics_clear(&dropped);
    if (status != SF_ERROR_WRITE)
        return status;
    status = batch_write(&at->files, NULL, diagnostics);
    if (status == SF_OK) {
        after->outlives = false;
        history_note(after, text_format("%s in the folder of the job cannot be written: undo ends "
                                        "with this run of the page.",
                                        HISTORY_NAME));
    }
    return status;
}

/* Writes the files with the history as it will be, which then is the history. */
static sf_status move_on(work *at, json_t *step, sf_diagnostics *diagnostics)
{
    history after;
    sf_status status =
        step ? history_with(at->kept, step, &after) : history_moved(at->kept, at->way, &after);
    if (status != SF_OK)
        return status;
    status = write_all(at, &after, diagnostics);
    if (status == SF_OK)
        history_replace(at->kept, &after);
    else
        history_clear(&after);
    return status;
}

static sf_status keep(work *at, sf_diagnostics *diagnostics)
{
    if (!at->ops)
        return move_on(at, NULL, diagnostics);
    json_t *step = step_make(&at->files, at->label);
    sf_status status = SF_ERROR_MEMORY;
    if (step && step_is_empty(step))
        status = batch_write(&at->files, NULL, diagnostics);
    else if (step)
        status = move_on(at, step, diagnostics);
    json_decref(step);
    return status;
}

/* The first that was there already: new ones are in nobody's way. */
static const char *first_changed(const batch *all)
{
    size_t file = 0;
    while (file + 1 < JOB_FILES && (!all->files[file].changed || all->files[file].absent))
        file++;
    return job_files[file].name;
}

static sf_status try_once(work *at, sf_diagnostics *diagnostics)
{
    batch_forget(&at->files);
    sf_status status = at->ops ? take_ops(at) : take_step(at);
    if (status == SF_OK && at->ops) {
        status = cells_check(&at->files, at->ops, diagnostics);
        if (status == SF_OK)
            status = no_touch_check(&at->files, diagnostics);
        at->refused = status == SF_ERROR_DATA;
    }
    return status == SF_OK ? keep(at, diagnostics) : status;
}

static bool is_overtaken(const work *at, sf_status status)
{
    return status == SF_ERROR_DATA && !at->conflict && !at->refused;
}

/* Another program may write between our reading and our writing: then all is done anew. One that
 * never rests is told of. */
static sf_status run(work *at, json_t **conflict, sf_diagnostics *diagnostics)
{
    enum { TRIES = 100 };
    const struct timespec pause = {.tv_nsec = 5000000};
    sf_status status = try_once(at, diagnostics);
    for (int again = 1; is_overtaken(at, status) && again < TRIES; again++) {
        nanosleep(&pause, NULL);
        status = try_once(at, diagnostics);
    }
    if (is_overtaken(at, status))
        status = tell_conflict(at, first_changed(&at->files), NULL,
                               "another program keeps changing the file");
    batch_forget(&at->files);
    *conflict = at->conflict;
    return status;
}

sf_status edits_apply(const char *folder, const json_t *ops, const char *label, history *kept,
                      json_t **conflict, sf_diagnostics *diagnostics)
{
    work at = {.files = {.folder = folder}, .ops = ops, .label = label, .kept = kept};
    *conflict = NULL;
    return ops ? run(&at, conflict, diagnostics) : SF_ERROR_ARGUMENT;
}

sf_status edits_step(const char *folder, direction way, history *kept, json_t **conflict,
                     sf_diagnostics *diagnostics)
{
    work at = {.files = {.folder = folder}, .way = way, .kept = kept};
    return run(&at, conflict, diagnostics);
}
