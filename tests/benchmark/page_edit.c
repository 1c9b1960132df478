/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* An edit of the page, until its new picture is sent. */
#include "benchmark/page_edit.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

#include "page/session.h"
#include "page/view.h"

enum { EDITS = 3 };

static double processor_s(void)
{
    struct timespec at;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
    return (double)at.tv_sec + 1e-9 * (double)at.tv_nsec;
}

/* One reading moved by another hand, then all that the browser asks for; NAN where it fails. */
static double edit_s(session *page, const crowded_job *asked, unsigned long seed)
{
    if (!crowded_job_write(asked, seed))
        return NAN;
    double start_s = processor_s();
    json_t *told = view_live(page);
    char *sent = told ? json_dumps(told, JSON_COMPACT) : NULL;
    double taken_s = processor_s() - start_s;
    bool whole = sent && page->live.status == SF_OK && page->live.outcome;
    free(sent);
    json_decref(told);
    return whole ? taken_s : (double)NAN;
}

double page_edit_s(const crowded_job *asked)
{
    double least_s = INFINITY;
    session *page = session_new(asked->folder, NULL);
    for (unsigned long edit = 0; page && edit < EDITS && !isnan(least_s); edit++) {
        double taken_s = edit_s(page, asked, 40 + edit);
        least_s = taken_s < least_s ? taken_s : isnan(taken_s) ? taken_s : least_s;
    }
    session_free(page);
    return page ? least_s : (double)NAN;
}
