/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reasons of planned readings: what is settled, then how to read there. */
#include "life/plan_reason.h"

#include <math.h>
#include <stdlib.h>

#include "job/places.h"
#include "life/owner_words.h"

#define NAMED_MOST 3
#define NAMED_SHARE 0.25  /* of the greatest gain, from which a part is named */
#define SETTLED_SHARE 0.1 /* of it, from which a part counts as settled */
#define DEPENDS_SHARE 0.2 /* of its variance told, from which a part depends on a source */
#define SURE 0.02         /* a probability so near to 0 or 1 is not what is settled */

sf_side probe_side(const sf_job *job, const probe *at)
{
    switch (at->spot) {
    case PROBE_SOURCE: /* its body covers its own side */
        return job->sources[at->index].side == SF_SIDE_SOLDER ? SF_SIDE_COMPONENT : SF_SIDE_SOLDER;
    case PROBE_CAN:
        return part_on_solder_side(&job->parts[at->index]) ? SF_SIDE_SOLDER : SF_SIDE_COMPONENT;
    default:
        return SF_SIDE_EITHER;
    }
}

static int compare_gains(const void *one, const void *other)
{
    const plan_effect *a = one, *b = other;
    return (a->gain < b->gain) - (a->gain > b->gain);
}

/* The first of them gains something, else the reading would not have been chosen. */
static size_t count_from(const plan_effect *effects, size_t count, double share)
{
    size_t found = 0;
    while (found < count && effects[found].gain >= share * effects[0].gain)
        found++;
    return found;
}

/* Whether the doubt is about the life that is used, rather than about that which is left. */
static bool about_past(const plan_effect *of)
{
    double past = loss_past(of->of, of->rise_k, of->sd_k);
    double measure = loss_measure(of->of, of->rise_k, of->sd_k);
    bool past_unsure = past > SURE && past < 1 - SURE;
    bool measure_unsure = measure > SURE && measure < 1 - SURE;
    return past_unsure || !measure_unsure || !of->of->may_leave;
}

static double chance(const plan_effect *of)
{
    return about_past(of) ? loss_past(of->of, of->rise_k, of->sd_k)
                          : loss_measure(of->of, of->rise_k, of->sd_k);
}

/* How many of the first are named: those that gain most, as long as they doubt the same. */
static size_t count_named(const plan_effect *effects, size_t count)
{
    size_t most = count_from(effects, count, NAMED_SHARE), named = 0;
    most = most < NAMED_MOST ? most : NAMED_MOST;
    while (named < most && about_past(&effects[named]) == about_past(&effects[0]))
        named++;
    return named;
}

/* "settles C12, C17 and 3 more: now 38 % and 22 % likely past its rated life; ". */
static void add_settled(text *into, const plan_effect *effects, size_t count)
{
    size_t settled = count_from(effects, count, SETTLED_SHARE);
    size_t named = count_named(effects, count);
    bool halved = effects[0].gain >= effects[0].loss / 2;
    text_add(into, halved ? "settles " : "helps settle ");
    for (size_t i = 0; i < named; i++) {
        bool last = i > 0 && i + 1 == named && settled == named;
        text_addf(into, "%s%s", i == 0 ? "" : last ? " and " : ", ", effects[i].part->ref);
    }
    if (settled > named)
        text_addf(into, " and %zu more", settled - named);
    text_add(into, ": now ");
    for (size_t i = 0; i < named; i++) {
        text_add(into, i == 0 ? "" : i + 1 == named ? " and " : ", ");
        add_percent(into, chance(&effects[i]));
    }
    text_add(into, about_past(&effects[0]) ? " likely past its rated life; "
                                           : " likely to need a check; ");
}

static void add_source(text *into, const sf_source *source, const plan_effect *effects,
                       size_t count)
{
    size_t depending = 0;
    for (size_t i = 0; i < count; i++)
        depending += effects[i].told >= DEPENDS_SHARE;
    text_addf(into, "shows how strong %s is", source->ref);
    if (depending > 0)
        text_addf(into, ", on which %zu part%s depend%s", depending, depending == 1 ? "" : "s",
                  depending == 1 ? "s" : "");
    text_add(into, "; ");
}

static void add_how(text *into, const sf_job *job, const probe *at)
{
    if (at->spot == PROBE_SOURCE)
        text_addf(into, "%s its middle, on the %s; ",
                  probe_side(job, at) == SF_SIDE_SOLDER ? "under" : "over",
                  sf_side_text(probe_side(job, at)));
    if (at->spot == PROBE_CAN)
        text_add(into, "on its can; ");
    if (at->keepout)
        text_addf(into, "infrared only: %s",
                  at->keepout->reason && at->keepout->reason[0] ? at->keepout->reason
                                                                : "no-touch area");
    else if (at->method == SF_METHOD_INFRARED)
        text_add(into, at->spot == PROBE_CAN
                           ? "infrared, square to the sleeve, not on the bare lid"
                           : "infrared, square to the mask, not on solder or metal");
    else if (at->spot == PROBE_CAN)
        text_add(into, "thermocouple taped to the sleeve, not to the lid or a lead; discharge "
                       "first");
    else
        text_add(into, "thermocouple taped to the board, 10 mm or more from any live part; "
                       "discharge first");
}

char *plan_reason_write(const sf_job *job, const probe *at, plan_effect *effects, size_t count)
{
    text words = {0};
    qsort(effects, count, sizeof *effects, compare_gains);
    if (at->spot == PROBE_SOURCE)
        add_source(&words, &job->sources[at->index], effects, count);
    add_settled(&words, effects, count);
    add_how(&words, job, at);
    return text_take(&words);
}
