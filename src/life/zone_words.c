/* Zones in words. */
#include "life/zone_words.h"

#include <math.h>

#include <gsl/gsl_math.h>

#include "core/memory.h"
#include "core/text.h"

/* A heat source farther from the peak than this does not name a zone. */
#define SOURCE_REACH_MM 30.0

/* From a place to the turned footprint of a source, 0 on it. */
static double footprint_distance(const sf_source *source, double x_mm, double y_mm)
{
    double turn = source->angle_deg * M_PI / 180;
    double from_x = x_mm - source->x_mm, from_y = y_mm - source->y_mm;
    double along = fabs(from_x * cos(turn) + from_y * sin(turn)) - source->width_mm / 2;
    double across = fabs(from_y * cos(turn) - from_x * sin(turn)) - source->height_mm / 2;
    return hypot(fmax(along, 0), fmax(across, 0));
}

static const char *nearest_source(const sf_job *job, double x_mm, double y_mm)
{
    const char *nearest = NULL;
    double least_mm = SOURCE_REACH_MM;
    for (size_t i = 0; i < job->source_count; i++) {
        double away_mm = footprint_distance(&job->sources[i], x_mm, y_mm);
        if (away_mm < least_mm) {
            least_mm = away_mm;
            nearest = job->sources[i].ref;
        }
    }
    return nearest;
}

static const char *nearest_part(const sf_job *job, double x_mm, double y_mm)
{
    const char *nearest = NULL;
    double least_mm = INFINITY;
    for (size_t i = 0; i < job->part_count; i++) {
        double away_mm = hypot(job->parts[i].x_mm - x_mm, job->parts[i].y_mm - y_mm);
        if (away_mm < least_mm) {
            least_mm = away_mm;
            nearest = job->parts[i].ref;
        }
    }
    return nearest;
}

char *zone_place(const sf_job *job, const sf_zone *zone, bool divided)
{
    if (!divided)
        return text_copy("on the board");
    if (zone->kind == SF_ZONE_COOL)
        return text_copy("in the cool field");
    const char *ref = nearest_source(job, zone->peak_x_mm, zone->peak_y_mm);
    if (!ref)
        ref = nearest_part(job, zone->peak_x_mm, zone->peak_y_mm);
    return ref ? text_format("around %s", ref)
               : text_format("around (%.0f, %.0f)", zone->peak_x_mm, zone->peak_y_mm);
}

char *zone_name(const sf_zone *zone, const char *place, bool divided, size_t same_before)
{
    text name = {0};
    if (!divided)
        text_add(&name, "undivided board");
    else if (zone->kind == SF_ZONE_COOL)
        text_add(&name, "cool field");
    else
        text_addf(&name, "%s %s", sf_zone_kind_text(zone->kind), place);
    if (same_before > 0)
        text_addf(&name, " (%zu)", same_before + 1);
    return text_take(&name);
}

/* The first count of a sentence, with the place it holds for. */
static void add_first(text *into, size_t count, size_t total, const char *place)
{
    if (total == 1)
        text_add(into, "the only part");
    else if (count == 1)
        text_add(into, "the one");
    else
        text_addf(into, count == total ? "all %zu" : "the %zu", count);
    text_addf(into, " %s", place);
}

static void add_act(text *into, const char *verb, size_t count, size_t total, const char *place)
{
    if (count == 0)
        return;
    if (into->length > 0) {
        text_addf(into, ", %s %zu", verb, count);
        return;
    }
    text_addf(into, "%s ", verb);
    add_first(into, count, total, place);
}

static void add_left(text *into, size_t count, size_t total, const char *place)
{
    if (count == 0)
        return;
    if (into->length == 0)
        add_first(into, count, total, place);
    else if (count == 1)
        text_add(into, "; the other one");
    else
        text_addf(into, "; the other %zu", count);
    text_add(into, count == 1 ? " stays" : " stay");
}

char *zone_sentence(const sf_zone *zone, const char *place)
{
    text made = {0};
    add_act(&made, "replace", zone->verdicts[SF_REPLACE], zone->parts, place);
    add_act(&made, "check", zone->verdicts[SF_CHECK], zone->parts, place);
    add_left(&made, zone->verdicts[SF_LEAVE], zone->parts, place);
    if (zone->parts == 0)
        text_addf(&made, "no part stands %s", place);
    return text_take(&made);
}
