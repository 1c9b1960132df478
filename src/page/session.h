/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One job that is open in the page: its folder, what may be undone, and what its files come to. It
 * is used by the server's thread alone, but for the field and verdicts, which are those of the desk
 * of the field, and for what each may use: names of folders and locks. */
#ifndef SPOTFIELD_PAGE_SESSION_H
#define SPOTFIELD_PAGE_SESSION_H

#include <jansson.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "core/text.h"
#include "page/history.h"
#include "page/job_lock.h"
#include "page/planner.h"
#include "spotfield/output.h"

/* What the job's files come to as they are on the disk. */
typedef struct live {
    bool made;      /* not when memory was short: asked again, it is tried anew */
    uint64_t stamp; /* of the files it was made from */
    sf_status status;
    sf_job *job;
    sf_outcome *outcome;        /* NULL before the first reading, and on faults */
    sf_diagnostics diagnostics; /* of the job, and of the marks of its photo */
} live;

typedef struct session {
    char *folder, *results; /* results: where the export goes */
    bool results_given;     /* where it goes was chosen; else it is `out` in the job */
    history history;        /* what may be taken back and done again */
    live live;
    pthread_mutex_t writing; /* held by whoever writes, one after another */
    bool is_shut;            /* nothing is written any more: the program ends */
    pthread_mutex_t locking; /* over the two below */
    job_lock lock;
    char host[64];            /* of the page; "": no page has this job, and none is kept out */
    atomic_bool leaving;      /* the page ends: what nobody is answered any more is not kept */
    atomic_bool circles_left; /* nobody waits for the circles of the photo any more */
    planner *planner;
    bool planned; /* a plan was asked for */
    uint64_t planned_stamp;
} session;

/* What could be taken back when the folder was last open can be so again, where its files are still
 * the same. NULL when memory is short or no thread can be started. */
session *session_new(const char *folder, const char *results);
void session_free(session *ended);

/* Takes the job for a page, and tells in its lock at which address and port. SF_ERROR_MISSING,
 * told, where another page has it. A folder that is still to be made is taken with the first
 * change. */
sf_status session_lock(session *of, sf_diagnostics *diagnostics);
void session_sign(session *of, const char *host);

/* Whether the plan at hand is made, by that moment at the latest; none is made after it. */
bool session_rests(session *of, const struct timespec *until);

/* Waits until nothing is being written, and has nothing written any more: the process may end. */
void session_leave(session *of);

/* What the files come to now, made anew where they have changed since. */
const live *session_live(session *of);

/* Has the planner plan for the files as they are now, unless it has been asked already. */
void session_plan(session *of);

/* Makes the changes of an edit {"label", "ops"}, as edits_apply does. */
sf_status session_edit(session *of, const json_t *edit, json_t **conflict,
                       sf_diagnostics *diagnostics);

/* Takes back the last change, or makes the one again that was taken back last, as edits_step does.
 */
sf_status session_step(session *of, direction way, json_t **conflict, sf_diagnostics *diagnostics);

/* Keeps a photo, as photo_keep does, and the results of the files as they are. */
sf_status session_photo(session *of, const text *bytes, sf_diagnostics *diagnostics);
sf_status session_export(session *of, sf_diagnostics *diagnostics);

/* --- the export: the same results as those of a mapping by the command line --- */

/* The names of the results as an array; NULL when memory is short. */
json_t *results_names(void);

/* Reads one of them and tells its media type. SF_ERROR_MISSING where there is none of that name: a
 * link is none, since it may lead out of the job; so is, of a folder that is the job's `own`, that
 * folder itself. */
sf_status result_read(const char *results, bool own, const char *name, text *into,
                      const char **type);

/* The content security policy for results: the report brings its own style and script along, and
 * names them in a stricter policy of its own. */
extern const char result_policy[];

#endif
