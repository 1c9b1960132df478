/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads what is brought: the job's own references, then each file by what its columns are. */
#include "job/bring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "job/files.h"
#include "job/rows.h"

/* What the job has already; that it may have faults is told by `check`. */
static void read_job(struct intake *intake, bring *into)
{
    sf_diagnostics *diagnostics = intake->diagnostics, dropped = {0};
    sf_job *job = intake->job;
    intake->diagnostics = &dropped;
    void *parts = NULL, *sources = NULL, *readings = NULL;
    board_file_read(intake);
    rows_read(intake, &part_kind, &parts, &job->part_count);
    job->parts = parts;
    rows_read(intake, &source_kind, &sources, &job->source_count);
    job->sources = sources;
    rows_read(intake, &reading_kind, &readings, &job->reading_count);
    job->readings = readings;
    into->board_width_mm = job->board.width_mm;
    into->board_height_mm = job->board.height_mm;
    intake->file_missing = false;
    intake->diagnostics = diagnostics;
    sf_diagnostics_clear(&dropped);
}

static void read_file(struct intake *intake, bring *into, const char *file)
{
    bring_sheet sheet;
    if (bring_open(intake, file, &sheet) == FILE_READ) {
        if (bring_is_logger(&sheet))
            bring_logger(intake, into, &sheet);
        else
            bring_placement(intake, into, &sheet);
    }
    table_free(&sheet.table);
}

static void tell_lost_channels(struct intake *intake, const bring *of)
{
    for (size_t i = 0; i < of->options.channel_count; i++)
        if (!of->channels[i].found)
            diagnose_error(intake, (where){"--channel", 0, ""},
                           "the name of a column of a logger file", "no file has a channel \"%s\"",
                           excerpt_of(of->channels[i].name).text);
}

static void read_all(struct intake *intake, bring *into, const char *const *files, size_t count)
{
    for (size_t i = 0; i < into->options.channel_count; i++)
        into->channels[i] = into->options.channels[i];
    into->unit[0] = 'C';
    read_job(intake, into);
    for (size_t i = 0; i < count && !intake->memory_short; i++)
        read_file(intake, into, files[i]);
    if (intake->memory_short)
        return;
    tell_lost_channels(intake, into);
    bring_settle_places(intake, into);
    bring_judge(intake, into);
}

sf_status bring_read(bring *into, const char *const *files, size_t count,
                     sf_diagnostics *diagnostics)
{
    struct intake intake = {.job = array_new(1, sizeof(sf_job)), .diagnostics = diagnostics};
    if (!intake.job)
        return SF_ERROR_MEMORY;
    into->board_width_mm = into->board_height_mm = NAN;
    if (intake_open(&intake)) {
        intake.job->folder = keep_text(&intake, into->folder);
        if (!intake.memory_short)
            read_all(&intake, into, files, count);
    }
    sf_status status = intake_close(&intake);
    sf_job_free(intake.job);
    return status;
}

void bring_free(bring *ended)
{
    for (size_t i = 0; i < ended->item_count; i++) {
        free(ended->items[i].ref);
        free(ended->items[i].value);
        free(ended->items[i].package);
        free(ended->items[i].words);
    }
    free(ended->items);
    free(ended->readings);
    ended->items = NULL;
    ended->readings = NULL;
    ended->item_count = ended->reading_count = 0;
}
