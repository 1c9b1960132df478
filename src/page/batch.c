/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads, compares and writes the files of a change. */
#include "page/batch.h"

#include <errno.h>
#include <unistd.h>

#include "page/folder_file.h"

sf_status batch_touch(batch *all, size_t file)
{
    touched *of = &all->files[file];
    if (of->read)
        return SF_OK;
    sf_status status = job_file_read(all->folder, file, &of->now, &of->absent, &of->before);
    of->read = status == SF_OK;
    if (!of->read)
        text_clear(&of->before);
    return status;
}

sf_status batch_add_needed(batch *all)
{
    sf_status status = SF_OK;
    for (size_t file = 0; status == SF_OK && file < JOB_FILES; file++) {
        if (!job_files[file].needed)
            continue;
        status = batch_touch(all, file);
        if (status == SF_ERROR_DATA)
            status = SF_OK; /* in a bad state, but there */
        else if (status == SF_OK && all->files[file].absent)
            all->files[file].changed = true;
    }
    return status;
}

/* What was no file when it was read is none still; the history is the page's own. */
static bool is_as_read(const void *context, const file_block *block, const char *path)
{
    const batch *all = context;
    size_t file = job_file_find(block->name);
    if (file == JOB_FILES)
        return true;
    const touched *of = &all->files[file];
    if (of->absent)
        return access(path, F_OK) != 0 && errno == ENOENT;
    return file_holds(path, of->before.bytes, of->before.length);
}

sf_status batch_write(const batch *all, const file_block *beside, sf_diagnostics *diagnostics)
{
    file_block blocks[JOB_FILES + 1];
    size_t count = 0, first = beside ? 1 : 0;
    if (beside)
        blocks[count++] = *beside;
    for (size_t file = 0; file < JOB_FILES; file++) {
        const touched *of = &all->files[file];
        if (of->changed)
            blocks[count++] = (file_block){job_files[file].name, of->now.bytes, of->now.size};
    }
    const atomic_guard guard = {is_as_read, all};
    return count > first ? atomic_replace(all->folder, blocks, count, &guard, diagnostics) : SF_OK;
}

void batch_forget(batch *all)
{
    for (size_t file = 0; file < JOB_FILES; file++) {
        text_clear(&all->files[file].before);
        sheet_clear(&all->files[file].now);
        all->files[file] = (touched){0};
    }
}
