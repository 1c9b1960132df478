/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* System calls and allocations that fail when a test says so. */
#include "support/failing.h"

#include <errno.h>
#include <stddef.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct {
    int countdown, error;
    bool all_after, failed;
} plans[CALL_COUNT];

static int piece_bytes, write_count, calls_to_live;

void fail_at(call which, int nth, int error, bool all_after)
{
    plans[which].countdown = nth;
    plans[which].error = error;
    plans[which].all_after = all_after;
    plans[which].failed = false;
}

bool has_failed(call which)
{
    return plans[which].failed;
}

void fail_none(void)
{
    memset(plans, 0, sizeof plans);
    piece_bytes = 0;
}

void write_in_pieces(int bytes)
{
    piece_bytes = bytes;
    write_count = 0;
}

void die_at(int nth)
{
    calls_to_live = nth;
}

static bool fails(call which)
{
    if (which != CALL_ALLOCATE && calls_to_live > 0 && --calls_to_live == 0)
        _exit(KILLED);
    bool due = plans[which].countdown > 0 && --plans[which].countdown == 0;
    if (due && plans[which].all_after)
        plans[which].countdown = 1;
    if (due) {
        plans[which].failed = true;
        errno = plans[which].error;
    }
    return due;
}

ssize_t __real_write(int descriptor, const void *bytes, size_t count);
int __real_fsync(int descriptor);
int __real_close(int descriptor);
int __real_rename(const char *from, const char *to);
int __real_link(const char *from, const char *to);
int __real_fchmod(int descriptor, mode_t mode);
int __real_unlink(const char *path);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);

ssize_t __wrap_write(int descriptor, const void *bytes, size_t count);
int __wrap_fsync(int descriptor);
int __wrap_close(int descriptor);
int __wrap_rename(const char *from, const char *to);
int __wrap_link(const char *from, const char *to);
int __wrap_fchmod(int descriptor, mode_t mode);
int __wrap_unlink(const char *path);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);

ssize_t __wrap_write(int descriptor, const void *bytes, size_t count)
{
    if (fails(CALL_WRITE))
        return -1;
    if (piece_bytes > 0 && ++write_count % 2 == 0) {
        errno = EINTR;
        return -1;
    }
    bool cut = piece_bytes > 0 && count > (size_t)piece_bytes;
    return __real_write(descriptor, bytes, cut ? (size_t)piece_bytes : count);
}

int __wrap_fsync(int descriptor)
{
    return fails(CALL_FSYNC) ? -1 : __real_fsync(descriptor);
}

/* The descriptor is closed all the same, as Linux does it. */
int __wrap_close(int descriptor)
{
    bool failed = fails(CALL_CLOSE);
    int error = errno, result = __real_close(descriptor);
    if (failed)
        errno = error;
    return failed ? -1 : result;
}

int __wrap_rename(const char *from, const char *to)
{
    return fails(CALL_RENAME) ? -1 : __real_rename(from, to);
}

int __wrap_link(const char *from, const char *to)
{
    return fails(CALL_LINK) ? -1 : __real_link(from, to);
}

int __wrap_fchmod(int descriptor, mode_t mode)
{
    return fails(CALL_FCHMOD) ? -1 : __real_fchmod(descriptor, mode);
}

int __wrap_unlink(const char *path)
{
    return fails(CALL_UNLINK) ? -1 : __real_unlink(path);
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails(CALL_ALLOCATE) ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return fails(CALL_ALLOCATE) ? NULL : __real_realloc(block, size);
}
