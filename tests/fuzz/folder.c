/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A job folder made of the bytes of a fuzzer: a sound job, some of its files overlaid. */
#define _GNU_SOURCE /* memmem */
#include "fuzz/folder.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "fuzz/expect.h"

/* Invented data: no such board exists. */
typedef struct job_file {
    const char *name;
    const char *sound; /* what it holds where the bytes do not name it; NULL: it is not there */
} job_file;

static const job_file job_files[] = {
    {"board.csv", "key,value,unit\nwidth,61,mm\nheight,43,mm\nambient,21.5,C\nrun_hours,24000,h\n"
                  "made,2009,\nsurveyed,2025-03-11,\n"},
    {"sources.csv", "ref,x_mm,y_mm,width_mm,height_mm,power_w\nU1,17,23,9,7,1.3\nR5,45,11,5,12,\n"},
    {"readings.csv", "id,x_mm,y_mm,value,unit,method\na,19,31,47.4,C,thermocouple-K\n"
                     "b,44,22,46.3,C,thermocouple-K\nc,7,9,28.9,C,infrared\n"
                     "d,53,37,25.5,C,thermocouple-K\ne,31,16,31.7,C,thermocouple-K\n"},
    {"parts.csv", "ref,x_mm,y_mm,diameter_mm,capacitance_uf,rated_c,endurance_h,measured_uf\n"
                  "C1,14,33,8,220,105,2000,197\nC2,37,19,6.3,47,85,1000,\n"},
    {"outline.csv", NULL},
    {"policy.csv", NULL},
    {"thermogram.csv", NULL},
    {"marks.csv", NULL},
    {"history.csv", NULL},
    {"keepout.csv", NULL},
    {"mask.csv", NULL},
    {"controls.csv", NULL},
    {"photo-marks.csv", NULL},
};

enum { JOB_FILES = sizeof job_files / sizeof *job_files };

/* The folder, and which of its files still hold the bytes of the last call. */
static char folder[64];
static bool overlaid[JOB_FILES];

static void path_of(size_t file, char *path, size_t size)
{
    snprintf(path, size, "%s/%s", folder, job_files[file].name);
}

static void put_file(size_t file, const void *bytes, size_t size)
{
    char path[128];
    path_of(file, path, sizeof path);
    int out = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    expect(out >= 0, "the scratch folder takes a file");
    bool whole = write(out, bytes, size) == (ssize_t)size;
    expect(close(out) == 0 && whole, "the scratch folder takes the bytes");
}

static void put_sound(size_t file)
{
    char path[128];
    path_of(file, path, sizeof path);
    if (job_files[file].sound)
        put_file(file, job_files[file].sound, strlen(job_files[file].sound));
    else
        unlink(path);
    overlaid[file] = false;
}

/* Also what the page writes: photos, their marks, leftovers. */
static void empty_scratch(void)
{
    DIR *entries = opendir(folder);
    expect(entries != NULL, "the scratch folder can be listed");
    for (struct dirent *entry; (entry = readdir(entries));)
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            unlinkat(dirfd(entries), entry->d_name, 0);
    closedir(entries);
}

static void remove_scratch(void)
{
    empty_scratch();
    rmdir(folder);
}

/* In memory where the system has a folder for that: a fuzzer writes it thousands of times. */
static void make_scratch(void)
{
    bool in_memory = access("/dev/shm", W_OK) == 0;
    snprintf(folder, sizeof folder, "%s/spotfield-fuzz-XXXXXX", in_memory ? "/dev/shm" : "/tmp");
    expect(mkdtemp(folder) != NULL, "a scratch folder can be made");
    atexit(remove_scratch);
    for (size_t i = 0; i < JOB_FILES; i++)
        put_sound(i);
}

static void make_once(void)
{
    if (!folder[0])
        make_scratch();
}

static size_t file_of(const uint8_t *name, size_t length)
{
    size_t i = 0;
    while (i < JOB_FILES &&
           (strlen(job_files[i].name) != length || memcmp(job_files[i].name, name, length) != 0))
        i++;
    return i;
}

static const uint8_t *next_head(const uint8_t *from, const uint8_t *end)
{
    const uint8_t *found = memmem(from, (size_t)(end - from), "=== ", 4);
    return found ? found : end;
}

/* Lays down the file whose head stands at `head`; answers where the next head stands. */
static const uint8_t *put_overlaid(const uint8_t *head, const uint8_t *end)
{
    const uint8_t *name = head + 4;
    const uint8_t *line_end = memchr(name, '\n', (size_t)(end - name));
    const uint8_t *content = line_end ? line_end + 1 : end;
    const uint8_t *next = next_head(content, end);
    size_t file = file_of(name, (size_t)((line_end ? line_end : end) - name));
    if (file < JOB_FILES) {
        put_file(file, content, (size_t)(next - content));
        overlaid[file] = true;
    }
    return next;
}

const char *fuzz_folder(const uint8_t *bytes, size_t size)
{
    make_once();
    for (size_t i = 0; i < JOB_FILES; i++)
        if (overlaid[i])
            put_sound(i);
    if (size == 0)
        return folder;
    const uint8_t *end = bytes + size;
    for (const uint8_t *head = next_head(bytes, end); head < end;)
        head = put_overlaid(head, end);
    return folder;
}

const char *fuzz_folder_with(const char *name, const uint8_t *bytes, size_t size)
{
    make_once();
    size_t file = file_of((const uint8_t *)name, strlen(name));
    expect(file < JOB_FILES, "a job has a file of that name");
    put_file(file, bytes, size);
    return folder;
}

const char *fuzz_folder_anew(void)
{
    make_once();
    empty_scratch();
    for (size_t i = 0; i < JOB_FILES; i++)
        put_sound(i);
    return folder;
}
