/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Several jobs in processes of their own, and what came of them. */
#include "cli/machine.h"

#include <math.h>
#include <stdlib.h>

#include "cli/crew.h"
#include "cli/exits.h"
#include "cli/machine_place.h"
#include "cli/machine_text.h"
#include "cli/message.h"
#include "cli/result_folder.h"
#include "cli/system.h"
#include "core/folders.h"

/* Jobs under way. */
typedef struct machine_run {
    const machine *of;
    const machine_place *place;
    board_row *rows; /* shared with the processes that fill them */
    int *worst;      /* the highest exit status */
} machine_run;

/* --- the work --- */

static int map_board(const void *context, size_t task)
{
    const machine_run *now = context;
    const machine *of = now->of;
    return of->map(of->context, of->folders[task], now->place->results[task], &now->rows[task]);
}

static void note_end(const machine_run *now, int status)
{
    *now->worst = status > *now->worst ? status : *now->worst;
}

static void board_ended(const void *context, size_t task, int end)
{
    const machine_run *now = context;
    note_end(now, end < 0 ? EX_SOFTWARE : end);
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
    colour_keep();
    sf_status status = crew_run(&boards);
    folders_clear(&above);
    return status;
}

/* --- what is told of all --- */

static sf_status join_kits(const machine_run *now, kit_join *kit)
{
    double spare_pct = 0;
    sf_status status = SF_OK;
    for (size_t i = 0; i < now->of->count && status == SF_OK; i++) {
        if (!now->rows[i].mapped)
            continue;
        spare_pct = fmax(spare_pct, now->rows[i].spare_pct);
        status = board_kit_join(now->place->results[i], now->place->names[i], kit);
    }
    return status == SF_OK ? kit_join_end(kit, spare_pct) : status;
}

/* Whether they are written. The earlier page stays where no board is mapped. */
static bool write_files(const machine_run *now, const machine_told *told)
{
    sf_diagnostics faults = {0};
    held_signals before;
    if (!now->place->folder || !now->rows[told->order[told->count - 1]].mapped)
        return false;
    for (size_t i = 0; i < now->of->count; i++)
        withhold_as_job(now->of->folders[i]); /* of all that they tell of, the strictest */
    signals_hold(&before);
    sf_status status = machine_files_write(told, now->place->folder, &faults);
    signals_release(&before);
    tell_outcome(now->of->of, status, &faults, NULL, now->of->no_table);
    note_end(now, exit_status(status));
    sf_diagnostics_clear(&faults);
    return status == SF_OK;
}

static sf_status put_text(const machine_run *now, const machine_told *told, bool written)
{
    const char *out = now->of->out;
    if (now->of->no_table)
        return SF_OK;
    if (!machine_text_write(told, written ? now->place->folder : NULL, stdout))
        return SF_ERROR_MEMORY;
    if (!now->place->folder)
        fputs("No page and no kit for all boards: they are in several folders. Name one with "
              "--out.\n",
              stdout);
    put_path(stdout, "Reports, each with what to look at first: ", out ? out : "JOB/out",
             out ? "JOB/report.html" : "report.html");
    putc('\n', stdout);
    put_caution(stdout);
    return SF_OK;
}

static int tell_all(const machine_run *now)
{
    const machine *of = now->of;
    kit_join kit = {0};
    size_t *order = board_rows_order(now->rows, of->count);
    sf_status status = order ? join_kits(now, &kit) : SF_ERROR_MEMORY;
    const machine_told told = {.jobs = of->folders,
                               .names = (const char *const *)now->place->names,
                               .links = (const char *const *)now->place->links,
                               .rows = now->rows,
                               .order = order,
                               .count = of->count,
                               .kit = &kit.kit};
    if (status == SF_OK) {
        bool written = write_files(now, &told);
        status = put_text(now, &told, written);
    }
    if (status != SF_OK)
        tell_outcome(of->of, status, &(sf_diagnostics){0}, NULL, false);
    note_end(now, exit_status(status));
    kit_join_clear(&kit);
    free(order);
    return *now->worst;
}

static int map_and_tell(machine_run *now)
{
    now->rows = crew_memory(now->of->count, sizeof *now->rows);
    if (!now->rows)
        return memory_short(now->of->of);
    int status = map_all(now) == SF_OK ? tell_all(now) : memory_short(now->of->of);
    crew_memory_free(now->rows, now->of->count, sizeof *now->rows);
    return status;
}

int machine_map(const machine *of)
{
    int worst = EX_OK;
    machine_place place = {0};
    machine_run now = {.of = of, .place = &place, .worst = &worst};
    int status = machine_place_find(of, &place);
    if (status == EX_OK)
        status = map_and_tell(&now);
    machine_place_clear(&place, of->count);
    return status;
}
