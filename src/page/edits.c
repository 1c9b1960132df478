/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Changes the files of a job in memory, and writes them together with the history. */
#include "page/edits.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>

#include "core/diagnose.h"
#include "core/memory.h"
#include "job/files.h"

/* One call: what it changes, and what it meets with. */
typedef struct work {
    batch files;
    const json_t *ops; /* NULL: the next step of the history is taken */
    direction way;
    const char *label;
    history *kept;
    json_t *conflict;
    bool refused; /* for what it asks, which is complained of */
} work;

static sf_status tell_conflict(work *at, const char *file, json_t *row, const char *why)
{
    json_decref(at->conflict);
    at->conflict = json_pack("{s:s, s:O*, s:s}", "file", file, "row", row, "why", why);
    return at->conflict ? SF_ERROR_DATA : SF_ERROR_MEMORY;
}

/* --- in memory --- */

bool op_says(const json_t *op, const char *member, const char *words)
{
    const char *says = json_string_value(json_object_get(op, member));
    return says && strcmp(says, words) == 0;
}

static sf_status change_file(work *at, const json_t *op)
{
    const char *name = json_string_value(json_object_get(op, "file"));
    json_t *row = json_object_get(op, "row");
    size_t file = name ? job_file_find(name) : JOB_FILES;
    if (file == JOB_FILES)
        return SF_ERROR_ARGUMENT;
    sf_status status = batch_touch(&at->files, file);
    if (status == SF_ERROR_DATA || status == SF_ERROR_MISSING)
        return tell_conflict(at, name, row, "it is not a table of this job, and is left as it is");
    if (status != SF_OK)
        return status;
    if (op_says(op, "op", "check"))
        return SF_OK;
    /* a file with its header alone may say something: of no-touch areas, that there are none */
    if (!op_says(op, "op", "begin"))
        status = edit_sheet(&at->files.files[file].now, op);
    if (status == SF_ERROR_DATA)
        return tell_conflict(at, name, row, "another program has changed the row");
    at->files.files[file].changed = true;
    return status;
}

static sf_status take_ops(work *at)
{
    size_t index;
    json_t *op;
    sf_status status = json_is_array(at->ops) ? SF_OK : SF_ERROR_ARGUMENT;
    json_array_foreach(at->ops, index, op)
    {
        if (status == SF_OK)
            status = change_file(at, op);
    }
    return status == SF_OK ? batch_add_needed(&at->files) : status;
}

static sf_status take_step(work *at)
{
    const json_t *step = history_next(at->kept, at->way);
    size_t file = 0;
    sf_status status = step ? step_take(&at->files, step, at->way, &file) : SF_ERROR_ARGUMENT;
    if (status == SF_ERROR_DATA)
        return tell_conflict(at, job_files[file].name, NULL,
                             "another program has changed the file");
    return status;
}

/* --- on the disk --- */

/* Where the history cannot be written the job goes on without it. */
static sf_status write_all(const work *at, history *after, sf_diagnostics *diagnostics)
{
    if (!after->outlives)
        return batch_write(&at->files, NULL, diagnostics);
    char *words = history_text(after);
    if (!words)
        return SF_ERROR_MEMORY;
    file_block block = {HISTORY_NAME, words, strlen(words)};
    sf_diagnostics dropped = {0};
    sf_status status = batch_write(&at->files, &block, &dropped);
    free(words);
    sf_diagnostics_clear(&dropped);
    if (status != SF_ERROR_WRITE)
        return status;
    status = batch_write(&at->files, NULL, diagnostics);
    if (status == SF_OK) {
        after->outlives = false;
        history_note(after, text_format("%s in the folder of the job cannot be written: undo ends "
                                        "with this run of the page.",
                                        HISTORY_NAME));
    }
    return status;
}

