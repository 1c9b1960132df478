/* Tasks that are alike and know nothing of one another, done at once by any room. */
#ifndef SPOTFIELD_CORE_TOGETHER_H
#define SPOTFIELD_CORE_TOGETHER_H

#include <stddef.h>

/* Calls `run` once for each of `count` tasks, which stand in an array of elements of `size` bytes:
 * the first one here, others in threads of their own as far as the system gives threads, the rest
 * here too. Returns when all are done. No task may write what another one reads. */
void together(void (*run)(void *task), void *tasks, size_t count, size_t size);

#endif
