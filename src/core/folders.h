/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Folders on the way to a result: made with what is missing above them, and taken back. */
#ifndef SPOTFIELD_CORE_FOLDERS_H
#define SPOTFIELD_CORE_FOLDERS_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/stat.h>

/* Start as { 0 }; folders_clear frees it. */
typedef struct folders {
    char *path;      /* to cut while its parents are made or removed; NULL: nothing was tried */
    size_t standing; /* bytes of it that stood before: what lies deeper was made */
} folders;

/* Makes the folder and what is missing above it: 0, or why not, ENOMEM where memory is short. What
 * was made until then stays. */
int folders_make(folders *made, const char *folder);

/* Waits until the names of the new folders are on the disk: 0, or why not. One whose parent may not
 * be opened, or whose file system knows no fsync, is not waited for. */
int folders_settle(folders *made);

/* Removes the new folders that are empty, deepest first; tells each that the system does not let
 * go. */
void folders_unmake(folders *made, void (*stays)(void *context, const char *path, int error),
                    void *context);

void folders_clear(folders *made);

/* Does for each name of a folder, but for itself and its parent; false once one has answered so. */
bool for_each_name(const char *folder, bool (*deed)(void *context, const char *name),
                   void *context);

/* --- names of files in folders, as the user typed the folder --- */

/* The name behind its folder, in new memory freed with free(); NULL when memory is short. A folder
 * that is "" adds nothing, one that ends with a slash no second one. */
char *path_join(const char *folder, const char *name);

/* The way back, in new text, slashes at the end not counted: the name alone, "" of the root, and
 * what it is in, "." where nothing is before it. */
char *path_name(const char *path);
char *path_above(const char *path);

/* Whether two names led to the same file or folder. */
static inline bool same_file(const struct stat *one, const struct stat *other)
{
    return one->st_dev == other->st_dev && one->st_ino == other->st_ino;
}

#endif
