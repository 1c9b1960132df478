/* The verdict on a board in one sentence. */
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "core/text.h"
#include "report/facts.h"
#include "report/number.h"
#include "spotfield/report.h"

/* The parts of one verdict taken together. */
typedef struct group {
    size_t count;
    double least_c, most_c;
    double used; /* the largest share; NAN where one is not known */
} group;

static group gather(const sf_outcome *outcome, sf_verdict verdict)
{
    group found = {0, INFINITY, -INFINITY, 0};
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        const sf_part_result *result = &outcome->results[i];
        if (result->verdict != verdict)
            continue;
        found.count++;
        found.least_c = fmin(found.least_c, result->temp_c);
        found.most_c = fmax(found.most_c, result->temp_c);
        if (!isnan(found.used) && !(result->used <= found.used))
            found.used = result->used;
    }
    return found;
}

static void add_temperatures(text *into, double least_c, double most_c)
{
    number_add(into, least_c, 0);
    if (round(most_c) > round(least_c)) {
        text_add(into, " to ");
        number_add(into, most_c, 0);
    }
    text_add(into, " C");
}

/* Where a zone is: its name without the word for how hot it is. */
static const char *zone_place(const sf_zone *zone)
{
    const char *kind = sf_zone_kind_text(zone->kind);
    size_t length = strlen(kind);
    bool leads = strncmp(zone->name, kind, length) == 0 && zone->name[length] == ' ';
    return leads ? zone->name + length + 1 : zone->name;
}

static const sf_zone *most_replaced(const sf_zones *zones, const sf_zone *but)
{
    const sf_zone *most = NULL;
    for (size_t i = 0; i < zones->count; i++) {
        const sf_zone *zone = &zones->zones[i];
        if (zone != but && zone->verdicts[SF_REPLACE] > (most ? most->verdicts[SF_REPLACE] : 0))
            most = zone;
    }
    return most;
}

/* The two zones that hold most of what is replaced, where they hold more than half of it. */
static void add_places(text *into, const sf_zones *zones, size_t replaced)
{
    static const char word[] = "around ";
    const sf_zone *first = most_replaced(zones, NULL);
    const sf_zone *second = first ? most_replaced(zones, first) : NULL;
    if (!first)
        return;
    size_t held = first->verdicts[SF_REPLACE] + (second ? second->verdicts[SF_REPLACE] : 0);
    if (2 * held <= replaced)
        return;
    text_add(into, held < replaced ? ", most of them " : ", ");
    text_add(into, zone_place(first));
    if (!second)
        return;
    const char *place = zone_place(second);
    bool same_word = strncmp(zone_place(first), word, strlen(word)) == 0 &&
                     strncmp(place, word, strlen(word)) == 0;
    text_addf(into, " and %s", same_word ? place + strlen(word) : place);
}

static void add_replaced(text *into, const sf_outcome *outcome, const group *replaced, size_t parts)
{
    if (parts == 1)
        text_add(into, "it stands");
    else if (replaced->count == parts)
        text_add(into, "they stand");
    else if (replaced->count == 1)
        text_add(into, "the one to replace stands");
    else
        text_addf(into, "the %zu stand", replaced->count);
    text_add(into, " where the board runs at ");
    add_temperatures(into, replaced->least_c, replaced->most_c);
    add_places(into, outcome->zones, replaced->count);
}

static void add_left(text *into, const group *left, size_t parts)
{
    bool one = left->count == 1;
    if (left->count == parts)
        text_add(into, one ? "it runs at " : "they run at ");
    else
        text_add(into, one ? "the one left runs at " : "those left run at ");
    add_temperatures(into, left->least_c, left->most_c);
    if (!isfinite(left->used))
        return;
    text_add(into, one ? " and has used at most " : " and have used at most ");
    number_add(into, fmax(ceil(left->used * 100), 1), 0);
    text_add(into, one ? " % of its rated life" : " % of their rated life");
}

/* "Replace 12 of 90 capacitors, check 9, leave 69" */
static void add_counts(text *into, const size_t *counts, size_t parts)
{
    static const char *const words[SF_VERDICT_COUNT] = {
        [SF_LEAVE] = "Leave", [SF_CHECK] = "Check", [SF_REPLACE] = "Replace"};
    for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++) {
        if (counts[verdict] != parts)
            continue;
        if (parts == 1)
            text_addf(into, "%s the one capacitor listed", words[verdict]);
        else if (parts == 2)
            text_addf(into, "%s both capacitors", words[verdict]);
        else
            text_addf(into, "%s all %zu capacitors", words[verdict], parts);
        return;
    }
    if (counts[SF_REPLACE] > 0)
        text_addf(into, "Replace %zu of %zu capacitors", counts[SF_REPLACE], parts);
    else
        text_addf(into, "Replace none of %zu capacitors", parts);
    if (counts[SF_CHECK] > 0)
        text_addf(into, ", check %zu", counts[SF_CHECK]);
    if (counts[SF_LEAVE] > 0)
        text_addf(into, ", leave %zu", counts[SF_LEAVE]);
}

static void add_no_parts(text *into, const sf_outcome *outcome)
{
    heat_range heat = board_heat(outcome);
    text_add(into, "No capacitor is listed");
    if (isfinite(heat.most_c)) {
        text_add(into, "; the board runs at ");
        add_temperatures(into, heat.least_c, heat.most_c);
        text_addf(into, ", hottest near (%.0f, %.0f) mm", heat.most_x_mm, heat.most_y_mm);
    }
    text_add(into, ".");
}

char *sf_outcome_sentence(const sf_outcome *outcome)
{
    size_t parts = outcome->job->part_count, counts[SF_VERDICT_COUNT];
    text sentence = {0};
    if (parts == 0) {
        add_no_parts(&sentence, outcome);
        return text_take(&sentence);
    }
    for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
        counts[verdict] = verdict_count(outcome, (sf_verdict)verdict);
    group replaced = gather(outcome, SF_REPLACE), left = gather(outcome, SF_LEAVE);
    add_counts(&sentence, counts, parts);
    if (replaced.count > 0) {
        text_add(&sentence, ": ");
        add_replaced(&sentence, outcome, &replaced, parts);
    }
    if (left.count > 0) {
        text_add(&sentence, replaced.count > 0 ? "; " : ": ");
        add_left(&sentence, &left, parts);
    }
    text_add(&sentence, ".");
    return text_take(&sentence);
}
