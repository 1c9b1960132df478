/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Names of folders: no two boards write the same, and the page of the machine finds them all. */
#include "cli/machine_place.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/exits.h"
#include "cli/message.h"
#include "cli/result_folder.h"
#include "core/folders.h"
#include "core/memory.h"
#include "core/platform.h"
#include "core/text.h"

/* Two processes would write the same files. */
static int refuse_twice(const machine *of)
{
    struct stat *found = array_new(of->count, sizeof *found);
    int status = EX_OK;
    if (!found)
        return memory_short(of->of);
    for (size_t i = 0; status == EX_OK && i < of->count; i++) {
        if (stat(of->folders[i], &found[i]) != 0)
            found[i] = (struct stat){0};
        for (size_t k = 0; k < i && found[i].st_ino != 0 && status == EX_OK; k++)
            if (same_file(&found[k], &found[i])) {
                tell_usage(of->of, "%s is given twice", of->folders[i]);
                status = EX_USAGE;
            }
    }
    free(found);
    return status;
}

/* --- DIR/NAME of each job --- */

/* No two of them are alike. */
static int name_in_out(const machine *of, machine_place *into, size_t index)
{
    const char *job = of->folders[index];
    const char *name = into->names[index];
    if (!name[0] || strcmp(name, ".") == 0 || strcmp(name, "..") == 0) {
        tell_usage(of->of, "--out: %s has no name for its folder of results", job);
        return EX_USAGE;
    }
    into->links[index] = text_copy(name);
    into->results[index] = path_join(of->out, name);
    if (!into->links[index] || !into->results[index])
        return memory_short(of->of);
    for (size_t i = 0; i < index; i++)
        if (strcmp(into->names[i], name) == 0) {
            tell_usage(of->of, "--out: the results of %s and %s would both go to %s",
                       of->folders[i], job, into->results[index]);
            return EX_USAGE;
        }
    return EX_OK;
}

static int find_in_out(const machine *of, machine_place *into)
{
    int status = EX_OK;
    if (!of->out[0]) {
        tell_usage(of->of, "--out needs the name of a folder");
        return EX_USAGE;
    }
    into->folder = text_copy(of->out);
    if (!into->folder)
        return memory_short(of->of);
    for (size_t i = 0; status == EX_OK && i < of->count; i++) {
        into->names[i] = path_name(of->folders[i]);
        if (!into->names[i])
            return memory_short(of->of);
        status = name_in_out(of, into, i);
    }
    return status;
}

/* --- JOB/out --- */

/* A job that is not there has a name, and lies in no folder. */
static bool find_beside(const char *job, machine_place *into, size_t index, char **above)
{
    char *real = path_real(job);
    into->names[index] = path_name(real ? real : job);
    *above = real ? path_above(real) : NULL;
    bool whole = !real || *above;
    free(real);
    into->results[index] = results_folder(NULL, job);
    into->links[index] = into->names[index] ? path_join(into->names[index], "out") : NULL;
    return whole && into->names[index] && into->results[index] && into->links[index];
}

/* As it was typed, where that leads to the same. */
static bool shorten(const char *job, char **folder)
{
    char *typed = path_above(job);
    if (!typed)
        return false;
    if (names_meet(typed, *folder)) {
        free(*folder);
        *folder = typed;
    } else {
        free(typed);
    }
    return true;
}

static int find_in_jobs(const machine *of, machine_place *into)
{
    size_t first = 0;
    bool apart = false;
    for (size_t i = 0; i < of->count; i++) {
        char *above = NULL;
        if (!find_beside(of->folders[i], into, i, &above)) {
            free(above);
            return memory_short(of->of);
        }
        apart = apart || (above && into->folder && strcmp(above, into->folder) != 0);
        if (above && !into->folder) {
            into->folder = above;
            first = i;
        } else {
            free(above);
        }
    }
    if (into->folder && !apart)
        return shorten(of->folders[first], &into->folder) ? EX_OK : memory_short(of->of);
    free(into->folder);
    into->folder = NULL;
    return EX_OK;
}

/* --- */

int machine_place_find(const machine *of, machine_place *into)
{
    into->names = array_new(of->count, sizeof *into->names);
    into->results = array_new(of->count, sizeof *into->results);
    into->links = array_new(of->count, sizeof *into->links);
    if (!into->names || !into->results || !into->links)
        return memory_short(of->of);
    int status = refuse_twice(of);
    if (status != EX_OK)
        return status;
    return of->out ? find_in_out(of, into) : find_in_jobs(of, into);
}

static void free_texts(char **texts, size_t count)
{
    for (size_t i = 0; texts && i < count; i++)
        free(texts[i]);
    free(texts);
}

void machine_place_clear(machine_place *discarded, size_t count)
{
    free_texts(discarded->names, count);
    free_texts(discarded->results, count);
    free_texts(discarded->links, count);
    free(discarded->folder);
    *discarded = (machine_place){0};
}
