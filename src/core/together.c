/* Threads for tasks that are alike. */
#include "core/together.h"

#include <pthread.h>

/* More would only share the same processors out more finely. */
enum { THREADS_MOST = 8, STRETCHES = 4 };

typedef struct errand {
    sf_status (*run)(void *task);
    void *task;
    pthread_t thread;
    sf_status status;
} errand;

static void *do_errand(void *given)
{
    errand *one = given;
    one->status = one->run(one->task);
    return NULL;
}

static sf_status first_fault(sf_status before, sf_status after)
{
    return before != SF_OK ? before : after;
}

sf_status together(sf_status (*run)(void *task), void *tasks, size_t count, size_t size)
{
    errand apart[THREADS_MOST];
    size_t away = 0; /* tasks 1 to `away` have a thread */
    char *first = tasks;
    while (away < THREADS_MOST && away + 1 < count) {
        apart[away] = (errand){.run = run, .task = first + (away + 1) * size};
        if (pthread_create(&apart[away].thread, NULL, do_errand, &apart[away]) != 0)
            break;
        away++;
    }
    sf_status status = count > 0 ? run(first) : SF_OK, rest = SF_OK;
    for (size_t i = away + 1; i < count; i++)
        rest = first_fault(rest, run(first + i * size));
    for (size_t i = 0; i < away; i++) {
        pthread_join(apart[i].thread, NULL);
        status = first_fault(status, apart[i].status);
    }
    return first_fault(status, rest);
}

typedef struct stretch {
    sf_status (*run)(void *context, size_t from, size_t to);
    void *context;
    size_t from, to;
} stretch;

static sf_status do_stretch(void *given)
{
    const stretch *one = given;
    return one->run(one->context, one->from, one->to);
}

sf_status together_in_stretches(sf_status (*run)(void *context, size_t from, size_t to),
                                void *context, size_t count)
{
    stretch all[STRETCHES];
    for (size_t i = 0; i < STRETCHES; i++)
        all[i] = (stretch){run, context, count * i / STRETCHES, count * (i + 1) / STRETCHES};
    return together(do_stretch, all, STRETCHES, sizeof *all);
}
