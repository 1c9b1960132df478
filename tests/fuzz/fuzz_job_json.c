/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A whole job as JSON: what is taken can be read as tables again, with as many rows. */
#include <string.h>

#include "fuzz/expect.h"
#include "fuzz/target.h"
#include "page/job_json.h"
#include "page/sheet.h"

static void expect_table(const job_tables *of, size_t table)
{
    const text *bytes = &of->bytes[table];
    text copy = {0};
    sheet read = {0};
    size_t size = bytes->length;
    if (size == 0 || strcmp(job_table_names[table], "thermogram.csv") == 0)
        return;
    text_add_bytes(&copy, bytes->bytes, size);
    expect(sheet_read(&read, text_take(&copy), size) == SF_OK, "a table can be read");
    expect(read.row_count == of->rows[table] + 1, "each row is one");
    sheet_clear(&read);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    job_tables taken;
    sf_diagnostics diagnostics = {0};
    sf_status status = job_json_take("job.json", (const char *)bytes, size, &taken, &diagnostics);
    expect(status == SF_OK || status == SF_ERROR_DATA, "bytes are a job or none");
    expect((status == SF_ERROR_DATA) == (diagnostics.error_count > 0), "what is refused is told");
    for (size_t i = 0; status == SF_OK && i < JOB_TABLES; i++)
        expect_table(&taken, i);
    job_tables_clear(&taken);
    sf_diagnostics_clear(&diagnostics);
    return 0;
}
