/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Setting words, and sentences that several tell. */
#include "output/set_words.h"

#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"
#include "job/hours.h"
#include "output/report/report_pieces.h"
#include "survey/facts.h"

static const char no_break[] = "\u00A0", plus_minus[] = "\u00B1";

static const char *const units[] = {
    "%",  "\u00B0C", "K", "h",  "mm",      "cm\u00B2", "V",  "W",  "A",
    "Hz", "ohm",     "C", "uF", "\u00B5F", "uA",       "kg", NULL,
};

static bool ends_word(char byte)
{
    return !isalnum((unsigned char)byte) && byte != '_' && (unsigned char)byte < 0x80;
}

static bool follows_digit(const char *words, const char *rest)
{
    return rest > words && isdigit((unsigned char)rest[-1]);
}

static bool is_unit(const char *rest)
{
    for (const char *const *unit = units; *unit; unit++)
        if (strncmp(rest, *unit, strlen(*unit)) == 0 && ends_word(rest[strlen(*unit)]))
            return true;
    return false;
}

bool keeps_unit(const char *words, const char *rest)
{
    size_t sign = sizeof plus_minus - 1;
    if (rest[0] != ' ')
        return false;
    if (follows_digit(words, rest))
        return is_unit(rest + 1) || strncmp(rest + 1, plus_minus, sign) == 0;
    return (size_t)(rest - words) >= sign && memcmp(rest - sign, plus_minus, sign) == 0 &&
           isdigit((unsigned char)rest[1]);
}

/* The form of what stands at `rest`, and the bytes it takes the place of; NULL: as it is. */
static const char *better_set(const char *words, const char *rest, size_t *bytes)
{
    static const struct {
        const char *typed, *set;
    } forms[] = {{" C", "\u00A0\u00B0C"},
                 {" uF", "\u00A0\u00B5F"},
                 {" uA", "\u00A0\u00B5A"},
                 {" um", "\u00A0\u00B5m"}};
    if (strncmp(rest, "+/-", 3) == 0) {
        *bytes = 3;
        return plus_minus;
    }
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        *bytes = strlen(forms[i].typed);
        if (strncmp(rest, forms[i].typed, *bytes) == 0 && follows_digit(words, rest) &&
            ends_word(rest[*bytes]))
            return forms[i].set;
    }
    *bytes = 1;
    return keeps_unit(words, rest) ? no_break : NULL;
}

void set_words(text *into, const char *words)
{
    for (const char *rest = words; *rest;) {
        size_t bytes = 1;
        const char *better = better_set(words, rest, &bytes);
        if (better)
            text_add(into, better);
        else
            text_add_bytes(into, rest, 1);
        rest += better ? bytes : 1;
    }
}

/* --- what hours and grade alone, and the meter, say of the parts of a board --- */

char *hours_words(const sf_outcome *outcome)
{
    const sf_job *job = outcome->job;
    double told = job_hours_told(job), against = job_hours_against(job);
    size_t held = 0;
    for (size_t i = 0; i < job->part_count; i++)
        held += outcome->results[i].rule == SF_RULE_DOUBTED &&
                outcome->results[i].cause == SF_CAUSE_AGE;
    bool beyond = told > board_hours_most(&job->board);
    if (!beyond && isnan(against))
        return text_copy("");
    text words = {0};
    text_addf(&words, "The board is said to have run %s h, ", number_told(told).bytes);
    if (beyond)
        text_add(&words, "more than there are in its years");
    else
        text_addf(&words, "but its years give %s h", number_told(round(against)).bytes);
    text_add(&words, ": find out which is right");
    if (held > 0)
        text_addf(&words, "; %zu %s checked for that alone", held,
                  held == 1 ? "part is" : "parts are");
    return text_take(&words);
}

/* The map ranks these parts by nothing that matters; a meter on a few of them tells of all. */
char *by_grade_words(const sf_outcome *outcome, size_t *coolest)
{
    const sf_part *parts = outcome->job->parts;
    const sf_part_result *results = outcome->results;
    size_t count = 0, hottest = 0;
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        if (!(results[i].used_in_air > 1))
            continue;
        if (count == 0 || results[i].temp_c < results[*coolest].temp_c)
            *coolest = i;
        if (count == 0 || results[i].temp_c > results[hottest].temp_c)
            hottest = i;
        count++;
    }
    if (count == 0)
        return text_copy("");
    if (count == 1)
        return text_format(
            "%s is past its rated life by hours and grade alone: the map cannot help "
            "there; measure it",
            parts[*coolest].ref);
    return text_format(
        "%zu parts are past their rated life by hours and grade alone: the map cannot help there; "
        "measure a sample of these, from %s (coolest) to %s (hottest)",
        count, parts[*coolest].ref, parts[hottest].ref);
}

char *by_meter_words(const sf_outcome *outcome, const sf_grade_found *of)
{
    bool longer = of->factor_low > 1, told = of->good + of->worn > 0;
    text made = {0};
    if (!told || (!longer && of->factor_high >= 1))
        return text_copy("");
    text_addf(&made, "Your meter says that parts rated %s last %s %.1f times the %s h assumed",
              of->high_grade ? "105 C or more" : "below 105 C", longer ? "at least" : "at most",
              longer ? floor(of->factor_low * 10) / 10 : ceil(of->factor_high * 10) / 10,
              whole_told(of->endurance_h).bytes);
    text_addf(&made, " (%zu measured good, %zu worn): %s", of->good, of->worn,
              outcome->job->policy.endurance_by_meter >= 0.5
                  ? "the verdicts use it"
                  : "set endurance_by_meter to 1 in policy.csv to use it");
    return text_take(&made);
}

/* --- what is said to whoever reads on a running board --- */

const char keepout_question[] =
    "Where are mains and high voltage? This job does not say. Draw each such area in keepout.csv, "
    "or leave that file with its header line alone if there are none.";

const char *const probing_cautions[] = {
    "Mains and high voltage can kill even when switched off: capacitors hold their charge.",
    "Tape beads to the dead board, then stand back and power up.",
    ("Dead means: unplugged, each reservoir discharged through a resistor made for it, and proved "
     "with a meter."),
    ("While it runs: isolating transformer, one hand, insulated probes rated for the voltage, "
     "never alone."),
    CAUTION_ISOLATION,
    "Anything at high voltage is read by infrared, from outside the no-touch areas.",
    "Turn no trimmer that was set in the factory.",
    "Local codes and licensed practice come first.",
    NULL,
};
