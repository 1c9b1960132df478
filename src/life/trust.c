/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What of the heat of each part can be relied on: which pieces of the board were read, and what in
 * doubt lies near. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "life/board_place.h"
#include "spotfield/life.h"

#define NEAR_MM_LEAST 15.0 /* judgement: as far as a can and its copper reach */
#define GROSS_HELD 0.5     /* from here on a reading is held to be wrong, as the field does */
#define SCORE_OUTLYING 3.0 /* standard deviations */

bool sf_reading_doubted(const sf_reading_fit *fit)
{
    return fit->gross >= GROSS_HELD || sf_reading_misfits(fit) || fit->alone > SCORE_OUTLYING;
}

bool sf_source_doubted(const sf_source_fit *source)
{
    return source->listed && (source->contradiction || fabs(source->power_score) > SCORE_OUTLYING);
}

/* --- pieces --- */

bool sf_reading_weightless(const sf_reading_fit *fit)
{
    return fit->gross >= GROSS_HELD && fit->score < 0;
}

sf_status sf_pieces_read(const sf_field *field, const sf_observation *observations,
                         const sf_pixels *pixels, bool **read)
{
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    bool *found = array_new(sf_field_piece_count(field), sizeof *found);
    *read = found;
    if (!found)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < count; i++) {
        const sf_observation *at = &observations[fits[i].observation];
        if (!sf_reading_weightless(&fits[i]))
            found[sf_field_piece(field, at->x_mm, at->y_mm)] = true;
    }
    for (size_t i = 0; pixels && i < pixels->count; i++)
        found[sf_field_piece(field, pixels->x_mm[i], pixels->y_mm[i])] = true;
    return SF_OK;
}

/* --- what is in doubt --- */

/* The nearest so far to one part. */
typedef struct nearest_doubt {
    const char *name;
    bool source;
    double away_mm;
} nearest_doubt;

static void offer(nearest_doubt *to, const char *name, bool source, double away_mm)
{
    if (away_mm <= to->away_mm)
        *to = (nearest_doubt){name, source, away_mm};
}

static double near_mm(const sf_field *field)
{
    double length_mm = sf_field_summarize(field).length_mm.value;
    return fmax(NEAR_MM_LEAST, isfinite(length_mm) ? length_mm : 0);
}

static nearest_doubt find_doubt(const sf_job *job, const sf_field *field,
                                const sf_observation *observations, const sf_part *part)
{
    nearest_doubt found = {NULL, false, near_mm(field)};
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    for (size_t i = 0; i < count; i++) {
        const sf_observation *at = &observations[fits[i].observation];
        if (sf_reading_doubted(&fits[i]))
            offer(&found, at->id, false, hypot(at->x_mm - part->x_mm, at->y_mm - part->y_mm));
    }
    const sf_source_fit *sources = sf_field_sources(field, &count);
    for (size_t j = 0; j < job->source_count && j < count; j++)
        if (sf_source_doubted(&sources[j]))
            offer(&found, job->sources[j].ref, true,
                  source_distance(&job->sources[j], part->x_mm, part->y_mm));
    return found;
}

sf_status sf_parts_trust(const sf_job *job, const sf_field *field,
                         const sf_observation *observations, const sf_pixels *pixels,
                         sf_trust **trusts)
{
    bool *read;
    sf_trust *found = array_new(job->part_count, sizeof *found);
    *trusts = NULL;
    if (!found || sf_pieces_read(field, observations, pixels, &read) != SF_OK) {
        free(found);
        return SF_ERROR_MEMORY;
    }
    for (size_t i = 0; i < job->part_count; i++) {
        const sf_part *part = &job->parts[i];
        nearest_doubt doubt = find_doubt(job, field, observations, part);
        found[i].unread = !read[sf_field_piece(field, part->x_mm, part->y_mm)];
        found[i].source = doubt.source;
        if (doubt.name)
            snprintf(found[i].doubted, sizeof found[i].doubted, "%s", doubt.name);
    }
    free(read);
    *trusts = found;
    return SF_OK;
}
