/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The new folder is laid out beside the old one, with second names for the files that stay; then
 * the two change names, and the old one is removed. */
#include "output/result_set.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/diagnose.h"
#include "core/folders.h"
#include "core/platform.h"
#include "core/text.h"
#include "spotfield/output.h"

#define STAGE_ENDING ".spotfield"

/* The shell that called us would be left in a folder that is gone. */
static bool stand_inside(const char *folder)
{
    char *here = path_real(".");
    size_t length = strlen(folder);
    bool inside = !here || (strncmp(here, folder, length) == 0 &&
                            (here[length] == '\0' || here[length] == '/'));
    free(here);
    return inside;
}

/* Two folders, and paths into both. */
typedef struct pair {
    const char *from, *to;
} pair;

typedef struct paths {
    char *from, *to;
} paths;

static bool paths_make(const pair *of, const char *name, paths *made)
{
    *made = (paths){path_join(of->from, name), path_join(of->to, name)};
    return made->from && made->to;
}

static void paths_free(paths *made)
{
    free(made->from);
    free(made->to);
}

/* --- the new folder --- */

/* A second name for a plain file; whatever else there is cannot be in two folders. */
static bool carry(void *context, const char *name)
{
    paths at;
    struct stat about;
    bool done = paths_make(context, name, &at) && name_look(at.from, &about) &&
                S_ISREG(about.st_mode) && name_add(at.from, at.to);
    paths_free(&at);
    return done;
}

static bool lay_out(const char *folder, const char *stage, const struct stat *about,
                    const file_block *blocks, size_t count)
{
    sf_diagnostics dropped = {0};
    bool done = for_each_name(folder, carry, &(pair){folder, stage}) &&
                atomic_write(stage, blocks, count, &dropped) == SF_OK && dropped.count == 0 &&
                folder_liken(stage, about) && folder_reach_disk(stage, false) == 0;
    sf_diagnostics_clear(&dropped);
    return done;
}

/* --- removing a folder that is not needed any longer --- */

/* Whether the file of the second folder is the very one of the first. */
static bool is_twin(const paths *at)
{
    struct stat one, other;
    return name_look(at->from, &one) && S_ISREG(one.st_mode) && name_look(at->to, &other) &&
           S_ISREG(other.st_mode) && names_meet(at->from, at->to);
}

/* Whether the name is a number between two others: ".out.1234.spotfield". */
static bool has_number(const char *name, const char *before, const char *after)
{
    size_t length = strlen(before);
    if (strncmp(name, before, length) != 0)
        return false;
    size_t digits = strspn(name + length, "0123456789-");
    return digits > 0 && strcmp(name + length + digits, after) == 0;
}

/* A file on its way that atomic_write could not finish: ".parts.csv.1234-0.new". */
static bool is_passing(const char *name, const char *result)
{
    char *before = text_format(".%s.", result);
    bool passing =
        before && (has_number(name, before, ".new") || has_number(name, before, ".new.old"));
    free(before);
    return passing;
}

static const char *const other_results[] = {"plan.csv",    "plan.png",       "worksheet.html",
                                            "compare.csv", "difference.png", "compare.html"};

/* A result of whatever command, or one on its way: it may go, since its like can be made again. */
static bool may_go(const char *name)
{
    bool may = false;
    for (const sf_output *output = sf_outputs(); output->name && !may; output++)
        may = strcmp(name, output->name) == 0 || is_passing(name, output->name);
    for (size_t i = 0; i < sizeof other_results / sizeof *other_results && !may; i++)
        may = strcmp(name, other_results[i]) == 0 || is_passing(name, other_results[i]);
    return may;
}

/* A folder that goes, beside the one that stays. */
typedef struct removal {
    pair folders;
    bool moves; /* what is in neither is moved over; otherwise it stays where it is */
    sf_diagnostics *diagnostics;
} removal;

/* Results go, and second names; never what somebody has put there meanwhile. */
static bool remove_name(void *context, const char *name)
{
    const removal *of = context;
    paths at;
    struct stat about;
    if (paths_make(&of->folders, name, &at)) {
        if (may_go(name) || is_twin(&at)) {
            if (unlink(at.from) != 0)
                tell_of_left(of->diagnostics, at.from, errno);
        } else if (of->moves && !name_look(at.to, &about) && errno == ENOENT) {
            (void)!name_change(at.from, at.to);
        }
    }
    paths_free(&at);
    return true;
}

static void remove_folder(removal of)
{
    for_each_name(of.folders.from, remove_name, &of);
    if (rmdir(of.folders.from) != 0)
        tell_of_left(of.diagnostics, of.folders.from, errno);
}

/* --- */

static bool exchange_by(const char *folder, const char *parent, const char *stage,
                        const file_block *blocks, size_t count, sf_diagnostics *diagnostics)
{
    struct stat about;
    if (!folder_is_own(folder, &about) || !folder_make(stage, 0700))
        return false;
    bool done = lay_out(folder, stage, &about, blocks, count) && exchange_names(stage, folder);
    if (done && folder_reach_disk(parent, false) != 0)
        done = !exchange_names(stage, folder);
    remove_folder((removal){{stage, folder}, done, diagnostics});
    return done;
}

bool folder_exchange(const char *folder, const file_block *blocks, size_t count,
                     sf_diagnostics *diagnostics)
{
    if (stand_inside(folder))
        return false;
    char *parent = path_above(folder), *name = path_name(folder);
    char *beside = name ? text_format(".%s.%ld" STAGE_ENDING, name, (long)getpid()) : NULL;
    char *stage = parent && beside ? path_join(parent, beside) : NULL;
    bool done = stage && name[0] && exchange_by(folder, parent, stage, blocks, count, diagnostics);
    free(stage);
    free(beside);
    free(name);
    free(parent);
    return done;
}

/* --- what killed runs have left --- */

typedef struct tidying {
    const char *folder, *parent, *name;
    sf_diagnostics *diagnostics;
} tidying;

static bool tidy_stage(void *context, const char *name)
{
    const tidying *of = context;
    char *before = text_format(".%s.", of->name), *stage = path_join(of->parent, name);
    struct stat about;
    if (before && stage && has_number(name, before, STAGE_ENDING) && name_look(stage, &about) &&
        S_ISDIR(about.st_mode))
        remove_folder((removal){{stage, of->folder}, false, of->diagnostics});
    free(stage);
    free(before);
    return true;
}

static bool tidy_file(void *context, const char *name)
{
    const tidying *of = context;
    char *path = name[0] == '.' && may_go(name) ? path_join(of->folder, name) : NULL;
    if (path)
        unlink(path);
    free(path);
    return true;
}

void staging_tidy(const char *folder, sf_diagnostics *diagnostics)
{
    char *parent = path_above(folder), *name = path_name(folder);
    tidying of = {folder, parent, name, diagnostics};
    if (parent && name && name[0]) {
        for_each_name(parent, tidy_stage, &of);
        for_each_name(folder, tidy_file, &of);
    }
    free(name);
    free(parent);
}
