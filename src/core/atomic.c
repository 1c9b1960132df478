/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* All files or none: each step is taken for every file before the next one begins, and what was
 * done is undone backwards when a step fails. */
#include "core/atomic.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/diagnose.h"
#include "core/folders.h"
#include "core/memory.h"
#include "core/platform.h"
#include "core/text.h"

/* A file on its way into place. */
typedef struct pending {
    const file_block *block;
    char *path;    /* where it goes, links followed */
    size_t base;   /* bytes of path before the name, separator included */
    bool exists;   /* something has that name already */
    bool has_mode; /* and is a file, whose mode is kept */
    mode_t mode;
    int descriptor;  /* of the new content; -1 when closed */
    char *temporary; /* name of the new content; NULL before it is made */
    char *earlier;   /* second name of what is replaced; NULL where nothing is */
    bool placed;     /* the new content has its own name */
} pending;

typedef struct batch {
    const char *folder;
    const atomic_guard *guard; /* NULL: whatever is replaced */
    folders made;
    pending *files;
    size_t count;
    sf_diagnostics *diagnostics;
    sf_status status;
} batch;

static void tell_of(batch *all, sf_severity severity, const char *path, const char *what, int error)
{
    char *words =
        text_format("%s%s%s", what, error ? ": " : "", error ? reason_of(error).words : "");
    sf_diagnose(all->diagnostics, severity, path, 0, "", words ? words : what, "");
    free(words);
}

/* Tells what could not be done and why the system says so; always false. */
static bool refuse(batch *all, const char *path, const char *what, int error)
{
    tell_of(all, SF_ERROR, path, what, error);
    all->status = SF_ERROR_WRITE;
    return false;
}

static void tell_of_left(void *context, const char *path, int error)
{
    tell_of(context, SF_WARNING, path, "is left over and can be removed", error);
}

/* Nothing depends on what is cleared away, but nobody knows of a hidden file that stays. */
static void clear_away(batch *all, int (*removes)(const char *), const char *path)
{
    if (removes(path) != 0 && errno != ENOENT)
        tell_of_left(all, path, errno);
}

static bool run_short(batch *all)
{
    sf_diagnose(all->diagnostics, SF_ERROR, all->folder, 0, "", "out of memory", "");
    all->status = SF_ERROR_MEMORY;
    return false;
}

static bool refuse_folder(batch *all, int error)
{
    return error == ENOMEM ? run_short(all)
                           : refuse(all, all->folder, "the folder cannot be made", error);
}

static bool make_folder(batch *all)
{
    int error = folders_make(&all->made, all->folder);
    return error == 0 || refuse_folder(all, error);
}

static bool settle_folders(batch *all)
{
    int error = folders_settle(&all->made);
    return error == 0 || refuse_folder(all, error);
}

/* Replaces a path that is a link by what it leads to. */
static bool follow_link(batch *all, pending *file)
{
    struct stat found;
    if (!name_look(file->path, &found) || !is_link(&found))
        return true;
    char *real = path_real(file->path);
    if (!real)
        return errno == ENOENT || refuse(all, file->path, "the link cannot be followed", errno);
    free(file->path);
    file->path = real;
    return true;
}

static bool find_target(batch *all, pending *file)
{
    file->path = text_format("%s/%s", all->folder, file->block->name);
    if (!file->path)
        return run_short(all);
    if (!follow_link(all, file))
        return false;
    file->base = (size_t)(strrchr(file->path, '/') - file->path) + 1;
    struct stat found;
    if (!name_look(file->path, &found))
        return errno == ENOENT || refuse(all, file->path, "cannot be looked up", errno);
    if (!S_ISREG(found.st_mode) && !is_link(&found))
        return refuse(all, file->path, "is in the way and is not a regular file", 0);
    file->exists = true;
    file->has_mode = S_ISREG(found.st_mode);
    file->mode = found.st_mode & 07777;
    return true;
}

/* Opens a new hidden file beside the target. Not mkstemp: it makes files for the owner alone, and
 * the umask cannot be asked for without changing it under every other thread. */
static bool open_temporary(batch *all, pending *file)
{
    enum { TRIES = 10000 };
    for (int attempt = 0; attempt < TRIES; attempt++) {
        char *name = text_format("%.*s.%s.%ld-%d.new", (int)file->base, file->path,
                                 file->path + file->base, (long)getpid(), attempt);
        if (!name)
            return run_short(all);
        file->descriptor = file_create(name);
        if (file->descriptor >= 0) {
            file->temporary = name;
            return true;
        }
        free(name);
        if (errno != EEXIST)
            break;
    }
    return refuse(all, file->path, "cannot be written", errno);
}

static bool write_bytes(int descriptor, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t written = write(descriptor, bytes, count);
        if (written < 0 && errno == EINTR)
            continue;
        if (written == 0)
            errno = EIO;
        if (written <= 0)
            return false;
        bytes += written;
        count -= (size_t)written;
    }
    return true;
}

static bool write_temporary(batch *all, pending *file)
{
    if (!open_temporary(all, file))
        return false;
    if (!write_bytes(file->descriptor, file->block->bytes, file->block->count))
        return refuse(all, file->path, "cannot be written", errno);
#ifdef POSIX_FADV_DONTNEED
    /* advice only: on Linux all files begin their way to the disk before the first is waited for */
    posix_fadvise(file->descriptor, 0, 0, POSIX_FADV_DONTNEED);
#endif
    return !file->has_mode || file_set_mode(file->descriptor, file->mode) ||
           refuse(all, file->path, "its permissions cannot be kept", errno);
}

