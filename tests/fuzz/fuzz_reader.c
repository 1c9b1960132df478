/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One file of a job read alone, with a small sound job about it: READER names the file. Thousands
 * of times faster than a whole job, so that each reader sees millions of inputs. */
#include <stdlib.h>
#include <string.h>

#include "fuzz/expect.h"
#include "fuzz/folder.h"
#include "fuzz/target.h"
#include "job/files.h"

typedef struct file_reader {
    const char *name, *file;
    void (*read)(struct intake *intake);
} file_reader;

static const file_reader readers[] = {
    {"board", "board.csv", board_file_read},
    {"policy", "policy.csv", policy_file_read},
    {"outline", "outline.csv", outline_file_read},
    {"keepout", "keepout.csv", keepout_file_read},
    {"mask", "mask.csv", mask_file_read},
    {"sources", "sources.csv", sources_file_read},
    {"readings", "readings.csv", readings_file_read},
    {"parts", "parts.csv", parts_file_read},
    {"history", "history.csv", history_file_read},
    {"controls", "controls.csv", controls_file_read},
    {"thermogram", "thermogram.csv", thermogram_file_read},
    {"marks", "marks.csv", thermogram_file_read},
};

static const file_reader *reader;
static sf_job *sound; /* what the other files hold */

static void start(void)
{
    static const char marks[] =
        "col,row,x_mm,y_mm\n0.5,0.25,3,41\n3.5,0.5,58,40\n3.25,2.5,57,2\n0.25,2.25,2,3\n";
    static const char picture[] = "23.5,24,25.25,31\n24,27.5,44,38\n22.75,25,,29\n";
    sf_diagnostics diagnostics = {0};
    for (size_t i = 0; i < sizeof readers / sizeof *readers; i++)
        if (strcmp(readers[i].name, READER) == 0)
            reader = &readers[i];
    expect(reader != NULL, "there is a reader of that name");
    const char *folder = fuzz_folder(NULL, 0);
    expect(sf_job_read(folder, &sound, &diagnostics) == SF_OK, "the sound job is sound");
    sf_diagnostics_clear(&diagnostics);
    /* neither is of use without the other */
    if (reader->read == thermogram_file_read) {
        fuzz_folder_with("marks.csv", (const uint8_t *)marks, sizeof marks - 1);
        fuzz_folder_with("thermogram.csv", (const uint8_t *)picture, sizeof picture - 1);
    }
}

static void free_sound(void)
{
    sf_job_free(sound);
}

/* The sound job's values; its lists are lent, but for those that the reader makes. */
static sf_job lend(void)
{
    sf_job job = *sound;
    job.parts = NULL;
    job.assumptions = NULL;
    job.part_count = job.assumption_count = 0;
    if (reader->read == board_file_read)
        job.board = (sf_board){0};
    if (reader->read == outline_file_read) {
        job.rings = NULL;
        job.ring_count = 0;
    }
    return job;
}

/* Takes back what was lent, so that what the reader made is left to be freed. */
static void take_back(sf_job *job)
{
    job->folder = NULL;
    if (job->board.name == sound->board.name)
        job->board.name = job->board.surveyed = job->board.machine = job->board.owner =
            job->board.technician = NULL;
    if (job->rings == sound->rings) {
        job->rings = NULL;
        job->ring_count = 0;
    }
    if (job->sources == sound->sources) {
        job->sources = NULL;
        job->source_count = 0;
    }
    if (job->readings == sound->readings) {
        job->readings = NULL;
        job->reading_count = 0;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    if (!reader) {
        start();
        atexit(free_sound);
    }
    fuzz_folder_with(reader->file, bytes, size);
    sf_diagnostics diagnostics = {0};
    sf_job *job = calloc(1, sizeof *job);
    expect(job != NULL, "there is memory for a job");
    *job = lend();
    struct intake intake = {
        .job = job, .diagnostics = &diagnostics, .outline_sound = job->rings != NULL};
    reader->read(&intake);
    expect(!intake.memory_short && !intake.file_missing, "bytes are a file that is there");
    expect_diagnostics(diagnostics.error_count > 0 ? SF_ERROR_DATA : SF_OK, &diagnostics);
    if (diagnostics.error_count == 0)
        expect_sound_job(job);
    take_back(job);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    return 0;
}
