/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lets files be written, one writer after another, until it is shut: then the process may end. */
#ifndef SPOTFIELD_PAGE_GATE_H
#define SPOTFIELD_PAGE_GATE_H

#include <pthread.h>
#include <stdbool.h>

typedef struct gate {
    pthread_mutex_t lock;
    bool is_shut;
} gate;

void gate_make(gate *made);
void gate_clear(gate *ended);

/* Waits for whoever is inside; false, and nothing may be written, where the gate is shut. */
bool gate_enter(gate *of);
void gate_leave(gate *of);

/* Waits for whoever is inside, and lets in nobody after that. */
void gate_shut(gate *of);

#endif
