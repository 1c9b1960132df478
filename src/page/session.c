/* Keeps a job open: edits with their undoing, and the field and verdicts of the files as they are.
 */
#include "page/session.h"

#include <stdlib.h>

#include "core/memory.h"
#include "job/photo_marks.h"
#include "page/edits.h"
#include "page/job_files.h"
#include "page/leftovers.h"

session *session_new(const char *folder, const char *results)
{
    session *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
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
    sf_complaints_clear(&ended->complaints);
    *ended = (live){0};
}

void session_free(session *ended)
{
    if (!ended)
        return;
    planner_free(ended->planner);
    live_clear(&ended->live);
    history_clear(&ended->history);
    free(ended->folder);
    free(ended->results);
    free(ended);
}

/* --- what the files come to --- */

/* The marks of the photo are told of beside the job: no verdict waits for them. False when memory
 * is short. */
static bool hear_of_marks(const char *folder, sf_complaints *complaints)
{
    photo_marks read;
    sf_status status = photo_marks_read(folder, &read, complaints);
    photo_marks_clear(&read);
    return status != SF_ERROR_MEMORY;
}

static void make_live(const session *of, live *into)
{
    sf_map_options options = sf_map_options_default();
    options.no_pictures = options.no_yardstick = true;
    into->stamp = job_files_stamp(of->folder);
    into->status = sf_job_read_to_plan(of->folder, &into->job, &into->complaints);
    if (into->status == SF_OK && into->job->reading_count > 0)
        into->status = sf_map_job(into->job, &options, &into->outcome, &into->complaints);
    if (into->status != SF_ERROR_MEMORY && !hear_of_marks(of->folder, &into->complaints))
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
    const live *now = session_live(of);
    if (!now->job || (of->planned && of->planned_stamp == now->stamp))
        return;
    of->planned = true;
    of->planned_stamp = now->stamp;
    planner_ask(of->planner, now->stamp);
}

/* --- edits --- */

sf_status session_edit(session *of, const json_t *edit, json_t **conflict,
                       sf_complaints *complaints)
{
    const char *label = json_string_value(json_object_get(edit, "label"));
    size_t dropped = 0;
    *conflict = NULL;
    sf_status status = history_fit(&of->history, of->folder, &dropped);
    if (status == SF_OK)
        status = edits_apply(of->folder, json_object_get(edit, "ops"), label ? label : "change",
                             &of->history, conflict, complaints);
    return status;
}

sf_status session_step(session *of, direction way, json_t **conflict, sf_complaints *complaints)
{
    return edits_step(of->folder, way, &of->history, conflict, complaints);
}
