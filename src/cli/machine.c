/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Several jobs in processes of their own, and what came of them. */
#define _DEFAULT_SOURCE /* MAP_ANONYMOUS */
#include "cli/machine.h"

#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sysexits.h>

#include "cli/crew.h"
#include "cli/message.h"
#include "core/folders.h"
#include "core/memory.h"
#include "core/path.h"

/* Jobs under way. */
typedef struct machine_run {
    const machine *of;
    machine_row *rows; /* shared with the processes that fill them */
    char **outs;       /* folders of the results, where they were asked for */
    int *worst;        /* the highest exit status */
} machine_run;

/* --- what is asked --- */

/* The last name of a path, in new text; NULL where memory is short. */
static char *last_name(const char *path)
{
    char *name = text_copy(path);
    if (!name)
        return NULL;
    size_t length = strlen(name);
    while (length > 0 && name[length - 1] == '/')
        name[--length] = '\0';
    const char *slash = strrchr(name, '/');
    if (slash)
        memmove(name, slash + 1, strlen(slash));
    return name;
}

static int memory_short(const machine *of)
{
    tell_outcome(of->of, SF_ERROR_MEMORY, &(sf_diagnostics){0}, NULL, false);
    return exit_status(SF_ERROR_MEMORY);
}

/* Two processes would write the same files. */
static int refuse_twice(const machine *of)
{
    struct stat *found = array_new(of->count, sizeof *found);
    int status = EX_OK;
    if (!found)
        return memory_short(of);
    for (size_t i = 0; status == EX_OK && i < of->count; i++) {
        if (stat(of->folders[i], &found[i]) != 0)
            found[i] = (struct stat){0};
        for (size_t k = 0; k < i && found[i].st_ino != 0 && status == EX_OK; k++)
            if (found[k].st_ino == found[i].st_ino && found[k].st_dev == found[i].st_dev) {
                tell_usage(of->of, "%s is given twice", of->folders[i]);
                status = EX_USAGE;
            }
    }
    free(found);
    return status;
}

/* DIR/NAME of each job, no two of them alike. */
static int name_out(const machine_run *now, size_t index)
{
    const machine *of = now->of;
    const char *job = of->folders[index];
    char *name = last_name(job);
    if (!name)
        return memory_short(of);
    if (!name[0] || strcmp(name, ".") == 0 || strcmp(name, "..") == 0) {
        tell_usage(of->of, "--out: %s has no name for its folder of results", job);
        free(name);
        return EX_USAGE;
    }
    now->outs[index] = path_join(of->out, name);
    free(name);
    if (!now->outs[index])
        return memory_short(of);
    for (size_t i = 0; i < index; i++)
        if (strcmp(now->outs[i], now->outs[index]) == 0) {
            tell_usage(of->of, "--out: the results of %s and %s would both go to %s",
                       of->folders[i], job, now->outs[index]);
            return EX_USAGE;
        }
    return EX_OK;
}

static int name_outs(machine_run *now)
{
    const machine *of = now->of;
    int status = EX_OK;
    if (!of->out)
        return EX_OK;
    if (!of->out[0]) {
        tell_usage(of->of, "--out needs the name of a folder");
        return EX_USAGE;
    }
    now->outs = array_new(of->count, sizeof *now->outs);
    if (!now->outs)
        return memory_short(of);
    for (size_t i = 0; status == EX_OK && i < of->count; i++)
        status = name_out(now, i);
    return status;
}

/* --- the work --- */

static int map_board(const void *context, size_t task)
{
    const machine_run *now = context;
    const machine *of = now->of;
    return of->map(of->context, of->folders[task], now->outs ? now->outs[task] : NULL,
                   &now->rows[task]);
}

static void board_ended(const void *context, size_t task, int end)
{
    const machine_run *now = context;
    int status = end < 0 ? EX_SOFTWARE : end;
    *now->worst = status > *now->worst ? status : *now->worst;
    if (end == EX_OK)
        return;
    now->rows[task].mapped = false; /* it may have been lost when it was to be written */
    fprintf(stderr, "spotfield %s: ", now->of->of->name);
    put_words(stderr, now->of->folders[task]);
    if (end < 0)
        fprintf(stderr, ": ended by signal %d", -end);
    fputs(": not mapped\n", stderr);
}

/* The folder above those of the results is made here, as no process may take it from another. */
static sf_status map_all(const machine_run *now)
{
    const crew boards = {now->of->count, "mapping", now, map_board, board_ended};
    folders above = {0};
    if (now->of->out)
        folders_make(&above, now->of->out); /* what stands against it each board tells */
    sf_status status = crew_run(&boards);
    folders_clear(&above);
    return status;
}

static void put_reports(const machine *of)
{
    fputs("Reports: ", stdout);
    put_words(stdout, of->out ? of->out : "JOB/out/report.html");
    fputs(of->out ? ", in the folder of each job's name\n\n" : "\n\n", stdout);
}

static int map_and_tell(machine_run *now)
{
    const machine *of = now->of;
    size_t bytes = of->count * sizeof *now->rows;
    now->rows = mmap(NULL, bytes, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (now->rows == MAP_FAILED)
        return memory_short(of);
    bool done = map_all(now) == SF_OK;
    if (done && !of->no_table) {
        done = machine_text_write(now->rows, of->folders, of->count, stdout);
        put_reports(of);
        put_caution(stdout);
    }
    munmap(now->rows, bytes);
    return done ? *now->worst : memory_short(of);
}

int machine_map(const machine *of)
{
    int worst = EX_OK;
    machine_run now = {.of = of, .worst = &worst};
    int status = refuse_twice(of);
    if (status == EX_OK)
        status = name_outs(&now);
    if (status == EX_OK)
        status = map_and_tell(&now);
    for (size_t i = 0; now.outs && i < of->count; i++)
        free(now.outs[i]);
    free(now.outs);
    return status;
}
