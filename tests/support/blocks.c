/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays earlier files, writes the new ones, and looks at what stands there. */
#include "support/blocks.h"

#include <dirent.h>
#include <stdio.h>
#include <string.h>

static char long_bytes[LONG_BYTES];
const file_block blocks[BLOCKS] = {{"parts.csv", long_bytes, sizeof long_bytes},
                                   {"zones.csv", "hot,61.7\n", 9},
                                   {"report.html", "<p>\0</p>", 8}};

char folder[256];
sf_diagnostics diagnostics;

int set_up(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof long_bytes; i++)
        long_bytes[i] = (char)(i * 31 + i / 97);
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    fail_none();
    return 0;
}

int tear_down(void **state)
{
    (void)state;
    fail_none();
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
    return 0;
}

const char *path_of(const char *name)
{
    static char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

bool holds(const char *name, const void *bytes, size_t count)
{
    char read[LONG_BYTES + 1];
    FILE *file = fopen(path_of(name), "rb");
    if (!file)
        return false;
    size_t found = fread(read, 1, sizeof read, file);
    fclose(file);
    return found == count && memcmp(read, bytes, count) == 0;
}

size_t entries(const char *of)
{
    size_t count = 0;
    DIR *listing = opendir(of);
    assert_non_null(listing);
    for (struct dirent *entry; (entry = readdir(listing));)
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    closedir(listing);
    return count;
}

void check_new(void)
{
    for (size_t i = 0; i < BLOCKS; i++)
        assert_true(holds(blocks[i].name, blocks[i].bytes, blocks[i].count));
    assert_int_equal(entries(folder), BLOCKS);
}

void lay_earlier(void)
{
    write_file(folder, "parts.csv", "earlier parts");
    write_file(folder, "report.html", "earlier report");
}

void check_earlier(void)
{
    assert_true(holds("parts.csv", "earlier parts", 13));
    assert_true(holds("report.html", "earlier report", 14));
    assert_int_equal(entries(folder), 2);
}

sf_status write_blocks(const char *into)
{
    return atomic_write(into, blocks, BLOCKS, &diagnostics);
}
