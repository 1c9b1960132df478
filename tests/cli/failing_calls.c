/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Preloaded before the program: the n-th call of one kind that the program itself makes fails.
 * FAIL_CALL names the function ("malloc" counts calloc and realloc too), FAIL_AT the call (1 is the
 * first), FAIL_ERRNO the number left in errno; the file FAIL_NOTE is made once a call has failed,
 * so that a test sees whether there was an n-th call. With FAIL_REMOVALS nothing can be removed
 * from then on. Into the file FAIL_COUNTS goes at the end how many calls of each kind there were.
 */
#define _GNU_SOURCE      /* RTLD_NEXT, dl_iterate_phdr */
#undef _FILE_OFFSET_BITS /* open64 and open are to be different names here */

#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <link.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

/* "malloc" is calloc and realloc too */
static const char *const kinds[] = {"write",   "read",     "fsync",    "fchmod", "rename",
                                    "link",    "mkdir",    "fstat64",  "stat64", "lstat64",
                                    "opendir", "unlink",   "unlinkat", "rmdir",  "close",
                                    "open64",  "openat64", "fork",     "malloc"};
enum { KINDS = sizeof kinds / sizeof kinds[0] };
static atomic_long calls[KINDS];
static atomic_bool has_failed;
static uintptr_t program_begin, program_end; /* where its code and data lie */

static int note_program(struct dl_phdr_info *object, size_t size, void *context)
{
    (void)size;
    (void)context;
    program_begin = UINTPTR_MAX;
    for (size_t i = 0; i < object->dlpi_phnum; i++) {
        const ElfW(Phdr) *part = &object->dlpi_phdr[i];
        uintptr_t begin = object->dlpi_addr + part->p_vaddr, end = begin + part->p_memsz;
        if (part->p_type != PT_LOAD)
            continue;
        program_begin = begin < program_begin ? begin : program_begin;
        program_end = end > program_end ? end : program_end;
    }
    return 1; /* the program is the first of all */
}

__attribute__((constructor)) static void find_program(void)
{
    dl_iterate_phdr(note_program, NULL);
}

/* By system calls alone: what fails here may be what a library would use. */
static void note(const char *path, const char *words)
{
    long descriptor =
        path ? syscall(SYS_openat, AT_FDCWD, path, O_WRONLY | O_CREAT | O_TRUNC, 0600) : -1;
    if (descriptor < 0)
        return;
    if (syscall(SYS_write, descriptor, words, strlen(words)) != (long)strlen(words))
        abort();
    syscall(SYS_close, descriptor);
}

/* Other libraries are let be. Under a sanitizer every call comes by way of it. */
static bool is_ours(const void *from)
{
#ifdef SANITIZED
    return from != NULL;
#else
    return (uintptr_t)from >= program_begin && (uintptr_t)from < program_end;
#endif
}

/* What counts coverage allocates and writes once main has ended: that is no call of the program. */
static atomic_bool ended;

static void end_counting(void)
{
    ended = true;
    char words[32 * KINDS];
    int length = 0;
    for (int kind = 0; kind < KINDS; kind++)
        length += snprintf(words + length, sizeof words - (size_t)length, "%s %ld\n", kinds[kind],
                           atomic_load(&calls[kind]));
    note(getenv("FAIL_COUNTS"), words);
}

static void count_until_the_end(void)
{
    static atomic_flag registered = ATOMIC_FLAG_INIT;
    if (!atomic_flag_test_and_set(&registered))
        atexit(end_counting);
}

/* How many calls of a kind there were with this one. */
static long count(const char *call)
{
    int kind = 0;
    while (strcmp(kinds[kind], call) != 0)
        if (++kind == KINDS)
            abort(); /* it is not listed */
    return atomic_fetch_add(&calls[kind], 1) + 1;
}

