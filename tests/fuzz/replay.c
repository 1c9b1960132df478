/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Feeds every file of the folders named on the command line to a fuzz target, without a fuzzer. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz/expect.h"
#include "fuzz/target.h"

enum { INPUT_BYTES_MAX = 1 << 20 };

/* From a buffer of just the file's size, so that a sanitizer sees a read beyond its end. */
static void feed(const char *path)
{
    static uint8_t room[INPUT_BYTES_MAX];
    FILE *in = fopen(path, "rb");
    expect(in != NULL, "an input can be opened");
    size_t size = fread(room, 1, sizeof room, in);
    fclose(in);
    uint8_t *bytes = malloc(size + !size);
    expect(bytes != NULL, "there is memory for an input");
    memcpy(bytes, room, size);
    LLVMFuzzerTestOneInput(bytes, size);
    free(bytes);
}

static size_t feed_folder(const char *folder)
{
    size_t fed = 0;
    DIR *entries = opendir(folder);
    expect(entries != NULL, "the corpus can be opened");
    for (struct dirent *entry; (entry = readdir(entries));) {
        char path[4096];
        if (entry->d_name[0] == '.')
            continue;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        fprintf(stderr, "%s\n", path); /* the last one told is the one that broke */
        feed(path);
        fed++;
    }
    closedir(entries);
    return fed;
}

int main(int count, char **folders)
{
    size_t fed = 0;
    for (int i = 1; i < count; i++)
        fed += feed_folder(folders[i]);
    expect(fed > 0, "the corpus holds an input");
    printf("%zu inputs\n", fed);
    return EXIT_SUCCESS;
}
