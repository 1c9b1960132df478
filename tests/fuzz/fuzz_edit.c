/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The body of an edit as the page takes it: whatever it asks of the files, the step it makes can be
 * taken back and again, and brings every byte back. */
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "fuzz/expect.h"
#include "fuzz/target.h"
#include "page/edits.h"
#include "page/step.h"

/* Invented data: separator, line ends, quotation marks and comments differ. */
static const char *const files[][2] = {
    {"parts.csv", "# invented\nref,x_mm,y_mm,shelf\nC7,12.5,31,left\nC9,17.25,44.5,\"a, b\"\n"},
    {"board.csv", "key;value;unit\r\nwidth;61,5;mm\r\nambient;21,5;C"},
    {"readings.csv", "id\tx_mm\ty_mm\tvalue\n\n# second round\nT1\t4\t5\t36.1\n"},
};

enum { FILES = sizeof files / sizeof *files };

/* The folder is nowhere: the files of the batch are there already. */
static void fill_batch(batch *all)
{
    *all = (batch){.folder = "/nowhere"};
    for (size_t i = 0; i < FILES; i++) {
        touched *of = &all->files[job_file_find(files[i][0])];
        char *copy = strdup(files[i][1]);
        expect(copy && sheet_read(&of->now, copy, strlen(copy)) == SF_OK, "the files are sound");
        text_add(&of->before, files[i][1]);
        of->read = of->changed = true;
    }
}

static sf_status change(batch *all, const json_t *op)
{
    const char *name = json_string_value(json_object_get(op, "file"));
    size_t file = name ? job_file_find(name) : JOB_FILES;
    return file < JOB_FILES && all->files[file].read ? edit_sheet(&all->files[file].now, op)
                                                     : SF_ERROR_ARGUMENT;
}

static bool holds(const sheet *now, const char *bytes, size_t size)
{
    return now->size == size && memcmp(now->bytes, bytes, size) == 0;
}

/* There and back again, to the last byte. */
static void undo(batch *all)
{
    text made[FILES] = {0};
    size_t file = 0;
    json_t *step = step_make(all, "edit");
    expect(step && (step_is_empty(step) || step_is_sound(step)), "an edit makes a step");
    for (size_t i = 0; i < FILES; i++) {
        const sheet *now = &all->files[job_file_find(files[i][0])].now;
        text_add_bytes(&made[i], now->bytes, now->size);
    }
    expect(step_take(all, step, BACK, &file) == SF_OK, "what was changed can be undone");
    for (size_t i = 0; i < FILES; i++)
        expect(holds(&all->files[job_file_find(files[i][0])].now, files[i][1], strlen(files[i][1])),
               "undoing brings every byte back");
    expect(step_take(all, step, AGAIN, &file) == SF_OK, "what was undone can be done again");
    for (size_t i = 0; i < FILES; i++) {
        expect(holds(&all->files[job_file_find(files[i][0])].now, made[i].bytes, made[i].length),
               "doing it again brings every byte back");
        text_clear(&made[i]);
    }
    json_decref(step);
}

/* As the page does it: all changes or none; what fails is thrown away with the batch. */
static void apply(const json_t *ops)
{
    batch all;
    size_t index;
    json_t *op;
    sf_status status = SF_OK;
    fill_batch(&all);
    json_array_foreach(ops, index, op)
    {
        if (status == SF_OK)
            status = change(&all, op);
        expect(status == SF_OK || status == SF_ERROR_ARGUMENT || status == SF_ERROR_DATA,
               "an edit is made or refused");
    }
    if (status == SF_OK)
        undo(&all);
    batch_forget(&all);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    json_t *edit = json_loadb((const char *)bytes, size, JSON_REJECT_DUPLICATES, NULL);
    if (edit)
        apply(json_object_get(edit, "ops"));
    json_decref(edit);
    return 0;
}
