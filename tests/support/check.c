/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The helpers of every test program. */
#include "support/check.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void check_close(double actual, double expected, double relative, double absolute,
                 const char *expression, const char *file, int line)
{
    double allowed = absolute + relative * fabs(expected);
    if (fabs(actual - expected) <= allowed)
        return;
    print_error("%s is %.12g, expected %.12g within %.3g (off by %.3g)\n", expression, actual,
                expected, allowed, actual - expected);
    _fail(file, line);
}

const char *source_path(const char *relative)
{
    static char path[4096];
    snprintf(path, sizeof path, "%s/%s", SOURCE_ROOT, relative);
    return path;
}

const char *fresh_folder(void)
{
    static char path[256];
    const char *root = getenv("TMPDIR");
    snprintf(path, sizeof path, "%s/spotfield-XXXXXX", root ? root : "/tmp");
    assert_non_null(mkdtemp(path));
    return path;
}

void write_file(const char *folder, const char *name, const char *content)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    size_t length = strlen(content);
    assert_int_equal(fwrite(content, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

void remove_folder(const char *folder)
{
    DIR *entries = opendir(folder);
    if (!entries)
        return;
    for (struct dirent *entry; (entry = readdir(entries));) {
        char path[4096];
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0 &&
            unlink(path) != 0)
            remove_folder(path);
    }
    closedir(entries);
    rmdir(folder);
}

char test_folder[256];

int folder_set_up(void **state)
{
    (void)state;
    snprintf(test_folder, sizeof test_folder, "%s", fresh_folder());
    return 0;
}

int folder_tear_down(void **state)
{
    (void)state;
    remove_folder(test_folder);
    return 0;
}