/* Whether this call is the one; `from` is where it comes from. */
static bool is_due(const char *call, const void *from)
{
    const char *wanted = getenv("FAIL_CALL"), *nth = getenv("FAIL_AT");
    const char *error = getenv("FAIL_ERRNO");
    if (!wanted || !nth || !is_ours(from))
        return false;
    count_until_the_end();
    if (ended || count(call) != atol(nth) || strcmp(wanted, call) != 0)
        return false;
    note(getenv("FAIL_NOTE"), "");
    atomic_store(&has_failed, true);
    errno = error ? atoi(error) : EIO;
    return true;
}

/* Whether a removal fails, because it is the n-th or because it follows the n-th of another kind.
 */
static bool stays(const char *call, const void *from)
{
    if (is_due(call, from))
        return true;
    if (!getenv("FAIL_REMOVALS") || !atomic_load(&has_failed) || !is_ours(from))
        return false;
    errno = EBUSY;
    return true;
}

#define DUE(call) is_due(call, __builtin_return_address(0))

/* POSIX has dlsym answer a pointer to an object, also where a function is found. */
#define REAL(name) (*(__typeof__(&name) *)&(void *){dlsym(RTLD_NEXT, #name)})

#define FAILING(type, name, parameters, arguments)                                                 \
    type name parameters                                                                           \
    {                                                                                              \
        return DUE(#name) ? (type)-1 : REAL(name) arguments;                                       \
    }

/* By what has no kind of file, an eventfd, a library wakes its own thread. */
static bool is_file(int descriptor)
{
    struct stat about;
    return syscall(SYS_fstat, descriptor, &about) != 0 || (about.st_mode & S_IFMT) != 0;
}

ssize_t write(int descriptor, const void *bytes, size_t size)
{
    return is_file(descriptor) && DUE("write") ? -1 : REAL(write)(descriptor, bytes, size);
}

FAILING(ssize_t, read, (int descriptor, void *bytes, size_t size), (descriptor, bytes, size))
FAILING(pid_t, fork, (void), ())
FAILING(int, fsync, (int descriptor), (descriptor))
FAILING(int, fchmod, (int descriptor, mode_t mode), (descriptor, mode))
FAILING(int, rename, (const char *from, const char *to), (from, to))
FAILING(int, link, (const char *from, const char *to), (from, to))
FAILING(int, mkdir, (const char *path, mode_t mode), (path, mode))
FAILING(int, fstat64, (int descriptor, struct stat64 *about), (descriptor, about))
FAILING(int, stat64, (const char *path, struct stat64 *about), (path, about))
FAILING(int, lstat64, (const char *path, struct stat64 *about), (path, about))

DIR *opendir(const char *path)
{
    return DUE("opendir") ? NULL : REAL(opendir)(path);
}

#define STAYING(name, parameters, arguments)                                                       \
    int name parameters                                                                            \
    {                                                                                              \
        return stays(#name, __builtin_return_address(0)) ? -1 : REAL(name) arguments;              \
    }

STAYING(unlink, (const char *path), (path))
STAYING(unlinkat, (int folder, const char *path, int flags), (folder, path, flags))
STAYING(rmdir, (const char *path), (path))

/* The descriptor is closed all the same, as Linux does it. */
int close(int descriptor)
{
    bool failed = DUE("close");
    int error = errno, result = REAL(close)(descriptor);
    if (failed)
        errno = error;
    return failed ? -1 : result;
}

int open64(const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = flags & O_CREAT ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return DUE("open64") ? -1 : REAL(open64)(path, flags, mode);
}

int openat64(int folder, const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = flags & O_CREAT ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return DUE("openat64") ? -1 : REAL(openat64)(folder, path, flags, mode);
}

#ifndef SANITIZED /* a sanitizer has an allocator of its own */
/* dlsym allocates; the C library has names of its own for the real ones. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *block, size_t size);

void *malloc(size_t size)
{
    return DUE("malloc") ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return DUE("malloc") ? NULL : __libc_calloc(count, size);
}

void *realloc(void *block, size_t size)
{
    return DUE("malloc") ? NULL : __libc_realloc(block, size);
}
#endif
