/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Writes the mark of a set of results, and holds what is in a folder against it. */
#include "output/result_mark.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/checksum.h"
#include "core/path.h"
#include "core/platform.h"

#define MARK_FORMAT "<!-- made from %016" PRIx64 ", results %016" PRIx64 " -->\n"
enum { MARK_BYTES = 62 };

static void write_mark(char line[MARK_BYTES + 1], uint64_t made_from, uint64_t results)
{
    snprintf(line, MARK_BYTES + 1, MARK_FORMAT, made_from, results);
}

static uint64_t add_file(uint64_t before, const char *name, size_t size)
{
    return checksum_add_number(checksum_add_name(before, name), size);
}

void result_mark_add(uint64_t made_from, const file_block *blocks, size_t count, text *report)
{
    uint64_t results = CHECKSUM_OF_NOTHING;
    char line[MARK_BYTES + 1];
    for (size_t i = 0; i < count; i++) {
        results = add_file(results, blocks[i].name, blocks[i].count);
        results = checksum_add(results, blocks[i].bytes, blocks[i].count);
    }
    write_mark(line, made_from, results);
    text_add(report, line);
}

/* --- what stands in a folder --- */

/* Adds so many bytes of the file; false where it has fewer. */
static bool add_bytes(uint64_t *results, int descriptor, size_t count)
{
    char held[1 << 14];
    while (count > 0) {
        ssize_t got = read(descriptor, held, count < sizeof held ? count : sizeof held);
        if (got <= 0)
            return false;
        *results = checksum_add(*results, held, (size_t)got);
        count -= (size_t)got;
    }
    return true;
}

/* Adds a file; of the last all but its mark, which is left to be read. */
static bool add_result(uint64_t *results, const char *name, bool last, int descriptor)
{
    struct stat about;
    if (fstat(descriptor, &about) != 0 || !S_ISREG(about.st_mode))
        return false;
    size_t size = (size_t)about.st_size, mark = last ? MARK_BYTES : 0;
    if (size < mark)
        return false;
    *results = add_file(*results, name, size - mark);
    return add_bytes(results, descriptor, size - mark);
}

static bool mark_stands(int report, uint64_t made_from, uint64_t results)
{
    char wanted[MARK_BYTES + 1], found[MARK_BYTES];
    write_mark(wanted, made_from, results);
    return read(report, found, sizeof found) == MARK_BYTES &&
           memcmp(found, wanted, MARK_BYTES) == 0;
}

bool results_stand(const char *folder, uint64_t made_from)
{
    uint64_t results = CHECKSUM_OF_NOTHING;
    bool stands = true;
    for (const sf_output *output = sf_outputs(); stands && output->name; output++) {
        bool last = !output[1].name;
        char *path = path_join(folder, output->name);
        int file = path ? file_open(path) : -1;
        stands = file >= 0 && add_result(&results, output->name, last, file) &&
                 (!last || mark_stands(file, made_from, results));
        if (file >= 0)
            close(file);
        free(path);
    }
    return stands;
}