/* Writes the files with the history as it will be, which then is the history. */
static sf_status move_on(work *at, json_t *step, sf_diagnostics *diagnostics)
{
    history after;
    sf_status status =
        step ? history_with(at->kept, step, &after) : history_moved(at->kept, at->way, &after);
    if (status != SF_OK)
        return status;
    status = write_all(at, &after, diagnostics);
    if (status == SF_OK)
        history_replace(at->kept, &after);
    else
        history_clear(&after);
    return status;
}

static sf_status keep(work *at, sf_diagnostics *diagnostics)
{
    if (!at->ops)
        return move_on(at, NULL, diagnostics);
    json_t *step = step_make(&at->files, at->label);
    sf_status status = SF_ERROR_MEMORY;
    if (step && step_is_empty(step))
        status = batch_write(&at->files, NULL, diagnostics);
    else if (step)
        status = move_on(at, step, diagnostics);
    json_decref(step);
    return status;
}

/* The first that was there already: new ones are in nobody's way. */
static const char *first_changed(const batch *all)
{
    size_t file = 0;
    while (file + 1 < JOB_FILES && (!all->files[file].changed || all->files[file].absent))
        file++;
    return job_files[file].name;
}

/* --- readings by contact: those that a batch leads to against those that are there --- */

/* What makes a reading: where one of these is another, the reading is. */
static const char *const cells[] = {"id", "x_mm", "y_mm", "value", "unit", "method", "note"};

enum { CELLS = sizeof cells / sizeof *cells };

/* Whether a reading stood in the file already, as another program may have left it. */
static bool stood_before(const sheet *before, const sheet *now, size_t row)
{
    for (size_t known = 1; known < before->row_count; known++) {
        size_t same = 0;
        while (same < CELLS && strcmp(sheet_text_of(now, row, cells[same]),
                                      sheet_text_of(before, known, cells[same])) == 0)
            same++;
        if (same == CELLS)
            return true;
    }
    return false;
}

/* A note that begins so, with words after it, says why contact was safe there. */
#define CONTACT_REASON "no-touch:"

static bool says_why(const char *note)
{
    size_t length = strlen(CONTACT_REASON);
    return strncasecmp(note, CONTACT_REASON, length) == 0 &&
           note[length + strspn(note + length, " \t\n\v\f\r")] != '\0';
}

static sf_status diagnose_of(const char *id, const sf_ring *area, sf_diagnostics *diagnostics)
{
    char *where_lies =
        area ? text_format("no-touch area %d (%s)", area->number,
                           area->reason[0] ? area->reason : "no reason given")
             : text_copy("an area that cannot be judged while keepout.csv has errors");
    char *what = where_lies ? text_format("contact reading %s is in %s, where voltage can kill", id,
                                          where_lies)
                            : NULL;
    free(where_lies);
    sf_status status =
        diagnose_taking(diagnostics, SF_ERROR, "readings.csv", 0, "method", what,
                        "infrared, from outside the area, or a note \"" CONTACT_REASON
                        " ...\" that says why contact is safe there");
    return status == SF_OK ? SF_ERROR_DATA : status;
}

static sf_status read_before(const touched *of, sheet *before)
{
    text copy = {0};
    text_add_bytes(&copy, of->before.bytes, of->before.length);
    char *bytes = text_take(&copy);
    return bytes ? sheet_read(before, bytes, of->before.length) : SF_ERROR_MEMORY;
}

/* By contact is what is not by infrared. Where the areas are not known every place is in one; of a
 * place that cannot be read the job will complain. */
static sf_status check_readings(struct intake *intake, const sheet *before, sheet *now,
                                sf_diagnostics *diagnostics)
{
    sf_job *job = intake->job;
    keepout_file_read(intake);
    bool unknown = intake->file_missing || intake->diagnostics->error_count > 0;
    job->readings = rows_of_table(intake, &reading_kind, &now->table);
    job->reading_count = job->readings ? now->table.row_count : 0;
    sf_status status = intake->memory_short ? SF_ERROR_MEMORY : SF_OK;
    for (size_t i = 0; i < job->reading_count && status != SF_ERROR_MEMORY; i++) {
        const sf_reading *reading = &job->readings[i];
        const sf_ring *area = unknown ? NULL : no_touch_area(job, reading);
        bool touches = reading->method != SF_METHOD_INFRARED && (area || unknown);
        if (touches && !says_why(reading->note) && !stood_before(before, now, i + 1))
            status = diagnose_of(reading->id, area, diagnostics);
    }
    return status;
}

