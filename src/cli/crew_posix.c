/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Processes for tasks that are alike. */
#define _GNU_SOURCE /* sched_getaffinity, MAP_ANONYMOUS */
#include "cli/crew.h"

#include <errno.h>
#include <sched.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include "cli/exits.h"
#include "cli/output.h"
#include "cli/progress.h"
#include "core/memory.h"

enum { WORKERS_MOST = 64 };

/* One task; what it says waits in files without a name until those before it have ended. */
typedef struct task {
    pid_t worker; /* 0: not begun, or ended */
    FILE *said, *complained;
    bool done;
    int end;
} task;

typedef struct shift {
    const crew *of;
    task *tasks;
    size_t begun, passed_on, running, workers;
    sigset_t before, awaited;
} shift;

/* Those that this process may run on. */
static size_t processors(void)
{
    long count = sysconf(_SC_NPROCESSORS_ONLN);
#ifdef CPU_COUNT
    cpu_set_t usable;
    if (sched_getaffinity(0, sizeof usable, &usable) == 0)
        count = CPU_COUNT(&usable);
#endif
    return count < 1 ? 1 : count > WORKERS_MOST ? WORKERS_MOST : (size_t)count;
}

/* --- signals --- */

static void no_deed(int number)
{
    (void)number;
}

/* Signals that the program was started to ignore stay ignored. */
static void await_signals(shift *now)
{
    static const int ending[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT};
    struct sigaction found, child = {.sa_handler = no_deed};
    sigemptyset(&now->awaited);
    sigaddset(&now->awaited, SIGCHLD);
    for (size_t i = 0; i < sizeof ending / sizeof *ending; i++)
        if (sigaction(ending[i], NULL, &found) == 0 && found.sa_handler != SIG_IGN)
            sigaddset(&now->awaited, ending[i]);
    sigemptyset(&child.sa_mask);
    sigaction(SIGCHLD, &child, NULL); /* one that is ignored would not be waited for */
    sigprocmask(SIG_BLOCK, &now->awaited, &now->before);
}

/* Each ends with its folder either as it was or whole; then this process goes the same way. */
static void end_by(const shift *now, int number)
{
    for (size_t i = 0; i < now->begun; i++)
        if (now->tasks[i].worker)
            kill(now->tasks[i].worker, SIGTERM);
    for (size_t i = 0; i < now->begun; i++)
        if (now->tasks[i].worker)
            while (waitpid(now->tasks[i].worker, NULL, 0) < 0 && errno == EINTR)
                ;
    progress_put("");
    raise(number);
    sigprocmask(SIG_SETMASK, &now->before, NULL);
}

/* --- begin and end of a task --- */

static void work(const shift *now, size_t index)
{
    const task *mine = &now->tasks[index];
    signal(SIGCHLD, SIG_DFL);
    sigprocmask(SIG_SETMASK, &now->before, NULL);
    if (dup2(fileno(mine->said), STDOUT_FILENO) < 0 ||
        dup2(fileno(mine->complained), STDERR_FILENO) < 0)
        exit(EX_SOFTWARE);
    exit(output_close(now->of->run(now->of->context, index)));
}

static void finish(task *ended, int end)
{
    ended->worker = 0;
    ended->done = true;
    ended->end = end;
}

static void drop_files(task *of)
{
    if (of->said)
        fclose(of->said);
    if (of->complained)
        fclose(of->complained);
    of->said = of->complained = NULL;
}

/* False where the system gives no process now, and one that ends may make room. */
static bool begin(shift *now)
{
    task *next = &now->tasks[now->begun];
    next->said = tmpfile();
    next->complained = next->said ? tmpfile() : NULL;
    fflush(NULL); /* what is held here would be said by the worker too */
    pid_t worker = next->complained ? fork() : -1;
    if (worker == 0)
        work(now, now->begun);
    if (worker < 0) {
        int error = errno;
        drop_files(next);
        if (now->running > 0)
            return false;
        fprintf(stderr, "spotfield: no process can be started: %s\n", strerror(error));
        finish(next, EX_SOFTWARE);
    } else {
        next->worker = worker;
        now->running++;
    }
    now->begun++;
    return true;
}

static void collect(shift *now)
{
    for (size_t i = now->passed_on; i < now->begun; i++) {
        task *one = &now->tasks[i];
        int state = 0;
        if (!one->worker || waitpid(one->worker, &state, WNOHANG) != one->worker)
            continue;
        finish(one, WIFEXITED(state) ? WEXITSTATUS(state) : -WTERMSIG(state));
        now->running--;
    }
}

/* --- what it said --- */

static void pass_words(FILE *from, FILE *to)
{
    char held[1 << 14];
    if (!from)
        return;
    rewind(from);
    for (size_t length; (length = fread(held, 1, sizeof held, from)) > 0;)
        fwrite(held, 1, length, to);
}

static void pass_on(shift *now)
{
    for (; now->passed_on < now->of->count && now->tasks[now->passed_on].done; now->passed_on++) {
        task *one = &now->tasks[now->passed_on];
        progress_put("");
        pass_words(one->complained, stderr);
        pass_words(one->said, stdout);
        drop_files(one);
        now->of->ended(now->of->context, now->passed_on, one->end);
    }
}

static void show_progress(const shift *now)
{
    char line[PROGRESS_WIDTH + 1];
    size_t ended = now->begun - now->running;
    snprintf(line, sizeof line, "%s: %zu of %zu done", now->of->doing, ended, now->of->count);
    progress_put(line);
}

sf_status crew_run(const crew *of)
{
    shift now = {.of = of, .workers = processors()};
    now.tasks = array_new(of->count, sizeof *now.tasks);
    if (!now.tasks)
        return SF_ERROR_MEMORY;
    await_signals(&now);
    while (now.passed_on < of->count) {
        int number = 0;
        while (now.begun < of->count && now.running < now.workers && begin(&now))
            ;
        pass_on(&now);
        if (now.running == 0)
            continue;
        show_progress(&now);
        if (sigwait(&now.awaited, &number) == 0 && number != SIGCHLD)
            end_by(&now, number);
        collect(&now);
    }
    progress_put("");
    sigprocmask(SIG_SETMASK, &now.before, NULL);
    signal(SIGCHLD, SIG_DFL);
    free(now.tasks);
    return SF_OK;
}

void *crew_memory(size_t count, size_t size)
{
    void *made =
        mmap(NULL, count * size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    return made == MAP_FAILED ? NULL : made;
}

void crew_memory_free(void *memory, size_t count, size_t size)
{
    munmap(memory, count * size);
}
