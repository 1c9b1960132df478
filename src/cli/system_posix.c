/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The program's system as POSIX has it. */
#include "cli/system.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "page/history.h"

void system_begin(void)
{
    signal(SIGXFSZ, SIG_IGN); /* over the limit a write fails, and is undone and told */
}

/* --- signals --- */

static void change_mask(int how, const sigset_t *to, held_signals *of)
{
    _Static_assert(sizeof(sigset_t) <= sizeof of->before, "all signals of the system have room");
    sigset_t before;
    pthread_sigmask(how, to, &before);
    memcpy(of->before, &before, sizeof before);
}

void signals_hold(held_signals *of)
{
    sigset_t ending;
    sigemptyset(&ending);
    sigaddset(&ending, SIGINT);
    sigaddset(&ending, SIGTERM);
    sigaddset(&ending, SIGHUP);
    sigaddset(&ending, SIGQUIT);
    change_mask(SIG_BLOCK, &ending, of);
}

void signals_hold_all(held_signals *of)
{
    sigset_t all;
    sigfillset(&all);
    change_mask(SIG_SETMASK, &all, of);
}

void signals_release(const held_signals *of)
{
    sigset_t before;
    memcpy(&before, of->before, sizeof before);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
}

void signals_await(void)
{
    sigset_t held;
    int number = 0;
    pthread_sigmask(SIG_BLOCK, NULL, &held);
    sigwait(&held, &number);
}

/* --- streams --- */

bool output_reader_gone(void)
{
    struct pollfd out = {.fd = STDOUT_FILENO, .events = POLLOUT};
    return poll(&out, 1, 0) > 0 && (out.revents & POLLERR);
}

bool words_begin(kept_words *of)
{
    *of = (kept_words){0};
    of->to = open_memstream(&of->words, &of->length);
    return of->to != NULL;
}

bool words_end(kept_words *of)
{
    return fclose(of->to) == 0;
}

/* --- modes --- */

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