static sf_status check_beside(const char *folder, const sheet *before, sheet *now,
                              sf_diagnostics *diagnostics)
{
    sf_diagnostics dropped = {0}; /* the job tells them */
    struct intake intake = {.job = array_new(1, sizeof *intake.job), .diagnostics = &dropped};
    if (!intake.job)
        return SF_ERROR_MEMORY;
    intake.job->folder = keep_text(&intake, folder);
    intake.job->board.width_mm = intake.job->board.height_mm = NAN; /* not asked for here */
    sf_status status =
        intake_open(&intake) ? check_readings(&intake, before, now, diagnostics) : SF_ERROR_MEMORY;
    intake_close(&intake);
    sf_job_free(intake.job);
    sf_diagnostics_clear(&dropped);
    return status;
}

/* Tells of each reading that a batch is to add or change, by contact in a no-touch area, whose
 * note does not say why (see CONTACT_REASON). SF_ERROR_DATA where there is one, SF_ERROR_MEMORY. */
static sf_status no_touch_check(batch *all, sf_diagnostics *diagnostics)
{
    touched *of = &all->files[job_file_find("readings.csv")];
    sheet before = {0};
    if (!of->changed || of->now.table.row_count == 0)
        return SF_OK;
    sf_status status = read_before(of, &before);
    if (status == SF_OK)
        status = check_beside(all->folder, &before, &of->now, diagnostics);
    sheet_clear(&before);
    return status;
}

static sf_status try_once(work *at, sf_diagnostics *diagnostics)
{
    batch_forget(&at->files);
    sf_status status = at->ops ? take_ops(at) : take_step(at);
    if (status == SF_OK && at->ops) {
        status = cells_check(&at->files, at->ops, diagnostics);
        if (status == SF_OK)
            status = no_touch_check(&at->files, diagnostics);
        at->refused = status == SF_ERROR_DATA;
    }
    return status == SF_OK ? keep(at, diagnostics) : status;
}

static bool is_overtaken(const work *at, sf_status status)
{
    return status == SF_ERROR_DATA && !at->conflict && !at->refused;
}

/* Another program may write between our reading and our writing: then all is done anew. One that
 * never rests is told of. */
static sf_status run(work *at, json_t **conflict, sf_diagnostics *diagnostics)
{
    enum { TRIES = 100 };
    const struct timespec pause = {.tv_nsec = 5000000};
    sf_status status = try_once(at, diagnostics);
    for (int again = 1; is_overtaken(at, status) && again < TRIES; again++) {
        nanosleep(&pause, NULL);
        status = try_once(at, diagnostics);
    }
    if (is_overtaken(at, status))
        status = tell_conflict(at, first_changed(&at->files), NULL,
                               "another program keeps changing the file");
    batch_forget(&at->files);
    *conflict = at->conflict;
    return status;
}

sf_status edits_apply(const char *folder, const json_t *ops, const char *label, history *kept,
                      json_t **conflict, sf_diagnostics *diagnostics)
{
    work at = {.files = {.folder = folder}, .ops = ops, .label = label, .kept = kept};
    *conflict = NULL;
    return ops ? run(&at, conflict, diagnostics) : SF_ERROR_ARGUMENT;
}

sf_status edits_step(const char *folder, direction way, history *kept, json_t **conflict,
                     sf_diagnostics *diagnostics)
{
    work at = {.files = {.folder = folder}, .way = way, .kept = kept};
    return run(&at, conflict, diagnostics);
}
