/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What each system does in its own way; one file a system, of which one is built. Errors are in
 * errno. */
#ifndef SPOTFIELD_CORE_PLATFORM_H
#define SPOTFIELD_CORE_PLATFORM_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/stat.h>

/* --- files; no child process inherits one --- */

/* Opens to read; a named pipe is not waited for. -1 where it cannot. */
int file_open(const char *path);

/* Opens a new file to write, by bytes; -1, with EEXIST where something has the name. */
int file_create(const char *path);

/* Gives an open file a mode; done also where files have none. */
bool file_set_mode(int descriptor, mode_t mode);

/* fsync; EINVAL counts as done: the file system knows none, and then there is nothing to wait for.
 */
bool reach_disk(int descriptor);

/* --- names --- */

/* stat of the name itself, not of what a link leads to. */
bool name_look(const char *path, struct stat *found);
bool is_link(const struct stat *found);

/* Whether two names lead to one file or folder. */
bool names_meet(const char *one, const char *other);

/* A second name for a file. */
bool name_add(const char *path, const char *name);

/* A new name, also where another file has it. */
bool name_change(const char *path, const char *name);

/* Two names of one file system change places at one stroke; false, with nothing done, where the
 * system cannot do that. */
bool exchange_names(const char *one, const char *other);

/* The whole path without links, in new memory; NULL where there is none. */
char *path_real(const char *path);

/* --- folders --- */

bool folder_make(const char *path, mode_t mode);

/* Waits until a folder's own entries are on the disk: 0, or why not. One that may not be opened, or
 * whose file system knows no fsync, is not waited for. `strict`: it has to be opened. */
int folder_reach_disk(const char *folder, bool strict);

/* Whether the folder is the user's own, to read and write; *about gets what is known of it. */
bool folder_is_own(const char *folder, struct stat *about);

/* Gives a folder group and mode of another. */
bool folder_liken(const char *folder, const struct stat *about);

/* Keeps others who ask out of a folder of that name until it is closed. */
enum { FOLDER_HELD = -1 /* by another for now */, FOLDER_NO_LOCK = -2 };
int folder_lock(const char *folder);

/* --- chance --- */

/* Bytes that nobody can foretell, 256 at most; false where the system gives none. */
bool random_fill(void *bytes, size_t count);

/* --- words --- */

/* Numbers of this thread are read and written as in C, from here to plain_numbers_end. */
typedef struct plain_numbers {
    void *plain, *before;
} plain_numbers;

bool plain_numbers_begin(plain_numbers *of); /* false when memory is short */
void plain_numbers_end(plain_numbers *of);   /* also where it was not begun */

/* What the system says of an errno. */
void reason_say(int number, char *words, size_t size);

#endif
