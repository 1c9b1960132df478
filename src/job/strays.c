/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds files that look like a job's and are not read: Sources.CSV, keep-out.csv. */
#include "job/files.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/folders.h"
#include "core/memory.h"
#include "core/path.h"
#include "core/platform.h"
#include "job/choice_words.h"

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
                         "this file is not read, since no file of a job has its name; did you "
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
    char **names = array_grow(all->names, &all->capacity, all->count + 1, sizeof *names);
    all->names = names ? names : all->names;
    char *kept = names ? text_copy(name) : NULL;
    if (kept)
        all->names[all->count++] = kept;
    all->memory_short = !kept;
    return kept != NULL;
}

static int by_name(const void *one, const void *other)
{
    return strcmp(*(char *const *)one, *(char *const *)other);
}

void strays_tell(struct intake *intake, const char *folder)
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
