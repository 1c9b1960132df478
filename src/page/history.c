/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A list of steps with a mark in it, from and to its file. */
#include "page/history.h"

#include <stdlib.h>

#include "core/json_values.h"
#include "page/folder_file.h"

/* 500 steps and 1 MiB, each byte as at most six characters, and room for what is about them. */
enum { FILE_BYTES_MOST = 8 << 20 };

void history_clear(history *ended)
{
    json_decref(ended->steps);
    free(ended->note);
    *ended = (history){0};
}

void history_note(history *of, char *words)
{
    if (!words)
        return;
    free(of->note);
    of->note = words;
}

/* --- from its file --- */

static bool steps_are_sound(const json_t *steps)
{
    json_t *step;
    size_t index;
    bool sound = json_is_array(steps) && json_array_size(steps) <= HISTORY_STEPS_MOST;
    json_array_foreach(steps, index, step)
    {
        sound = sound && step_is_sound(step);
    }
    return sound;
}

static bool take_file(const json_t *whole, history *into)
{
    json_t *steps = json_object_get(whole, "steps"), *done = json_object_get(whole, "done");
    json_int_t version = json_integer_value(json_object_get(whole, "spotfield_history"));
    if (version != HISTORY_VERSION || !steps_are_sound(steps) || !json_is_integer(done) ||
        json_integer_value(done) < 0 ||
        json_integer_value(done) > (json_int_t)json_array_size(steps))
        return false;
    json_decref(into->steps);
    into->steps = json_incref(steps);
    into->done = (size_t)json_integer_value(done);
    return true;
}

/* *taken: the folder's file is a history, or not there. */
static sf_status read_file(const char *folder, history *into, bool *taken)
{
    text bytes = {0};
    json_error_t error = {0};
    json_t *whole = NULL;
    bool absent = false;
    sf_status status = folder_file_read(folder, HISTORY_NAME, FILE_BYTES_MOST, &bytes, &absent);
    if (status == SF_OK && bytes.length > 0)
        whole = json_loadb(bytes.bytes, bytes.length, JSON_REJECT_DUPLICATES, &error);
    if (bytes.length > 0 && !whole && json_error_code(&error) == json_error_out_of_memory)
        status = SF_ERROR_MEMORY;
    *taken = absent || (whole && take_file(whole, into));
    json_decref(whole);
    text_clear(&bytes);
    return status == SF_ERROR_MEMORY ? status : SF_OK;
}

sf_status history_open(const char *folder, history *opened)
{
    *opened = (history){.steps = json_array()};
    sf_status status =
        opened->steps ? read_file(folder, opened, &opened->outlives) : SF_ERROR_MEMORY;
    if (status != SF_OK)
        history_clear(opened);
    else if (!opened->outlives)
        history_note(
            opened,
            text_format("%s in the folder of the job is not a history that this page can read, and "
                        "is left as it is. Undo starts empty and ends with this run of the page; "
                        "remove that file, and undo will outlast the page again.",
                        HISTORY_NAME));
    return status;
}

/* --- what still fits --- */

/* How the steps fit the files with the mark at one place. */
typedef struct fitting {
    size_t mark, count; /* of the steps that can be taken */
    bool kept[HISTORY_STEPS_MOST];
    bool unknown; /* memory was short */
} fitting;

static void fit_one(const history *of, size_t step, direction way, contents *now, fitting *into)
{
    into->kept[step] = step_fits(json_array_get(of->steps, step), way, now);
    into->count += into->kept[step];
    into->unknown = into->unknown || now->unknown;
}

/* Back from the mark one after another, and again from it. */
static fitting fit_at(const history *of, const char *folder, size_t mark)
{
    fitting made = {.mark = mark};
    contents now = {.folder = folder};
    for (size_t i = mark; i-- > 0;)
        fit_one(of, i, BACK, &now, &made);
    now = (contents){.folder = folder};
    for (size_t i = mark; i < json_array_size(of->steps); i++)
        fit_one(of, i, AGAIN, &now, &made);
    return made;
}

/* A page that is killed between two files leaves the mark a step beside where the files are. */
static fitting find_best(const history *of, const char *folder)
{
    size_t size = json_array_size(of->steps);
    fitting best = fit_at(of, folder, of->done);
    for (size_t mark = of->done > 0 ? of->done - 1 : 0;
         best.count < size && mark <= size && mark <= of->done + 1; mark++) {
        fitting other = fit_at(of, folder, mark);
        other.unknown = other.unknown || best.unknown;
        if (other.count > best.count || other.unknown)
            best = other;
    }
    return best;
}

sf_status history_fit(history *of, const char *folder, size_t *dropped)
{
    fitting best = find_best(of, folder);
    *dropped = 0;
    if (best.unknown)
        return SF_ERROR_MEMORY;
    of->done = best.mark;
    for (size_t i = json_array_size(of->steps); i-- > 0;) {
        if (best.kept[i])
            continue;
        json_array_remove(of->steps, i);
        of->done -= i < best.mark;
        *dropped += 1;
    }
    if (*dropped > 0)
        history_note(of, text_format("The files of the job are no longer as this page left them: "
                                     "%zu earlier %s no longer %s, and cannot be undone or redone.",
                                     *dropped, *dropped == 1 ? "change" : "changes",
                                     *dropped == 1 ? "fits" : "fit"));
    return SF_OK;
}

const json_t *history_next(const history *of, direction way)
{
    if (way == AGAIN)
        return json_array_get(of->steps, of->done);
    return of->done > 0 ? json_array_get(of->steps, of->done - 1) : NULL;
}

/* --- what it would be --- */

static void forget_oldest(history *of)
{
    size_t bytes = 0, index;
    json_t *step;
    json_array_foreach(of->steps, index, step)
    {
        bytes += step_size(step);
    }
    while (json_array_size(of->steps) > HISTORY_STEPS_MOST || bytes > HISTORY_BYTES_MOST) {
        bytes -= step_size(json_array_get(of->steps, 0));
        json_array_remove(of->steps, 0);
        of->done--;
    }
}

sf_status history_with(const history *of, json_t *step, history *after)
{
    *after = (history){.steps = json_array(), .outlives = of->outlives};
    bool made = after->steps != NULL;
    for (size_t i = 0; made && i < of->done; i++)
        made = json_array_append(after->steps, json_array_get(of->steps, i)) == 0;
    if (!made || json_array_append(after->steps, step) != 0) {
        history_clear(after);
        return SF_ERROR_MEMORY;
    }
    after->done = of->done + 1;
    forget_oldest(after);
    return SF_OK;
}

sf_status history_moved(const history *of, direction way, history *after)
{
    *after = (history){.steps = json_copy(of->steps), .outlives = of->outlives};
    after->done = way == BACK ? of->done - 1 : of->done + 1;
    return after->steps ? SF_OK : SF_ERROR_MEMORY;
}

void history_replace(history *of, history *after)
{
    if (!after->note) {
        after->note = of->note;
        of->note = NULL;
    }
    history_clear(of);
    *of = *after;
}

char *history_text(const history *of)
{
    json_t *whole = json_pack("{s:i, s:I, s:O}", "spotfield_history", HISTORY_VERSION, "done",
                              (json_int_t)of->done, "steps", of->steps);
    char *words = json_text(whole, 9);
    json_decref(whole);
    return words;
}
