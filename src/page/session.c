/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Keeps a job open: edits with their undoing, and the field and verdicts of the files as they are.
 */
#include "page/session.h"

#include <stdlib.h>
#include <string.h>

#include "core/json_values.h"
#include "core/memory.h"
#include "job/files.h"
#include "page/edits.h"
#include "page/folder_file.h"
#include "page/job_files.h"
#include "page/photo.h"

session *session_new(const char *folder, const char *results)
{
    session *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    pthread_mutex_init(&made->writing, NULL);
    pthread_mutex_init(&made->locking, NULL);
    made->lock.descriptor = -1;
    made->folder = text_copy(folder);
    made->results = text_copy(results);
    if (made->folder)
        leftovers_clear(folder);
    if (made->folder && made->results && history_open(folder, &made->history) == SF_OK)
        made->planner = planner_new(folder);
    if (made->planner)
        return made;
    session_free(made);
    return NULL;
}

static void live_clear(live *ended)
{
    sf_outcome_free(ended->outcome);
    sf_job_free(ended->job);
    sf_diagnostics_clear(&ended->diagnostics);
    *ended = (live){0};
}

void session_free(session *ended)
{
    if (!ended)
        return;
    planner_free(ended->planner);
    live_clear(&ended->live);
    history_clear(&ended->history);
    job_lock_release(&ended->lock);
    pthread_mutex_destroy(&ended->locking);
    pthread_mutex_destroy(&ended->writing);
    free(ended->folder);
    free(ended->results);
    free(ended);
}

/* --- one page for a job --- */

sf_status session_lock(session *of, sf_diagnostics *diagnostics)
{
    return job_lock_take(of->folder, &of->lock, diagnostics);
}

void session_sign(session *of, const char *host)
{
    snprintf(of->host, sizeof of->host, "%s", host);
    job_lock_sign(&of->lock, host);
}

/* A page that has not got the lock, since there was no folder, takes it with the folder. */
static sf_status lock_late(session *of, sf_diagnostics *diagnostics)
{
    sf_status status = SF_OK;
    pthread_mutex_lock(&of->locking);
    if (of->host[0] && of->lock.descriptor < 0) {
        status = session_lock(of, diagnostics);
        job_lock_sign(&of->lock, of->host);
    }
    pthread_mutex_unlock(&of->locking);
    return status;
}

/* What writes is let in alone, and only into a job that no other page has. */
static sf_status begin_writing(session *of, sf_diagnostics *diagnostics)
{
    pthread_mutex_lock(&of->writing);
    if (of->is_shut) {
        pthread_mutex_unlock(&of->writing);
        sf_diagnose(diagnostics, SF_ERROR, "", 0, "", "the page is ending", "");
        return SF_ERROR_WRITE;
    }
    sf_status status = lock_late(of, diagnostics);
    if (status != SF_OK)
        pthread_mutex_unlock(&of->writing);
    return status;
}

static void end_writing(session *of)
{
    sf_diagnostics dropped = {0};
    lock_late(of, &dropped);
    sf_diagnostics_clear(&dropped);
    pthread_mutex_unlock(&of->writing);
}

bool session_rests(session *of, const struct timespec *until)
{
    return planner_rests(of->planner, until);
}

void session_leave(session *of)
{
    pthread_mutex_lock(&of->writing);
    of->is_shut = true;
    pthread_mutex_unlock(&of->writing);
    job_lock_release(&of->lock);
}

/* --- what the files come to --- */

/* The marks of the photo are told of beside the job: no verdict waits for them. False when memory
 * is short. */
static bool hear_of_marks(const char *folder, sf_diagnostics *diagnostics)
{
    photo_marks read;
    sf_status status = photo_marks_read(folder, &read, diagnostics);
    photo_marks_clear(&read);
    return status != SF_ERROR_MEMORY;
}

static void make_live(const session *of, live *into)
{
    sf_map_options options = sf_map_options_default();
    options.no_reference = true;
    into->status = job_read_settled(of->folder, sf_job_read_to_plan, &into->job, &into->stamp,
                                    &into->diagnostics);
    if (into->status == SF_OK &&
        (into->job->reading_count > 0 || into->job->thermogram.columns > 0))
        into->status = sf_map_job(into->job, &options, &into->outcome, &into->diagnostics);
    if (into->status != SF_ERROR_MEMORY && !hear_of_marks(of->folder, &into->diagnostics))
        into->status = SF_ERROR_MEMORY;
    into->made = into->status != SF_ERROR_MEMORY; /* else it is tried anew */
}

