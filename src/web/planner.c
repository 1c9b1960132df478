/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The planner without threads: the plan is made when it is asked for, by a worker that does nothing
 * else, so that no verdict waits for it. */
#include "page/planner.h"

#include <stdlib.h>

#include "core/memory.h"
#include "survey/plan_job.h"

struct planner {
    char *folder;
    uint64_t stamp;
    planned held;
};

planner *planner_new(const char *folder)
{
    planner *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    made->folder = text_copy(folder);
    if (made->folder)
        return made;
    free(made);
    return NULL;
}

void planner_free(planner *ended)
{
    if (!ended)
        return;
    planned_clear(&ended->held);
    free(ended->folder);
    free(ended);
}

bool planner_rests(planner *of, const struct timespec *until)
{
    (void)of;
    (void)until;
    return true;
}

void planner_ask(planner *of, uint64_t stamp)
{
    planned_clear(&of->held);
    of->held = plan_job(of->folder);
    of->stamp = stamp;
}

void planner_look(planner *of,
                  void (*use)(const sf_plan *plan, const sf_job *job, uint64_t stamp, bool thinking,
                              void *context),
                  void *context)
{
    use(of->held.plan, of->held.job, of->stamp, false, context);
}
