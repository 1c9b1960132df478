/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Names of files in folders, as the user typed the folder. */
#ifndef SPOTFIELD_CORE_PATH_H
#define SPOTFIELD_CORE_PATH_H

#include <stdbool.h>
#include <sys/stat.h>

/* The name behind its folder, in new memory freed with free(); NULL when memory is short. A folder
 * that is "" adds nothing, one that ends with a slash no second one. */
char *path_join(const char *folder, const char *name);

/* Whether two names led to the same file or folder. */
static inline bool same_file(const struct stat *one, const struct stat *other)
{
    return one->st_dev == other->st_dev && one->st_ino == other->st_ino;
}

#endif
