/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Feeds jobs of extreme numbers to the map of fuzz_map.c: extremes FIRST_SEED COUNT. */
#include <stdio.h>
#include <stdlib.h>

#include "fuzz/expect.h"
#include "fuzz/extreme.h"
#include "fuzz/folder.h"
#include "fuzz/target.h"

/* Whether the job is read; one that is refused proves nothing of what comes after. */
static bool is_read(const text *input)
{
    sf_diagnostics diagnostics = {0};
    sf_job *job = NULL;
    sf_status status =
        sf_job_read(fuzz_folder((const uint8_t *)input->bytes, input->length), &job, &diagnostics);
    for (size_t i = 0; getenv("EXTREMES_TOLD") && i < diagnostics.count; i++) {
        char *line = sf_diagnostic_text(&diagnostics.items[i]);
        fprintf(stderr, "%s\n", line ? line : "");
        free(line);
    }
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    return status == SF_OK;
}

int main(int count, char **words)
{
    expect(count == 3, "extremes FIRST_SEED COUNT");
    unsigned long first = strtoul(words[1], NULL, 10), jobs = strtoul(words[2], NULL, 10), read = 0;
    for (unsigned long seed = first; seed < first + jobs; seed++) {
        text input = {0};
        extreme_job(seed, &input);
        expect(!input.failed, "there is memory for a job");
        fprintf(stderr, "seed %lu\n", seed); /* the last one told is the one that broke */
        read += is_read(&input);
        LLVMFuzzerTestOneInput((const uint8_t *)input.bytes, input.length);
        text_clear(&input);
    }
    printf("%lu jobs, %lu of them read\n", jobs, read);
    expect(3 * read >= jobs, "a third of the jobs can be read");
    return EXIT_SUCCESS;
}
