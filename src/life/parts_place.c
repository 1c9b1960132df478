/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where parts stand: counted by the heat source nearest to each, else by the part of the board, and
 * told by the fullest of these places. */
#include <stdlib.h>

#include "core/memory.h"
#include "core/text.h"
#include "life/board_place.h"
#include "spotfield/life.h"

enum { PLACES_TOLD = 3 };

/* Places in order: the sources of the job, then the thirds of its board. */
static size_t place_of(const sf_job *job, const sf_part *part)
{
    size_t source = source_around(job, part->x_mm, part->y_mm);
    if (source != NO_SOURCE)
        return source;
    return job->source_count +
           board_third(part->x_mm / job->board.width_mm, part->y_mm / job->board.height_mm);
}

static size_t fullest(const size_t *held, size_t places)
{
    size_t found = 0;
    for (size_t place = 1; place < places; place++)
        if (held[place] > held[found])
            found = place;
    return found;
}

/* The fullest places first, as few as hold more than half, but all where they are few. */
typedef struct choice {
    size_t places[PLACES_TOLD];
    size_t count, holds;
} choice;

static choice choose(size_t *held, size_t places, size_t parts)
{
    choice all = {0}, most = {0};
    while (all.count < PLACES_TOLD && all.holds < parts) {
        size_t next = fullest(held, places);
        all.places[all.count++] = next;
        all.holds += held[next];
        held[next] = 0;
        if (2 * most.holds <= parts)
            most = all;
    }
    return all.holds == parts ? all : most;
}

static void add_sources(text *into, const sf_job *job, const size_t *sources, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        text_add(into, i == 0 ? "around " : i + 1 == count ? " and " : ", ");
        text_add(into, job->sources[sources[i]].ref);
    }
}

/* Sources together, then parts of the board. */
static void add_places(text *into, const sf_job *job, const choice *of)
{
    size_t sources[PLACES_TOLD], source_count = 0, thirds = 0;
    for (size_t i = 0; i < of->count; i++)
        if (of->places[i] < job->source_count)
            sources[source_count++] = of->places[i];
    add_sources(into, job, sources, source_count);
    for (size_t i = 0; i < of->count; i++) {
        if (of->places[i] < job->source_count)
            continue;
        text_add(into, source_count + thirds++ > 0 ? " and " : "");
        text_add(into, third_place(of->places[i] - job->source_count).where);
    }
}

char *sf_parts_place(const sf_job *job, const size_t *parts, size_t count)
{
    size_t places = job->source_count + BOARD_THIRDS;
    size_t *held = array_new(places, sizeof *held);
    if (!held)
        return NULL;
    for (size_t i = 0; i < count; i++)
        held[place_of(job, &job->parts[parts[i]])]++;
    choice chosen = choose(held, places, count);
    free(held);
    text made = {0};
    if (2 * chosen.holds > count) {
        text_add(&made, chosen.holds < count ? "most of them " : "");
        add_places(&made, job, &chosen);
    }
    return text_take(&made);
}
