/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The history of a page that another hand has written: whatever it says, what was there is left as
 * it was or becomes what a step names, and is a table still. */
#include <stdio.h>
#include <stdlib.h>

#include "fuzz/expect.h"
#include "fuzz/folder.h"
#include "fuzz/target.h"
#include "page/edits.h"

static void lay_history(const char *folder, const uint8_t *bytes, size_t size)
{
    char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, HISTORY_NAME);
    FILE *file = fopen(path, "wb");
    expect(file && fwrite(bytes, 1, size, file) == size && fclose(file) == 0,
           "the history can be laid down");
}

static void expect_tables(const char *folder)
{
    for (size_t file = 0; file < JOB_FILES; file++) {
        sheet read = {0};
        bool absent = false;
        expect(job_file_read(folder, file, &read, &absent, NULL) == SF_OK,
               "a file of the job stays a table");
        sheet_clear(&read);
    }
}

static void walk(const char *folder, history *kept, direction way)
{
    sf_status status = SF_OK;
    for (int i = 0; status == SF_OK && i < 4; i++) {
        sf_diagnostics diagnostics = {0};
        json_t *conflict = NULL;
        bool offered = history_next(kept, way) != NULL;
        status = edits_step(folder, way, kept, &conflict, &diagnostics);
        expect(status == (offered ? SF_OK : SF_ERROR_ARGUMENT) ||
                   (offered && status == SF_ERROR_DATA && conflict),
               "a step is taken or refused");
        json_decref(conflict);
        sf_diagnostics_clear(&diagnostics);
        expect_tables(folder);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    const char *folder = fuzz_folder_anew();
    history kept;
    size_t dropped = 0;
    lay_history(folder, bytes, size);
    expect(history_open(folder, &kept) == SF_OK, "a history opens");
    expect(history_fit(&kept, folder, &dropped) == SF_OK, "what fits can be told");
    expect((dropped > 0) == (kept.outlives && kept.note != NULL), "what is dropped is told");
    walk(folder, &kept, BACK);
    walk(folder, &kept, AGAIN);
    history_clear(&kept);
    return 0;
}
