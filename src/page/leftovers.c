/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tidies a folder after a kill: ".parts.csv.4711-0.new" and ".parts.csv.4711-0.new.old". */
#include "page/leftovers.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "page/history.h"

/* The file of the job that a hidden name stands for, and who made it; false for any other name. */
static bool take_apart(const char *name, const char **file, long *maker, bool *earlier)
{
    static const char *const others[] = {"photo.jpg", "photo.png", HISTORY_NAME};
    for (size_t i = 0; i < JOB_FILES + sizeof others / sizeof *others; i++) {
        const char *known = i < JOB_FILES ? job_files[i].name : others[i - JOB_FILES];
        size_t length = strlen(known);
        int attempt = 0, used = 0;
        if (name[0] != '.' || strncmp(name + 1, known, length) != 0)
            continue;
        if (sscanf(name + 1 + length, ".%ld-%d.new%n", maker, &attempt, &used) != 2 || used == 0)
            continue;
        const char *rest = name + 1 + length + used;
        *file = known;
        *earlier = strcmp(rest, ".old") == 0;
        return *earlier || rest[0] == '\0';
    }
    return false;
}

static bool is_gone(long maker)
{
    return maker > 0 && kill((pid_t)maker, 0) != 0 && errno == ESRCH;
}

static void clear_one(int folder, const char *name)
{
    const char *file = NULL;
    long maker = 0;
    bool earlier = false;
    if (!take_apart(name, &file, &maker, &earlier) || !is_gone(maker))
        return;
    bool lost = earlier && faccessat(folder, file, F_OK, AT_SYMLINK_NOFOLLOW) != 0;
    if (lost)
        renameat(folder, name, folder, file);
    else
        unlinkat(folder, name, 0);
}

void leftovers_clear(const char *folder)
{
    DIR *listed = opendir(folder);
    if (!listed)
        return;
    for (struct dirent *entry = readdir(listed); entry; entry = readdir(listed))
        clear_one(dirfd(listed), entry->d_name);
    closedir(listed);
}
