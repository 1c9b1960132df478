/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A line on the terminal that says what takes so long. */
#include "cli/progress.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

#include "cli/system.h"

static void put_line(const char *words)
{
    fprintf(stderr, "\r%-*s\r%s", PROGRESS_WIDTH, "", words);
    fflush(stderr);
}

/* Short work ends before anything is shown. */
static void wait_a_second(progress *line)
{
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec++;
    int timed_out = 0;
    while (!line->ended && timed_out == 0)
        timed_out = pthread_cond_timedwait(&line->changed, &line->lock, &until);
}

static void *show(void *argument)
{
    progress *line = argument;
    pthread_mutex_lock(&line->lock);
    wait_a_second(line);
    bool written = !line->ended;
    while (!line->ended) {
        put_line(line->doing);
        pthread_cond_wait(&line->changed, &line->lock);
    }
    if (written)
        put_line("");
    pthread_mutex_unlock(&line->lock);
    return NULL;
}

static bool make_condition(progress *line)
{
    pthread_condattr_t monotonic;
    if (pthread_condattr_init(&monotonic) != 0)
        return false;
    bool made = pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC) == 0 &&
                pthread_cond_init(&line->changed, &monotonic) == 0;
    pthread_condattr_destroy(&monotonic);
    return made;
}

/* A signal is for the thread that may hold it back, never for this one. */
static bool start_thread(progress *line)
{
    held_signals before;
    signals_hold_all(&before);
    bool started = pthread_create(&line->thread, NULL, show, line) == 0;
    signals_release(&before);
    return started;
}

void progress_begin(progress *line, const char *doing)
{
    *line = (progress){.doing = doing};
    if (!isatty(STDERR_FILENO) || pthread_mutex_init(&line->lock, NULL) != 0)
        return;
    if (!make_condition(line)) {
        pthread_mutex_destroy(&line->lock);
        return;
    }
    line->shown = start_thread(line);
    if (!line->shown) {
        pthread_cond_destroy(&line->changed);
        pthread_mutex_destroy(&line->lock);
    }
}

static void change(progress *line, const char *doing, bool ended)
{
    if (!line->shown)
        return;
    pthread_mutex_lock(&line->lock);
    line->doing = doing;
    line->ended = ended;
    pthread_cond_signal(&line->changed);
    pthread_mutex_unlock(&line->lock);
}

void progress_step(const char *doing, void *line)
{
    change(line, doing, false);
}

void progress_end(progress *line)
{
    change(line, "", true);
    if (!line->shown)
        return;
    pthread_join(line->thread, NULL);
    pthread_cond_destroy(&line->changed);
    pthread_mutex_destroy(&line->lock);
    line->shown = false;
}

void progress_put(const char *words)
{
    if (isatty(STDERR_FILENO))
        put_line(words);
}
