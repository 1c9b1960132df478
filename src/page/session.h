/* One job that is open in the page: its folder, what may be undone, and what its files come to. All
 * of it is used by the server's thread alone; the plan is made by a thread of its own. */
#ifndef SPOTFIELD_PAGE_SESSION_H
#define SPOTFIELD_PAGE_SESSION_H

#include <stdbool.h>
#include <stdint.h>

#include <jansson.h>

#include "page/history.h"
#include "page/planner.h"
#include "spotfield/report.h"

/* What the job's files come to as they are on the disk. */
typedef struct live {
    bool made;      /* not when memory was short: asked again, it is tried anew */
    uint64_t stamp; /* of the files it was made from */
    sf_status status;
    sf_job *job;
    sf_outcome *outcome;      /* NULL before the first reading, and on faults */
    sf_complaints complaints; /* of the job, and of the marks of its photo */
} live;

typedef struct session {
    char *folder, *results; /* results: where the export goes */
    history history;        /* what may be taken back and done again */
    live live;
    planner *planner;
    bool planned; /* a plan was asked for */
    uint64_t planned_stamp;
} session;

/* What could be taken back when the folder was last open can be so again, where its files are still
 * the same. NULL when memory is short or no thread can be started. */
session *session_new(const char *folder, const char *results);
void session_free(session *ended);

/* What the files come to now, made anew where they have changed since. */
const live *session_live(session *of);

/* Has the planner plan for the files as they are now, unless it has been asked already. */
void session_plan(session *of);

/* Makes the changes of an edit {"label", "ops"}, as edits_apply does. */
sf_status session_edit(session *of, const json_t *edit, json_t **conflict,
                       sf_complaints *complaints);

/* Takes back the last change, or makes the one again that was taken back last, as edits_step does.
 */
sf_status session_step(session *of, direction way, json_t **conflict, sf_complaints *complaints);

#endif
