/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads parts.csv as it is written, by its columns. */
#include "part_rows.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "job_folder.h"
#include "program.h"
#include "support/check.h"

size_t read_rows(const char *folder, row rows[PARTS_MAX])
{
    char *table = bytes_of(in_folder(folder, "parts.csv"), NULL);
    size_t count = 0;
    for (char *line = strchr(table, '\n') + 1; *line; line = strchr(line, '\n') + 1) {
        row *into = &rows[count++];
        assert_true(count <= PARTS_MAX);
        assert_int_equal(sscanf(line,
                                "%15[^,],%*f,%*f,%lf,%lf,%lf,%lf,%lf,%lf,%*f,%lf,%lf,%lf,%lf,",
                                into->ref, &into->temp_c, &into->temp_sd_k, &into->board_c,
                                &into->board_sd_k, &into->life_h, &into->used, &into->low,
                                &into->high, &into->past_life, &into->worn_out),
                         11);
        char *zone = line;
        for (int commas = 0; commas < 16; zone++)
            commas += *zone == ',';
        if (*zone == '"')
            zone = strchr(zone + 1, '"');
        assert_int_equal(sscanf(strchr(zone, ','), ",%15[^,],", into->verdict), 1);
    }
    free(table);
    return count;
}