const live *session_live(session *of)
{
    uint64_t now = job_files_stamp(of->folder);
    if (of->live.made && of->live.stamp == now)
        return &of->live;
    live_clear(&of->live);
    make_live(of, &of->live);
    return &of->live;
}

void session_plan(session *of)
{
    uint64_t now = job_files_stamp(of->folder);
    if (of->planned && of->planned_stamp == now)
        return;
    of->planned = true;
    of->planned_stamp = now;
    planner_ask(of->planner, now);
}

/* --- edits --- */

sf_status session_edit(session *of, const json_t *edit, json_t **conflict,
                       sf_diagnostics *diagnostics)
{
    const char *label = json_string_value(json_object_get(edit, "label"));
    size_t dropped = 0;
    *conflict = NULL;
    sf_status status = begin_writing(of, diagnostics);
    if (status != SF_OK)
        return status;
    status = history_fit(&of->history, of->folder, &dropped);
    if (status == SF_OK)
        status = edits_apply(of->folder, json_object_get(edit, "ops"), label ? label : "change",
                             &of->history, conflict, diagnostics);
    end_writing(of);
    return status;
}

sf_status session_step(session *of, direction way, json_t **conflict, sf_diagnostics *diagnostics)
{
    *conflict = NULL;
    sf_status status = begin_writing(of, diagnostics);
    if (status != SF_OK)
        return status;
    status = edits_step(of->folder, way, &of->history, conflict, diagnostics);
    end_writing(of);
    return status;
}

sf_status session_photo(session *of, const text *bytes, sf_diagnostics *diagnostics)
{
    photo_kind kind = PHOTO_NONE;
    sf_status status = photo_check(bytes->bytes, bytes->length, &kind, diagnostics);
    if (status == SF_OK && of->leaving)
        status = SF_ERROR_DATA;
    if (status == SF_OK)
        status = begin_writing(of, diagnostics);
    if (status != SF_OK)
        return status;
    status = photo_keep(of->folder, bytes->bytes, bytes->length, kind, diagnostics);
    end_writing(of);
    return status;
}

sf_status session_export(session *of, sf_diagnostics *diagnostics)
{
    sf_map_options options = sf_map_options_default();
    sf_picture_options picture = sf_picture_options_default();
    uint64_t stamp = 0;
    sf_job *job = NULL;
    sf_outcome *outcome = NULL;
    sf_pictures pictures = {0};
    sf_status status = job_read_settled(of->folder, sf_job_read, &job, &stamp, diagnostics);
    if (status == SF_OK)
        status = sf_map_job(job, &options, &outcome, diagnostics);
    if (status == SF_OK)
        status = sf_outcome_draw(outcome, &picture, &pictures, diagnostics);
    if (status == SF_OK)
        status = begin_writing(of, diagnostics);
    if (status == SF_OK) {
        status = sf_outcome_write(outcome, &pictures, of->results, diagnostics);
        end_writing(of);
    }
    sf_pictures_clear(&pictures);
    sf_outcome_free(outcome);
    sf_job_free(job);
    return status;
}

/* --- results: made and written, and read back --- */

/* No result is larger: field.csv of the finest grid has some 50 MB. */
enum { RESULT_BYTES_MOST = 256 << 20 };

const char result_policy[] = "default-src 'none'; script-src 'unsafe-inline'; "
                             "style-src 'unsafe-inline'; img-src data:; connect-src 'none'; "
                             "base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

json_t *results_names(void)
{
    json_t *made = json_array();
    for (const sf_output *output = sf_outputs(); output->name; output++)
        made = list_append(made, json_pack("{s:s, s:s}", "name", output->name, "description",
                                           output->description));
    return made;
}

static const char *type_of(const char *name)
{
    static const char *const types[][2] = {{".csv", "text/csv; charset=utf-8"},
                                           {".png", "image/png"},
                                           {".html", "text/html; charset=utf-8"}};
    const char *ending = strrchr(name, '.');
    for (size_t i = 0; ending && i < sizeof types / sizeof *types; i++)
        if (strcmp(types[i][0], ending) == 0)
            return types[i][1];
    return "application/octet-stream";
}

static bool is_result(const char *name)
{
    for (const sf_output *output = sf_outputs(); output->name; output++)
        if (strcmp(output->name, name) == 0)
            return true;
    return false;
}

sf_status result_read(const char *results, bool own, const char *name, text *into,
                      const char **type)
{
    if (!is_result(name))
        return SF_ERROR_MISSING;
    *type = type_of(name);
    return own_file_read(results, own, name, RESULT_BYTES_MOST, into);
}
