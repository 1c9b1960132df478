/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The system as Windows has it: no modes, no links to follow, no waiting for folders, no lock of a
 * folder and no exchange, so that results are replaced file by file. Only its syntax is checked. */
#define _CRT_RAND_S /* rand_s */
#include "core/platform.h"

#include <windows.h>

#include <errno.h>
#include <fcntl.h>
#include <io.h>
#include <locale.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

/* What Windows says, as far as anybody asks for one reason or another. */
static bool worked(BOOL done)
{
    if (done)
        return true;
    DWORD error = GetLastError();
    errno = error == ERROR_ALREADY_EXISTS || error == ERROR_FILE_EXISTS      ? EEXIST
            : error == ERROR_FILE_NOT_FOUND || error == ERROR_PATH_NOT_FOUND ? ENOENT
            : error == ERROR_ACCESS_DENIED                                   ? EACCES
                                                                             : EIO;
    return false;
}

/* --- files --- */

int file_open(const char *path)
{
    return _open(path, _O_RDONLY | _O_BINARY | _O_NOINHERIT);
}

int file_create(const char *path)
{
    return _open(path, _O_WRONLY | _O_CREAT | _O_EXCL | _O_BINARY | _O_NOINHERIT,
                 _S_IREAD | _S_IWRITE);
}

bool file_set_mode(int descriptor, mode_t mode)
{
    (void)descriptor;
    (void)mode;
    return true;
}

bool reach_disk(int descriptor)
{
    return _commit(descriptor) == 0;
}

/* --- names --- */

bool name_look(const char *path, struct stat *found)
{
    return stat(path, found) == 0;
}

bool is_link(const struct stat *found)
{
    (void)found;
    return false;
}

static bool identify(const char *path, BY_HANDLE_FILE_INFORMATION *found)
{
    HANDLE file = CreateFileA(path, 0, FILE_SHARE_READ | FILE_SHARE_WRITE | FILE_SHARE_DELETE, NULL,
                              OPEN_EXISTING, FILE_FLAG_BACKUP_SEMANTICS, NULL);
    bool done = file != INVALID_HANDLE_VALUE && GetFileInformationByHandle(file, found);
    if (file != INVALID_HANDLE_VALUE)
        CloseHandle(file);
    return done;
}

bool names_meet(const char *one, const char *other)
{
    BY_HANDLE_FILE_INFORMATION first, second;
    return identify(one, &first) && identify(other, &second) &&
           first.dwVolumeSerialNumber == second.dwVolumeSerialNumber &&
           first.nFileIndexHigh == second.nFileIndexHigh &&
           first.nFileIndexLow == second.nFileIndexLow;
}

bool name_add(const char *path, const char *name)
{
    return worked(CreateHardLinkA(name, path, NULL));
}

bool name_change(const char *path, const char *name)
{
    return worked(MoveFileExA(path, name, MOVEFILE_REPLACE_EXISTING | MOVEFILE_WRITE_THROUGH));
}

bool exchange_names(const char *one, const char *other)
{
    (void)one;
    (void)other;
    return false;
}

/* With slashes, as the library joins paths. */
char *path_real(const char *path)
{
    char *real = _fullpath(NULL, path, 0);
    for (char *at = real; at && *at; at++)
        if (*at == '\\')
            *at = '/';
    return real;
}

/* --- folders --- */

bool folder_make(const char *path, mode_t mode)
{
    (void)mode;
    return worked(CreateDirectoryA(path, NULL));
}

int folder_reach_disk(const char *folder, bool strict)
{
    (void)folder;
    (void)strict;
    return 0;
}

bool folder_is_own(const char *folder, struct stat *about)
{
    return stat(folder, about) == 0 && S_ISDIR(about->st_mode);
}

bool folder_liken(const char *folder, const struct stat *about)
{
    (void)folder;
    (void)about;
    return true;
}

int folder_lock(const char *folder)
{
    (void)folder;
    return FOLDER_NO_LOCK;
}

/* --- chance --- */

bool random_fill(void *bytes, size_t count)
{
    unsigned char *to = bytes;
    unsigned int four = 0;
    for (size_t i = 0; i < count; i++, four >>= 8) {
        if (i % 4 == 0 && rand_s(&four) != 0)
            return false;
        to[i] = (unsigned char)four;
    }
    return true;
}

/* --- words --- */

bool plain_numbers_begin(plain_numbers *of)
{
    of->before = (void *)(intptr_t)_configthreadlocale(_ENABLE_PER_THREAD_LOCALE);
    of->plain = text_copy(setlocale(LC_ALL, NULL));
    return of->plain && setlocale(LC_ALL, "C");
}

void plain_numbers_end(plain_numbers *of)
{
    if (!of->plain)
        return;
    setlocale(LC_ALL, of->plain);
    free(of->plain);
    if ((intptr_t)of->before == _DISABLE_PER_THREAD_LOCALE)
        _configthreadlocale(_DISABLE_PER_THREAD_LOCALE);
}

void reason_say(int number, char *words, size_t size)
{
    if (strerror_s(words, size, number) != 0)
        snprintf(words, size, "unknown reason");
}