static bool settle(batch *all, pending *file)
{
    if (!reach_disk(file->descriptor))
        return refuse(all, file->path, "cannot be written", errno);
    int descriptor = file->descriptor;
    file->descriptor = -1;
    /* after EINTR Linux has closed the descriptor, and the bytes are on the disk already */
    return close(descriptor) == 0 || errno == EINTR ||
           refuse(all, file->path, "cannot be written", errno);
}

/* Gives what is replaced a second name; where the file system has no hard links, another one. */
static bool set_aside(batch *all, pending *file)
{
    char *name = text_format("%s.old", file->temporary);
    if (!name)
        return run_short(all);
    if (name_add(file->path, name) || name_change(file->path, name)) {
        file->earlier = name;
        return true;
    }
    free(name);
    return refuse(all, file->path, "cannot be replaced", errno);
}

/* What another program has changed meanwhile is not replaced. */
static bool still_so(batch *all, const pending *file, const char *path)
{
    if (!all->guard || all->guard->still(all->guard->context, file->block, path))
        return true;
    all->status = SF_ERROR_DATA;
    return false;
}

/* New and earlier content change their names: what is replaced is that which is there then. */
static bool swap_in(pending *file)
{
    if (!file->has_mode || !exchange_names(file->temporary, file->path))
        return false;
    file->earlier = file->temporary;
    file->temporary = NULL;
    file->placed = true;
    return true;
}

/* A second name for the new content, where no file has come there meanwhile. */
static bool link_in(batch *all, pending *file)
{
    file->placed = name_add(file->temporary, file->path);
    if (file->placed)
        clear_away(all, unlink, file->temporary);
    else if (errno == EEXIST)
        all->status = SF_ERROR_DATA;
    return file->placed;
}

static bool rename_in(batch *all, pending *file)
{
    if (file->exists && !set_aside(all, file))
        return false;
    file->placed = name_change(file->temporary, file->path);
    return file->placed || refuse(all, file->path, "cannot be replaced", errno);
}

static bool put_in_place(batch *all, pending *file)
{
    if (!all->guard)
        return rename_in(all, file);
    if (!still_so(all, file, file->path))
        return false;
    bool done = file->exists ? swap_in(file) : link_in(all, file);
    if (!done && (all->status != SF_OK || !rename_in(all, file)))
        return false;
    return !file->earlier || still_so(all, file, file->earlier);
}

static bool same_folder(const pending *one, const pending *other)
{
    return one->base == other->base && strncmp(one->path, other->path, one->base) == 0;
}

/* Renames survive a power cut once their folder is on the disk. */
static bool settle_folder(batch *all, pending *file)
{
    if (file != all->files && same_folder(file, file - 1))
        return true;
    char *folder = text_format("%.*s", (int)file->base, file->path);
    if (!folder)
        return run_short(all);
    int error = folder_reach_disk(folder, true);
    free(folder);
    return error == 0 || refuse(all, file->path, "cannot be written", error);
}

static bool take_steps(batch *all)
{
    static bool (*const steps[])(batch *, pending *) = {find_target, write_temporary, settle,
                                                        put_in_place, settle_folder};
    for (size_t step = 0; step < sizeof steps / sizeof *steps; step++)
        for (size_t i = 0; i < all->count; i++)
            if (!steps[step](all, &all->files[i]))
                return false;
    return true;
}

static void undo_file(batch *all, pending *file)
{
    if (file->descriptor >= 0)
        close(file->descriptor);
    if (file->temporary && !file->placed)
        clear_away(all, unlink, file->temporary);
    if (!file->earlier) {
        if (file->placed)
            clear_away(all, unlink, file->path);
        return;
    }
    if (!name_change(file->earlier, file->path))
        refuse(all, file->earlier, "holds what could not be put back", errno);
    else
        clear_away(all, unlink, file->earlier); /* still there when both were names of one file */
}

static void undo(batch *all)
{
    for (size_t i = all->count; i-- > 0;)
        undo_file(all, &all->files[i]);
    folders_unmake(&all->made, tell_of_left, all);
}

static void forget(batch *all)
{
    for (size_t i = 0; i < all->count; i++) {
        free(all->files[i].path);
        free(all->files[i].temporary);
        free(all->files[i].earlier);
    }
    free(all->files);
    folders_clear(&all->made);
}

sf_status atomic_write(const char *folder, const file_block *blocks, size_t count,
                       sf_diagnostics *diagnostics)
{
    return atomic_replace(folder, blocks, count, NULL, diagnostics);
}

sf_status atomic_replace(const char *folder, const file_block *blocks, size_t count,
                         const atomic_guard *guard, sf_diagnostics *diagnostics)
{
    batch all = {.folder = folder, .guard = guard, .count = count, .diagnostics = diagnostics};
    all.files = array_new(count, sizeof *all.files);
    if (!all.files) {
        run_short(&all);
        return all.status;
    }
    for (size_t i = 0; i < count; i++) {
        all.files[i].block = &blocks[i];
        all.files[i].descriptor = -1;
    }
    if (!make_folder(&all) || !take_steps(&all) || !settle_folders(&all))
        undo(&all);
    for (size_t i = 0; all.status == SF_OK && i < count; i++)
        if (all.files[i].earlier)
            clear_away(&all, unlink, all.files[i].earlier);
    forget(&all);
    return all.status;
}
