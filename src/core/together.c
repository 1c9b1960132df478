/* Threads for tasks that are alike. */
#include "core/together.h"

#include <pthread.h>

/* More would only share the same processors out more finely. */
enum { THREADS_MOST = 8 };

typedef struct errand {
    void (*run)(void *task);
    void *task;
    pthread_t thread;
} errand;

static void *do_errand(void *given)
{
    errand *one = given;
    one->run(one->task);
    return NULL;
}

void together(void (*run)(void *task), void *tasks, size_t count, size_t size)
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
    for (size_t i = 0; i < count; i = i == 0 ? away + 1 : i + 1)
        run(first + i * size);
    for (size_t i = 0; i < away; i++)
        pthread_join(apart[i].thread, NULL);
}
