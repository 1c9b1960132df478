/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thread that waits for a stamp, reads the job and plans. */
#include "page/planner.h"

#include <errno.h>
#include <stdlib.h>
#include <unistd.h>

#include "core/memory.h"
#include "page/desk.h"
#include "survey/plan_job.h"

/* Verdicts go first. Not 19: a thread that gets no turn on a busy machine holds up the end of the
 * process, which waits for it even when it is killed. */
enum { PLAN_NICENESS = 10 };

struct planner {
    char *folder;
    worker worker; /* its lock is over what follows */
    bool asked, thinking, at_work;
    uint64_t asked_stamp;
    uint64_t stamp; /* of what is held */
    planned held;
};

static void hold(planner *of, planned done, uint64_t stamp)
{
    planned_clear(&of->held);
    of->held = done;
    of->stamp = stamp;
    of->thinking = of->asked;
}

/* On Linux the niceness is that of this thread alone; elsewhere it would slow the whole page down.
 */
static void yield_to_verdicts(void)
{
#ifdef __linux__
    (void)!nice(PLAN_NICENESS);
#endif
}

static void *run(void *argument)
{
    planner *of = argument;
    pthread_mutex_lock(&of->worker.lock);
    while (!of->worker.ended) {
        if (!of->asked) {
            pthread_cond_wait(&of->worker.changed, &of->worker.lock);
            continue;
        }
        uint64_t stamp = of->asked_stamp;
        of->asked = false;
        of->at_work = true;
        pthread_mutex_unlock(&of->worker.lock);
        yield_to_verdicts();
        planned done = plan_job(of->folder);
        pthread_mutex_lock(&of->worker.lock);
        hold(of, done, stamp);
        of->at_work = false;
        pthread_cond_broadcast(&of->worker.changed);
    }
    pthread_mutex_unlock(&of->worker.lock);
    return NULL;
}

planner *planner_new(const char *folder)
{
    planner *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    made->folder = text_copy(folder);
    if (made->folder && worker_start(&made->worker, run, made))
        return made;
    free(made->folder);
    free(made);
    return NULL;
}

void planner_free(planner *ended)
{
    if (!ended)
        return;
    worker_end(&ended->worker);
    planned_clear(&ended->held);
    free(ended->folder);
    free(ended);
}

bool planner_rests(planner *of, const struct timespec *until)
{
    int waited = 0;
    pthread_mutex_lock(&of->worker.lock);
    of->worker.ended = true;
    pthread_cond_broadcast(&of->worker.changed);
    while (of->at_work && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&of->worker.changed, &of->worker.lock, until);
    bool rests = !of->at_work;
    pthread_mutex_unlock(&of->worker.lock);
    return rests;
}

void planner_ask(planner *of, uint64_t stamp)
{
    pthread_mutex_lock(&of->worker.lock);
    of->asked = of->thinking = true;
    of->asked_stamp = stamp;
    pthread_cond_broadcast(&of->worker.changed);
    pthread_mutex_unlock(&of->worker.lock);
}

void planner_look(planner *of,
                  void (*use)(const sf_plan *plan, const sf_job *job, uint64_t stamp, bool thinking,
                              void *context),
                  void *context)
{
    pthread_mutex_lock(&of->worker.lock);
    use(of->held.plan, of->held.job, of->stamp, of->thinking, context);
    pthread_mutex_unlock(&of->worker.lock);
}
