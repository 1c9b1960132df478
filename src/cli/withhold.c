/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The strictest of a job's modes as a umask. */
#include "cli/result_folder.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "page/history.h"

enum { OF_OTHERS = S_IRGRP | S_IWGRP | S_IROTH | S_IWOTH };

/* Who may not pass through a folder reads nothing in it. */
static mode_t folder_withholds(mode_t mode)
{
    return (mode & S_IXGRP ? 0 : S_IRGRP | S_IWGRP) | (mode & S_IXOTH ? 0 : S_IROTH | S_IWOTH);
}

static mode_t file_withholds(int folder, const char *name)
{
    struct stat about;
    size_t length = strlen(name);
    if (length < 4 || strcmp(name + length - 4, ".csv") != 0 ||
        fstatat(folder, name, &about, 0) != 0)
        return 0;
    return S_ISREG(about.st_mode) ? ~about.st_mode & OF_OTHERS : 0;
}

/* It holds words of all the files, and may have been made when they were open to more people. */
static void narrow_history(int folder, mode_t withheld)
{
    struct stat about;
    if (fstatat(folder, HISTORY_NAME, &about, AT_SYMLINK_NOFOLLOW) != 0 ||
        !S_ISREG(about.st_mode) || !(about.st_mode & withheld))
        return;
    int refused = fchmodat(folder, HISTORY_NAME, about.st_mode & 07777 & ~withheld, 0);
    (void)refused; /* another's file: its owner has opened it */
}

void withhold_as_job(const char *folder)
{
    struct stat about;
    DIR *listed = opendir(folder);
    if (!listed) {
        if (errno != ENOENT && errno != ENOTDIR)
            umask(077); /* it cannot be told what it withholds */
        return;
    }
    int opened = dirfd(listed);
    mode_t withheld = fstat(opened, &about) == 0 ? folder_withholds(about.st_mode) : 0;
    for (struct dirent *entry = readdir(listed); entry; entry = readdir(listed))
        withheld |= file_withholds(opened, entry->d_name);
    withheld |= file_withholds(opened, "../machine.csv") | file_withholds(opened, "../history.csv");
    narrow_history(opened, withheld);
    closedir(listed);
    umask(umask(077) | withheld);
}
