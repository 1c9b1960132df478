/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads a whole job folder, tells of files in it that nobody reads, and frees a job. */
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "core/checksum.h"
#include "core/folders.h"
#include "core/memory.h"
#include "core/platform.h"
#include "job/choice_words.h"
#include "job/files.h"
#include "job/rows.h"

static void free_rings(sf_ring *rings, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        free(rings[i].points);
        free(rings[i].reason);
    }
    free(rings);
}

sf_point *sf_part_places(const sf_job *job)
{
    sf_point *places = array_new(job->part_count, sizeof *places);
    for (size_t i = 0; places && i < job->part_count; i++)
        places[i] = (sf_point){job->parts[i].x_mm, job->parts[i].y_mm};
    return places;
}

void sf_job_free(sf_job *job)
{
    if (!job)
        return;
    free(job->folder);
    columns_free_texts(board_keys, board_key_count, &job->board);
    free_rings(job->rings, job->ring_count);
    free_rings(job->keepouts, job->keepout_count);
    free_rings(job->masks, job->mask_count);
    rows_free(&source_kind, job->sources, job->source_count);
    rows_free(&reading_kind, job->readings, job->reading_count);
    rows_free(&part_kind, job->parts, job->part_count);
    rows_free(&period_kind, job->periods, job->period_count);
    rows_free(&control_kind, job->controls, job->control_count);
    rows_free(&mark_kind, job->thermogram.marks, job->thermogram.mark_count);
    free(job->thermogram.shown_c);
    for (size_t i = 0; i < job->assumption_count; i++)
        free(job->assumptions[i]);
    free(job->assumptions);
    free(job);
}

static bool folder_is_there(struct intake *intake, const char *folder)
{
    struct stat about;
    bool found = stat(folder, &about) == 0;
    if (found && S_ISDIR(about.st_mode))
        return true;
    diagnose_error(intake, (where){folder, 0, ""}, "the folder of a job",
                   found ? "it is not a folder" : "there is no such folder");
    intake->file_missing = true;
    return false;
}

static void read_files(struct intake *intake)
{
    static void (*const readers[])(struct intake *) = {
        board_file_read,      policy_file_read,    outline_file_read,  sources_file_read,
        thermogram_file_read, mask_file_read,      readings_file_read, parts_file_read,
        history_file_read,    readings_part_check, keepout_file_read,  controls_file_read,
    };
    for (size_t i = 0; i < sizeof readers / sizeof readers[0] && !intake->memory_short; i++)
        readers[i](intake);
}

double sf_service_air_c(const sf_job *job)
{
    return job->board.service_ambient_c + job->policy.cover_rise_k;
}

/* --- files that look like a job's and are not read: Sources.CSV, keep-out.csv --- */

const char *const job_table_names[JOB_TABLES] = {
    "board.csv",      "policy.csv",   "outline.csv",    "sources.csv", "marks.csv",
    "thermogram.csv", "readings.csv", "parts.csv",      "history.csv", "keepout.csv",
    "controls.csv",   "mask.csv",     "photo-marks.csv"};

static bool is_read(const char *name)
{
    for (size_t i = 0; i < JOB_TABLES; i++)
        if (strcmp(job_table_names[i], name) == 0)
            return true;
    return false;
}

static bool is_stray(const char *name)
{
    const char *ending = strrchr(name, '.');
    return name[0] != '.' && ending && strcasecmp(ending, ".csv") == 0 && !is_read(name);
}

/* Where letter case does not count, as on a memory stick, Sources.CSV is read as sources.csv. False
 * also where memory is short for a path. */
static bool is_same_file(const char *folder, const char *name, const char *other)
{
    char *one = path_join(folder, name), *two = path_join(folder, other);
    bool same = one && two && names_meet(one, two);
    free(one);
    free(two);
    return same;
}

static void tell_of(struct intake *intake, const char *folder, const char *name)
{
    struct nearest nearest = {.typed = name};
    for (size_t i = 0; i < JOB_TABLES; i++)
        nearest_offer(&nearest, job_table_names[i]);
    if (!is_same_file(folder, name, nearest.name))
        diagnose_warning(intake, (where){name, 0, ""}, "",
                         "this file is not read, since no job file has this name; did you "
                         "mean %s?",
                         nearest.name);
}

typedef struct strays {
    char **names;
    size_t count, capacity;
    bool memory_short;
} strays;

static bool keep_stray(void *context, const char *name)
{
    strays *all = context;
    if (!is_stray(name))
        return true;
    char *copy = text_copy(name);
    char **kept = copy ? array_add(&all->names, &all->count, &all->capacity, sizeof *kept) : NULL;
    if (kept)
        *kept = copy;
    else
        free(copy);
    all->memory_short = !kept;
    return kept != NULL;
}

static int by_name(const void *one, const void *other)
{
    return strcmp(*(char *const *)one, *(char *const *)other);
}

/* Warns of each file of the folder that ends in .csv and bears no name of a job file, letter case
 * counted, with the name that was probably meant; in the order of their names. Hidden files, and a
 * folder whose names cannot be listed, are passed over. */
static void strays_tell(struct intake *intake, const char *folder)
{
    strays found = {0};
    for_each_name(folder, keep_stray, &found);
    intake->memory_short = intake->memory_short || found.memory_short;
    if (found.count > 0)
        qsort(found.names, found.count, sizeof *found.names, by_name);
    for (size_t i = 0; i < found.count; i++) {
        tell_of(intake, folder, found.names[i]);
        free(found.names[i]);
    }
    free(found.names);
}

static sf_status read_new(const char *folder, bool may_be_unread, sf_job **job, uint64_t *made_from,
                          sf_diagnostics *diagnostics)
{
    *job = NULL;
    struct intake intake = {.job = array_new(1, sizeof *intake.job),
                            .diagnostics = diagnostics,
                            .made_from = made_from,
                            .may_be_unread = may_be_unread};
    if (!intake.job)
        return SF_ERROR_MEMORY;
    intake.job->folder = keep_text(&intake, folder);
    if (intake_open(&intake) && folder_is_there(&intake, folder)) {
        read_files(&intake);
        if (!intake.memory_short)
            slips_ask(&intake);
        if (!intake.memory_short)
            askew_ask(&intake);
        if (!intake.memory_short)
            picture_unit_ask(&intake);
        strays_tell(&intake, folder);
    }
    sf_status status = intake_close(&intake);
    if (status == SF_OK)
        *job = intake.job;
    else
        sf_job_free(intake.job);
    return status;
}

sf_status job_read_marked(const char *folder, sf_job **job, uint64_t *made_from,
                          sf_diagnostics *diagnostics)
{
    *made_from = CHECKSUM_OF_NOTHING;
    return read_new(folder, false, job, made_from, diagnostics);
}

sf_status sf_job_read(const char *folder, sf_job **job, sf_diagnostics *diagnostics)
{
    return read_new(folder, false, job, NULL, diagnostics);
}

sf_status sf_job_read_to_plan(const char *folder, sf_job **job, sf_diagnostics *diagnostics)
{
    return read_new(folder, true, job, NULL, diagnostics);
}
