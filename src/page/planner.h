/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Makes the plan of readings in a thread of its own, since it takes longer than a person waits for
 * verdicts. */
#ifndef SPOTFIELD_PAGE_PLANNER_H
#define SPOTFIELD_PAGE_PLANNER_H

#include <stdbool.h>
#include <stdint.h>
#include <time.h>

#include "spotfield/plan.h"

typedef struct planner planner;

/* NULL when memory is short or the thread cannot be started. */
planner *planner_new(const char *folder);

/* Ends the thread, which may first finish the plan at hand; NULL is fine. */
void planner_free(planner *ended);

/* Whether no plan is being made, by that moment at the latest; none is begun any more. */
bool planner_rests(planner *of, const struct timespec *until);

/* Asks for the plan of the files whose stamp this is; one asked for before is dropped. */
void planner_ask(planner *of, uint64_t stamp);

/* Calls `use` with the newest plan while it is held; NULL and its stamp 0 where there is none yet
 * or it could not be made. `thinking`: one is being made. */
void planner_look(planner *of,
                  void (*use)(const sf_plan *plan, const sf_job *job, uint64_t stamp, bool thinking,
                              void *context),
                  void *context);

#endif
