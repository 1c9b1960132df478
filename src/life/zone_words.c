/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Zones in words. */
#include "life/zone_words.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/text.h"

static const char *part_around(const sf_job *job, double x_mm, double y_mm)
{
    const char *nearest = NULL;
    double least_mm = AROUND_MM;
    for (size_t i = 0; i < job->part_count; i++) {
        double away_mm = hypot(job->parts[i].x_mm - x_mm, job->parts[i].y_mm - y_mm);
        if (away_mm < least_mm) {
            least_mm = away_mm;
            nearest = job->parts[i].ref;
        }
    }
    return nearest;
}

/* "around U1", "around U1, D1 and R2"; of more than three "around U1, D1 and 5 more". */
static char *around_heaters(const sf_job *job, const heaters *by)
{
    text made = {0};
    size_t named = by->count > HEATERS_NAMED ? HEATERS_NAMED - 1 : by->count;
    for (size_t i = 0; i < named; i++) {
        bool last = i + 1 == by->count;
        text_add(&made, i == 0 ? "around " : last ? " and " : ", ");
        text_add(&made, job->sources[by->named[i]].ref);
    }
    if (named < by->count)
        text_addf(&made, " and %zu more", by->count - named);
    return text_take(&made);
}

/* By what is nearest the peak; where nothing is near, the part of the board. */
static char *around_peak(const zone_setting *of)
{
    double x_mm = of->zone->peak_x_mm, y_mm = of->zone->peak_y_mm;
    size_t source = source_around(of->job, x_mm, y_mm);
    const char *part = part_around(of->job, x_mm, y_mm);
    if (source != NO_SOURCE)
        return text_format("around %s", of->job->sources[source].ref);
    return part ? text_format("around %s", part) : text_copy(of->lies.name);
}

char *zone_title(const zone_setting *of)
{
    const char *kind = sf_zone_kind_text(of->zone->kind);
    if (!of->divided)
        return text_copy("undivided board");
    if (of->alone)
        return text_format("%s everywhere", kind);
    if (of->zone->warmed_by != SF_NO_ZONE)
        return text_format(of->zone->kind == SF_ZONE_COOL ? "%s, nearest to %s" : "%s around %s",
                           kind, of->job->sources[of->zone->warmed_by].ref);
    if (of->zone->kind == SF_ZONE_COOL)
        return text_format("%s %s", kind, of->lies.name);
    char *place = of->by.count > 0 ? around_heaters(of->job, &of->by) : around_peak(of);
    char *title = place ? text_format("%s %s", kind, place) : NULL;
    free(place);
    return title;
}

char *zone_name(const char *title, size_t same_before)
{
    return same_before == 0 ? text_copy(title) : text_format("%s (%zu)", title, same_before + 1);
}

/* The first count of a sentence. */
static void add_first(text *into, size_t count, size_t total)
{
    if (total == 1)
        text_add(into, "the only part here");
    else if (count < total)
        text_addf(into, "%zu of the %zu here", count, total);
    else if (total == 2)
        text_add(into, "both here");
    else
        text_addf(into, "all %zu here", count);
}

static void add_act(text *into, const char *verb, size_t count, size_t total)
{
    if (count == 0)
        return;
    if (into->length > 0) {
        text_addf(into, ", %s %zu", verb, count);
        return;
    }
    text_addf(into, "%s ", verb);
    add_first(into, count, total);
}

static void add_left(text *into, size_t count, size_t total)
{
    if (count == 0)
        return;
    if (into->length == 0)
        add_first(into, count, total);
    else if (count == 1)
        text_add(into, "; the other one");
    else
        text_addf(into, "; the other %zu", count);
    text_add(into, count == 1 ? " stays" : " stay");
}

char *zone_sentence(const sf_zone *zone)
{
    text made = {0};
    add_act(&made, "replace", zone->verdicts[SF_REPLACE], zone->parts);
    add_act(&made, "check", zone->verdicts[SF_CHECK], zone->parts);
    add_left(&made, zone->verdicts[SF_LEAVE], zone->parts);
    if (zone->parts == 0)
        text_add(&made, "there is no part here");
    return text_take(&made);
}
