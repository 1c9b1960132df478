/* Keeps a job open: edits with their undoing, and the field and verdicts of the files as they are.
 */
#include "page/session.h"

#include <stdlib.h>

#include "core/memory.h"
#include "page/edits.h"
#include "page/job_files.h"
#include "page/leftovers.h"

enum { UNDO_MOST = 500 };

session *session_new(const char *folder, const char *results)
{
    session *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    made->folder = text_copy(folder);
    made->results = text_copy(results);
    made->undo = json_array();
    made->redo = json_array();
    made->planner = made->folder ? planner_new(folder) : NULL;
    if (made->folder)
        leftovers_clear(folder);
    if (made->results && made->undo && made->redo && made->planner)
        return made;
    session_free(made);
    return NULL;
}

static void live_clear(live *ended)
{
    sf_outcome_free(ended->outcome);
    sf_job_free(ended->job);
    sf_complaints_clear(&ended->complaints);
    *ended = (live){0};
}

void session_free(session *ended)
{
    if (!ended)
        return;
    planner_free(ended->planner);
    live_clear(&ended->live);
    json_decref(ended->undo);
    json_decref(ended->redo);
    free(ended->folder);
    free(ended->results);
    free(ended);
}

/* --- what the files come to --- */

static void make_live(const session *of, live *into)
{
    sf_map_options options = sf_map_options_default();
    options.no_pictures = options.no_yardstick = true;
    into->made = true;
    into->stamp = job_files_stamp(of->folder);
    into->status = sf_job_read_to_plan(of->folder, &into->job, &into->complaints);
    if (into->status == SF_OK && into->job->reading_count > 0)
        into->status = sf_map_job(into->job, &options, &into->outcome, &into->complaints);
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
    const live *now = session_live(of);
    if (!now->job || (of->planned && of->planned_stamp == now->stamp))
        return;
    of->planned = true;
    of->planned_stamp = now->stamp;
    planner_ask(of->planner, now->stamp);
}

/* --- edits --- */

/* Puts an edit on a stack, and forgets the oldest of too many. */
static sf_status push(json_t *stack, const char *label, json_t *ops)
{
    json_t *entry = json_pack("{s:s, s:O}", "label", label, "ops", ops);
    if (!entry || json_array_append_new(stack, entry) != 0)
        return SF_ERROR_MEMORY;
    if (json_array_size(stack) > UNDO_MOST)
        json_array_remove(stack, 0);
    return SF_OK;
}

static sf_status apply(const session *of, const json_t *edit, json_t *onto, json_t **conflict,
                       sf_complaints *complaints)
{
    const char *label = json_string_value(json_object_get(edit, "label"));
    json_t *inverse = NULL;
    sf_status status =
        edits_apply(of->folder, json_object_get(edit, "ops"), &inverse, conflict, complaints);
    if (status == SF_OK)
        status = push(onto, label ? label : "change", inverse);
    json_decref(inverse);
    return status;
}

/* Only changes that the server itself noted may hold bytes as they stood. */
static bool edit_is_plain(const json_t *edit)
{
    size_t index;
    json_t *op;
    json_array_foreach(json_object_get(edit, "ops"), index, op)
    {
        if (json_object_get(op, "raw"))
            return false;
    }
    return true;
}

sf_status session_edit(session *of, const json_t *edit, json_t **conflict,
                       sf_complaints *complaints)
{
    *conflict = NULL;
    if (!edit_is_plain(edit))
        return SF_ERROR_ARGUMENT;
    sf_status status = apply(of, edit, of->undo, conflict, complaints);
    if (status == SF_OK)
        json_array_clear(of->redo);
    return status;
}

static sf_status take_back(session *of, json_t *from, json_t *onto, json_t **conflict,
                           sf_complaints *complaints)
{
    size_t count = json_array_size(from);
    *conflict = NULL;
    if (count == 0)
        return SF_ERROR_ARGUMENT;
    sf_status status = apply(of, json_array_get(from, count - 1), onto, conflict, complaints);
    /* what cannot be taken back any more must not stand in the way of what was done before it */
    if (status == SF_OK || status == SF_ERROR_DATA)
        json_array_remove(from, count - 1);
    return status;
}

sf_status session_undo(session *of, json_t **conflict, sf_complaints *complaints)
{
    return take_back(of, of->undo, of->redo, conflict, complaints);
}

sf_status session_redo(session *of, json_t **conflict, sf_complaints *complaints)
{
    return take_back(of, of->redo, of->undo, conflict, complaints);
}

const char *session_last(const json_t *stack)
{
    json_t *last = json_array_get(stack, json_array_size(stack) - 1);
    const char *label = json_string_value(json_object_get(last, "label"));
    return label ? label : "";
}
