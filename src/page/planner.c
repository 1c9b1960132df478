/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thread that waits for a stamp, reads the job and plans. */
#include "page/planner.h"

#include <errno.h>
#include <pthread.h>
#include <stdlib.h>
#include <unistd.h>

#include "core/memory.h"
#include "page/moment.h"
#include "survey/what_if.h"

/* Verdicts go first. Not 19: a thread that gets no turn on a busy machine holds up the end of the
 * process, which waits for it even when it is killed. */
enum { PLAN_NICENESS = 10 };

struct planner {
    char *folder;
    pthread_t thread;
    pthread_mutex_t lock; /* over what follows */
    pthread_cond_t changed;
    bool ended;
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
    pthread_mutex_lock(&of->lock);
    while (!of->ended) {
        if (!of->asked) {
            pthread_cond_wait(&of->changed, &of->lock);
            continue;
        }
        uint64_t stamp = of->asked_stamp;
        of->asked = false;
        of->at_work = true;
        pthread_mutex_unlock(&of->lock);
        yield_to_verdicts();
        planned done = plan_job(of->folder);
        pthread_mutex_lock(&of->lock);
        hold(of, done, stamp);
        of->at_work = false;
        pthread_cond_broadcast(&of->changed);
    }
    pthread_mutex_unlock(&of->lock);
    return NULL;
}

planner *planner_new(const char *folder)
{
    planner *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    made->folder = text_copy(folder);
    pthread_mutex_init(&made->lock, NULL);
    moment_condition(&made->changed);
    if (made->folder && pthread_create(&made->thread, NULL, run, made) == 0)
        return made;
    free(made->folder);
    free(made);
    return NULL;
}

void planner_free(planner *ended)
{
    if (!ended)
        return;
    pthread_mutex_lock(&ended->lock);
    ended->ended = true;
    pthread_cond_signal(&ended->changed);
    pthread_mutex_unlock(&ended->lock);
    pthread_join(ended->thread, NULL);
    pthread_cond_destroy(&ended->changed);
    pthread_mutex_destroy(&ended->lock);
    planned_clear(&ended->held);
    free(ended->folder);
    free(ended);
}

bool planner_rests(planner *of, const struct timespec *until)
{
    int waited = 0;
    pthread_mutex_lock(&of->lock);
    of->ended = true;
    pthread_cond_broadcast(&of->changed);
    while (of->at_work && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&of->changed, &of->lock, until);
    bool rests = !of->at_work;
    pthread_mutex_unlock(&of->lock);
    return rests;
}

void planner_ask(planner *of, uint64_t stamp)
{
    pthread_mutex_lock(&of->lock);
    of->asked = of->thinking = true;
    of->asked_stamp = stamp;
    pthread_cond_broadcast(&of->changed);
    pthread_mutex_unlock(&of->lock);
}

void planner_look(planner *of,
                  void (*use)(const sf_plan *plan, const sf_job *job, uint64_t stamp, bool thinking,
                              void *context),
                  void *context)
{
    pthread_mutex_lock(&of->lock);
    use(of->held.plan, of->held.job, of->stamp, of->thinking, context);
    pthread_mutex_unlock(&of->lock);
}
