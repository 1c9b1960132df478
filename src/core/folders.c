/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Makes and removes folders one by one along a path. */
#include "core/folders.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/memory.h"
#include "core/platform.h"
#include "core/text.h"

/* Where the next name in a path ends, after `from` bytes. */
static size_t path_step(const char *path, size_t from)
{
    size_t at = from + strspn(path + from, "/");
    return at + strcspn(path + at, "/");
}

int folders_make(folders *made, const char *folder)
{
    char *path = made->path = text_copy(folder);
    if (!path)
        return ENOMEM;
    size_t length = strlen(path), at = 0;
    int error = length > 0 ? 0 : ENOENT;
    made->standing = length;
    while (error == 0 && at < length) {
        size_t before = at;
        at = path_step(path, at);
        char cut = path[at];
        path[at] = '\0';
        struct stat found;
        if (folder_make(path, 0777))
            made->standing = before < made->standing ? before : made->standing;
        else if (errno != EEXIST)
            error = errno;
        else if (stat(path, &found) != 0 || !S_ISDIR(found.st_mode))
            error = ENOTDIR;
        path[at] = cut;
    }
    return error;
}

/* The parent of the name that begins after `at` bytes. */
static int settle_parent(char *path, size_t at)
{
    if (at == 0)
        return folder_reach_disk(path[0] == '/' ? "/" : ".", false);
    char cut = path[at];
    path[at] = '\0';
    int error = folder_reach_disk(path, false);
    path[at] = cut;
    return error;
}

int folders_settle(folders *made)
{
    int error = 0;
    size_t length = made->path ? strlen(made->path) : 0;
    for (size_t at = made->standing; error == 0 && at < length; at = path_step(made->path, at))
        error = settle_parent(made->path, at);
    return error;
}

void folders_unmake(folders *made, void (*stays)(void *context, const char *path, int error),
                    void *context)
{
    for (size_t at = made->path ? strlen(made->path) : 0; at > made->standing; at--)
        if (made->path[at] == '/' || made->path[at] == '\0') {
            made->path[at] = '\0';
            if (rmdir(made->path) != 0 && errno != ENOENT)
                stays(context, made->path, errno);
        }
}

void folders_clear(folders *made)
{
    free(made->path);
    *made = (folders){0};
}

bool for_each_name(const char *folder, bool (*deed)(void *context, const char *name), void *context)
{
    DIR *listing = opendir(folder);
    bool done = listing != NULL;
    for (struct dirent *entry; done && (entry = readdir(listing));)
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            done = deed(context, entry->d_name);
    if (listing)
        closedir(listing);
    return done;
}

/* --- names in folders --- */

char *path_join(const char *folder, const char *name)
{
    size_t length = strlen(folder);
    bool parted = length == 0 || folder[length - 1] == '/';
    return text_format("%s%s%s", folder, parted ? "" : "/", name);
}

/* Where the name in a path ends, and where it begins, behind the last slash before that. */
static size_t name_end(const char *path)
{
    size_t end = strlen(path);
    while (end > 1 && path[end - 1] == '/')
        end--;
    return end;
}

static size_t name_start(const char *path)
{
    size_t start = name_end(path);
    while (start > 0 && path[start - 1] != '/')
        start--;
    return start;
}

char *path_name(const char *path)
{
    size_t start = name_start(path);
    return text_format("%.*s", (int)(name_end(path) - start), path + start);
}

char *path_above(const char *path)
{
    size_t start = name_start(path);
    if (start == 0)
        return text_copy(".");
    return text_format("%.*s", start > 1 ? (int)start - 1 : 1, path);
}
