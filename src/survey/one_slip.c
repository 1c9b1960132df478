/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What may have been meant, what of it the field bears out, and how that is said. */
#include "survey/one_slip.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"

#define READINGS_LEAST 4
#define READINGS_MOST 80
#define LEAST_OFF 3.0    /* C: a slip that changes less is none to look for */
#define COLDEST_K (-3.0) /* under its air, by instrument and draught */
#define WARMEST_K 150.0
#define DECIMALS_MOST 2 /* what a meter shows; more come of another unit */
/* Judgements: of so many files one holds a slip of a kind, and each place for it is as likely. */
#define FILES_A_SLIP 20.0
#define ODDS_LEAST 0.5 /* of a slip over the readings as they are: worth a look in the notes */

void slips_clear(slip_list *list)
{
    free(list->items);
    free(list->words);
    *list = (slip_list){0};
}

/* Corrects one reading as if `value` was shown; false where that cannot be. */
static bool correct_as(const sf_job *job, size_t reading, double value, double *rise_k)
{
    sf_job alone = *job;
    sf_reading meant = job->readings[reading];
    sf_observation *seen = NULL;
    sf_diagnostics unheard = {0};
    size_t count = 0;
    meant.value = value;
    alone.readings = &meant;
    alone.reading_count = 1;
    bool may_be = sf_readings_correct(&alone, &seen, &count, &unheard) == SF_OK && count == 1 &&
                  seen[0].rise_k >= COLDEST_K && seen[0].rise_k <= WARMEST_K;
    if (may_be)
        *rise_k = seen[0].rise_k;
    sf_observations_free(seen, count);
    sf_diagnostics_clear(&unheard);
    return may_be;
}

/* The job's reading of an observation that was read once, in degrees; else the
 * number of readings. */
static size_t reading_of(const sf_job *job, const sf_observation *seen)
{
    size_t reading = 0;
    while (reading < job->reading_count && strcmp(job->readings[reading].id, seen->id) != 0)
        reading++;
    bool plain = reading < job->reading_count && seen->row_count == 1 &&
                 isnan(job->readings[reading].minute) &&
                 job->readings[reading].unit == SF_UNIT_CELSIUS;
    return plain ? reading : job->reading_count;
}

static bool add(slip_list *to, const sf_slip *slip, const struct slip_words *words)
{
    if (to->count == to->room) {
        size_t room = to->room ? 2 * to->room : 64;
        sf_slip *items = realloc(to->items, room * sizeof *items);
        if (items)
            to->items = items;
        struct slip_words *more = items ? realloc(to->words, room * sizeof *more) : NULL;
        if (!more)
            return false;
        to->words = more;
        to->room = room;
    }
    to->items[to->count] = *slip;
    to->words[to->count++] = *words;
    to->of_kind[words->kind]++;
    return true;
}

static bool add_value(const sf_job *job, size_t observation, size_t reading, int kind, double meant,
                      slip_list *to)
{
    sf_slip slip = {.observation = {observation, observation},
                    .log_factor = kind == SLIP_TENTH ? log(10) : 0};
    double written = job->readings[reading].value;
    if (fabs(meant - written) < LEAST_OFF || !correct_as(job, reading, meant, &slip.rise_k[0]))
        return true;
    slip.rise_k[1] = slip.rise_k[0];
    return add(to, &slip, &(struct slip_words){kind, {reading, reading}, meant});
}

/* Each two digits that stand side by side, a point between them or not, in the other order. */
static bool add_digits(const sf_job *job, size_t observation, size_t reading, slip_list *to)
{
    char written[32];
    bool room = true;
    snprintf(written, sizeof written, "%.10g", job->readings[reading].value);
    const char *point = strchr(written, '.');
    if (strspn(written, "0123456789.") < strlen(written) ||
        (point && strlen(point + 1) > DECIMALS_MOST))
        return true;
    for (size_t i = 0; room && written[i]; i++) {
        size_t next = i + 1 + (written[i + 1] == '.');
        if (!isdigit((unsigned char)written[i]) || !written[next])
            continue;
        char meant[32];
        memcpy(meant, written, sizeof meant);
        meant[i] = written[next];
        meant[next] = written[i];
        room = add_value(job, observation, reading, SLIP_DIGITS, atof(meant), to);
    }
    return room;
}

static bool add_exchanged(const sf_job *job, const size_t observations[2], const size_t readings[2],
                          slip_list *to)
{
    const sf_reading *one = &job->readings[readings[0]], *two = &job->readings[readings[1]];
    sf_slip slip = {.observation = {observations[0], observations[1]}};
    if (fabs(one->value - two->value) < LEAST_OFF ||
        !correct_as(job, readings[0], two->value, &slip.rise_k[0]) ||
        !correct_as(job, readings[1], one->value, &slip.rise_k[1]))
        return true;
    return add(to, &slip,
               &(struct slip_words){SLIP_EXCHANGED, {readings[0], readings[1]}, two->value});
}

sf_status slips_list(const sf_job *job, const sf_outcome *outcome, slip_list *made)
{
    const sf_observation *seen = outcome->observations;
    size_t count = outcome->observation_count;
    size_t reading[READINGS_MOST];
    bool room = true;
    *made = (slip_list){0};
    if (outcome->pixels || count < READINGS_LEAST || count > READINGS_MOST)
        return SF_OK;
    for (size_t i = 0; room && i < count; i++) {
        size_t own = reading[i] = reading_of(job, &seen[i]);
        if (own == job->reading_count)
            continue;
        room = add_value(job, i, own, SLIP_TENTH, 10 * job->readings[own].value, made) &&
               add_digits(job, i, own, made);
        for (size_t k = 0; room && k < i; k++)
            if (reading[k] < job->reading_count)
                room = add_exchanged(job, (size_t[2]){k, i}, (size_t[2]){reading[k], own}, made);
    }
    return room ? SF_OK : SF_ERROR_MEMORY;
}

static char *words_of(const sf_job *job, const struct slip_words *slip)
{
    const sf_reading *one = &job->readings[slip->readings[0]];
    const sf_reading *two = &job->readings[slip->readings[1]];
    if (slip->kind == SLIP_EXCHANGED)
        return text_format("reading %s and reading %s fit far better swapped: check your notes, or "
                           "read both again",
                           one->id, two->id);
    return text_format(
        "reading %s fits far better as %.4g than as %.4g: check your notes, or read it again",
        one->id, slip->meant, one->value);
}

sf_status one_slip_tell(sf_outcome *outcome, const slip_list *list, sf_diagnostics *diagnostics)
{
    size_t count, best = 0;
    const double *gains = sf_field_slip_gains(outcome->field, &count);
    double odds = 0, most = 0;
    for (size_t s = 0; s < count; s++) {
        double one = exp(gains[s]) / (FILES_A_SLIP * (double)list->of_kind[list->words[s].kind]);
        odds += one;
        if (one > most) {
            most = one;
            best = s;
        }
    }
    if (odds < ODDS_LEAST)
        return SF_OK;
    outcome->one_slip = words_of(outcome->job, &list->words[best]);
    if (!outcome->one_slip)
        return SF_ERROR_MEMORY;
    return sf_diagnose(diagnostics, SF_WARNING, "readings.csv",
                       outcome->job->readings[list->words[best].readings[0]].line, "value",
                       outcome->one_slip, NULL);
}
