/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A lock, and whether it still may be taken. */
#include "page/gate.h"

void gate_make(gate *made)
{
    made->is_shut = false;
    pthread_mutex_init(&made->lock, NULL);
}

void gate_clear(gate *ended)
{
    pthread_mutex_destroy(&ended->lock);
}

bool gate_enter(gate *of)
{
    pthread_mutex_lock(&of->lock);
    bool open = !of->is_shut;
    if (!open)
        pthread_mutex_unlock(&of->lock);
    return open;
}

void gate_leave(gate *of)
{
    pthread_mutex_unlock(&of->lock);
}

void gate_shut(gate *of)
{
    pthread_mutex_lock(&of->lock);
    of->is_shut = true;
    pthread_mutex_unlock(&of->lock);
}
