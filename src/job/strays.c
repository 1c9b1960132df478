/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds files that look like a job's and are not read: Sources.CSV, keep-out.csv. */
#include "job/files.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "core/path.h"
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

static int is_stray(const struct dirent *entry)
{
    const char *ending = strrchr(entry->d_name, '.');
    return entry->d_name[0] != '.' && ending && strcasecmp(ending, ".csv") == 0 &&
           !is_read(entry->d_name);
}

/* False also where memory is short for a path. */
static bool look_up(const char *folder, const char *name, struct stat *found)
{
    char *path = path_join(folder, name);
    bool there = path && stat(path, found) == 0;
    free(path);
    return there;
}

/* Where letter case does not count, as on a memory stick, Sources.CSV is read as sources.csv. */
static bool is_same_file(const char *folder, const char *name, const char *other)
{
    struct stat one, two;
    return look_up(folder, name, &one) && look_up(folder, other, &two) && same_file(&one, &two);
}

static void tell(struct intake *intake, const char *folder, const char *name)
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

void strays_tell(struct intake *intake, const char *folder)
{
    struct dirent **found = NULL;
    int count = scandir(folder, &found, is_stray, alphasort);
    if (count < 0 && errno == ENOMEM)
        intake->memory_short = true;
    for (int i = 0; i < count; i++) {
        tell(intake, folder, found[i]->d_name);
        free(found[i]);
    }
    free(found);
}
