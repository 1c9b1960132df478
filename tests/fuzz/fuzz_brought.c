/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A placement file, parts list or logger file as `bring` reads it, into an empty job. */
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "fuzz/expect.h"
#include "fuzz/target.h"
#include "job/bring.h"

static char folder[] = "/dev/shm/spotfield-fuzz-brought-XXXXXX", file[128];

static void remove_all(void)
{
    unlink(file);
    rmdir(folder);
}

static void start(void)
{
    expect(mkdtemp(folder) != NULL, "a folder can be made");
    snprintf(file, sizeof file, "%s/in.csv", folder);
    atexit(remove_all);
}

static void lay(const uint8_t *bytes, size_t size)
{
    int to = open(file, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    expect(to >= 0 && write(to, bytes, size) == (ssize_t)size, "an input can be written");
    close(to);
}

static void expect_items(const bring *of)
{
    for (size_t i = 0; i < of->item_count; i++) {
        const bring_item *item = &of->items[i];
        expect(item->ref && item->ref[0] && item->value && item->package, "a thing has its texts");
        expect(!isinf(item->x_mm) && !isinf(item->y_mm) && !isinf(item->angle_deg),
               "a place is finite");
        expect(isnan(item->x_mm) == isnan(item->y_mm), "a place is whole");
        expect(!(item->said.capacitance_uf <= 0) && !isinf(item->said.capacitance_uf),
               "a capacitance");
    }
    for (size_t i = 0; i < of->reading_count; i++) {
        expect(isfinite(of->readings[i].minute) && of->readings[i].minute >= 0, "a minute");
        expect(isfinite(of->readings[i].value), "a value");
    }
    expect(of->told_count <= sizeof of->told / sizeof *of->told, "room for what is told");
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    static const bring_channel channel = {"ch1", "10", "20", "", false};
    if (!file[0])
        start();
    lay(bytes, size);
    sf_diagnostics diagnostics = {0};
    const char *const files[] = {file};
    bring brought = {.folder = folder,
                     .options = {.origin_x_mm = size % 2 ? 3 : (double)NAN,
                                 .origin_y_mm = size % 2 ? 4 : (double)NAN,
                                 .channels = &channel,
                                 .channel_count = size % 3 == 0}};
    sf_status status = bring_read(&brought, files, 1, &diagnostics);
    expect(status == SF_OK || status == SF_ERROR_DATA, "bytes are a file that is there");
    expect((status == SF_ERROR_DATA) == (diagnostics.error_count > 0), "what is refused is told");
    expect_items(&brought);
    bring_free(&brought);
    sf_diagnostics_clear(&diagnostics);
    return 0;
}
