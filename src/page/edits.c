/* Reads the files that a set of changes concerns, changes them in memory, and writes them together.
 */
#include "page/edits.h"

#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "page/edit.h"
#include "page/job_files.h"
#include "report/atomic.h"

/* A file on its way from what it was to what it is to be. */
typedef struct touched {
    bool read, absent, changed;
    text before;
    sheet now;
} touched;

typedef struct batch {
    const char *folder;
    touched files[JOB_FILES];
    json_t *inverse, *conflict;
} batch;

static sf_status touch(batch *all, size_t file)
{
    touched *of = &all->files[file];
    if (of->read)
        return SF_OK;
    sf_status status = job_file_read(all->folder, file, &of->now, &of->absent, &of->before);
    of->read = status == SF_OK;
    return status;
}

static void forget(batch *all)
{
    for (size_t file = 0; file < JOB_FILES; file++) {
        text_clear(&all->files[file].before);
        sheet_clear(&all->files[file].now);
        all->files[file] = (touched){0};
    }
}

static sf_status tell_conflict(batch *all, const json_t *op, const char *why)
{
    json_t *row = json_object_get(op, "row");
    all->conflict =
        json_pack("{s:O, s:O*, s:s}", "file", json_object_get(op, "file"), "row", row, "why", why);
    return all->conflict ? SF_ERROR_DATA : SF_ERROR_MEMORY;
}

static sf_status change_file(batch *all, const json_t *op)
{
    const char *name = json_string_value(json_object_get(op, "file"));
    size_t file = name ? job_file_find(name) : JOB_FILES;
    if (file == JOB_FILES)
        return SF_ERROR_ARGUMENT;
    sf_status status = touch(all, file);
    if (status == SF_ERROR_DATA)
        return tell_conflict(all, op, "the file cannot be read as a table");
    if (status != SF_OK)
        return status;
    json_t *back = NULL;
    status = edit_sheet(&all->files[file].now, op, &back);
    if (status == SF_ERROR_DATA)
        return tell_conflict(all, op, "the row is no longer what it was");
    if (status != SF_OK)
        return status;
    all->files[file].changed = true;
    return json_array_insert_new(all->inverse, 0, back) == 0 ? SF_OK : SF_ERROR_MEMORY;
}

/* A job is read only when its needed files are there, if only with their header. */
static sf_status add_needed(batch *all)
{
    sf_status status = SF_OK;
    for (size_t file = 0; status == SF_OK && file < JOB_FILES; file++) {
        if (!job_files[file].needed)
            continue;
        status = touch(all, file);
        if (status == SF_ERROR_DATA)
            status = SF_OK; /* in a bad state, but there */
        else if (status == SF_OK && all->files[file].absent)
            all->files[file].changed = true;
    }
    return status;
}

static bool still_as_read(const batch *all)
{
    for (size_t file = 0; file < JOB_FILES; file++)
        if (all->files[file].changed &&
            !job_file_holds(all->folder, file, &all->files[file].before))
            return false;
    return true;
}

static sf_status write_changed(const batch *all, sf_complaints *complaints)
{
    file_block blocks[JOB_FILES];
    size_t count = 0;
    for (size_t file = 0; file < JOB_FILES; file++) {
        const touched *of = &all->files[file];
        if (of->changed)
            blocks[count++] = (file_block){job_files[file].name, of->now.bytes, of->now.size};
    }
    return count > 0 ? atomic_write(all->folder, blocks, count, complaints) : SF_OK;
}

static sf_status change_all(batch *all, const json_t *ops)
{
    size_t index;
    json_t *op;
    sf_status status = json_is_array(ops) ? SF_OK : SF_ERROR_ARGUMENT;
    json_decref(all->inverse);
    all->inverse = json_array();
    if (!all->inverse)
        return SF_ERROR_MEMORY;
    json_array_foreach(ops, index, op)
    {
        if (status == SF_OK)
            status = change_file(all, op);
    }
    return status == SF_OK ? add_needed(all) : status;
}

sf_status edits_apply(const char *folder, const json_t *ops, json_t **inverse, json_t **conflict,
                      sf_complaints *complaints)
{
    enum { TRIES = 5 };
    batch all = {.folder = folder};
    sf_status status = SF_OK;
    /* another program may write between our reading and our writing: then all is done anew */
    for (int attempt = 0; attempt < TRIES; attempt++) {
        forget(&all);
        status = change_all(&all, ops);
        if (status != SF_OK || still_as_read(&all))
            break;
    }
    if (status == SF_OK)
        status = write_changed(&all, complaints);
    forget(&all);
    *conflict = all.conflict;
    *inverse = NULL;
    if (status == SF_OK)
        *inverse = all.inverse;
    else
        json_decref(all.inverse);
    return status;
}
