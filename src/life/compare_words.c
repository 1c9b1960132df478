/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A comparison in sentences. */
#include <math.h>
#include <stdlib.h>

#include "core/text.h"
#include "life/owner_words.h"
#include "spotfield/compare.h"

/* "3 of 12 parts", "1 of 1 part". */
static void add_of(text *into, size_t some, size_t all)
{
    text_addf(into, "%zu of %zu part%s", some, all, all == 1 ? "" : "s");
}

static void add_area(text *into, const sf_comparison *of)
{
    double mean_k = fabs(of->mean_change_k) < 0.05 ? 0 : of->mean_change_k; /* no "-0.0" */
    text_addf(into, " Over the board's area the rise changed by %+.1f K on average; ", mean_k);
    add_percent(into, of->hotter_mm2 / of->area_mm2);
    text_add(into, " of it runs hotter and ");
    add_percent(into, of->cooler_mm2 / of->area_mm2);
    text_add(into, " cooler by more than the uncertainty.");
}

char *sf_comparison_sentence(const sf_comparison *comparison)
{
    const size_t *changes = comparison->changes;
    size_t compared = comparison->part_count - changes[SF_CHANGE_UNKNOWN];
    text said = {0};
    if (compared > 0 && changes[SF_CHANGE_DOUBTFUL] == compared) {
        if (compared == 1)
            text_add(&said, "The one part did not change measurably.");
        else
            text_addf(&said, "None of the %zu parts changed measurably.", compared);
    } else {
        add_of(&said, changes[SF_CHANGE_HOTTER], compared);
        text_addf(&said,
                  " run%s hotter than before by more than the uncertainty, %zu run%s cooler; ",
                  changes[SF_CHANGE_HOTTER] == 1 ? "s" : "", changes[SF_CHANGE_COOLER],
                  changes[SF_CHANGE_COOLER] == 1 ? "s" : "");
        text_addf(&said, "the other %zu did not change measurably.", changes[SF_CHANGE_DOUBTFUL]);
    }
    add_area(&said, comparison);
    return text_take(&said);
}

enum { NAMED_MOST = 6 };

/* "source R10 +9.1 K, source U2 +4.0 K"; *told counts over all kinds. */
static void add_hotter(text *into, const char *what, const sf_heat_change *changes, size_t count,
                       size_t *told)
{
    size_t named = 0, hotter = 0;
    for (size_t i = 0; i < count; i++) {
        if (changes[i].change != SF_CHANGE_HOTTER || hotter++ >= NAMED_MOST)
            continue;
        text_addf(into, "%s%s %s %+.1f K", *told + named == 0 ? "" : ", ", what, changes[i].ref,
                  changes[i].change_k.value);
        named++;
    }
    if (hotter > named)
        text_addf(into, " and %zu more", hotter - named);
    *told += named;
}

char *sf_comparison_alarm(const sf_comparison *comparison)
{
    size_t told = 0, parts = comparison->changes[SF_CHANGE_HOTTER];
    text said = {0}, what = {0};
    add_hotter(&what, "source", comparison->sources, comparison->source_count, &told);
    size_t sources = told;
    add_hotter(&what, "reading", comparison->readings, comparison->reading_count, &told);
    if (parts > 0)
        text_addf(&what, "%s%zu part%s", told > 0 ? ", " : "", parts, parts == 1 ? "" : "s");
    if (told > 0 || parts > 0)
        text_addf(&said, "Hotter than before by more than the uncertainty: %s.%s",
                  what.failed ? "" : what.bytes,
                  sources > 0 && parts == 0
                      ? " No capacitor notices it yet, but a source that runs hotter fails next."
                      : "");
    else
        text_add(&said, "");
    said.failed = said.failed || what.failed;
    text_clear(&what);
    return text_take(&said);
}

static size_t measured_count(const sf_agreement *of)
{
    size_t measured = 0;
    for (int heat = 0; heat < SF_VERDICT_COUNT; heat++)
        for (int found = SF_METER_FINE; found < SF_METER_COUNT; found++)
            measured += of->counts[heat][found];
    return measured;
}

static void add_agreement(text *into, const sf_agreement *of)
{
    add_of(into, of->agree, of->decided);
    text_add(into, " on which both heat and meter decided got the same answer from both, ");
    add_percent(into, (double)of->agree / (double)of->decided);
    text_add(into, " (95 % interval ");
    add_percent_range(into, of->low, of->high);
    text_add(into, ").");
}

/* Sensitivity and specificity. */
static void add_rates(text *into, const sf_agreement *of)
{
    size_t caught = of->counts[SF_REPLACE][SF_METER_WORN];
    size_t worn = caught + of->counts[SF_LEAVE][SF_METER_WORN];
    size_t spared = of->counts[SF_LEAVE][SF_METER_FINE];
    size_t fine = spared + of->counts[SF_REPLACE][SF_METER_FINE];
    if (worn > 0)
        text_addf(into, " Of the %zu the meter found worn, heat had said \"replace\" for %zu.",
                  worn, caught);
    else
        text_add(
            into,
            " The meter found none of them worn, so there is no way to tell whether heat misses "
            "worn parts.");
    if (fine > 0)
        text_addf(into, " Of the %zu it found fine, heat had said \"leave\" for %zu.", fine,
                  spared);
    else
        text_add(
            into,
            " It found none of them fine, so there is no way to tell whether heat condemns fine "
            "parts.");
}

static void add_undecided(text *into, const sf_agreement *of, size_t measured)
{
    if (measured > of->decided)
        text_addf(into,
                  " %zu more %s measured but not decided by both: heat asked for a check, or "
                  "the reading is too near a limit.",
                  measured - of->decided, measured - of->decided == 1 ? "was" : "were");
    text_addf(into,
              " %zu of the %zu measured %s pulled; where only parts to replace were measured, "
              "the table says little about those left.",
              of->pulled, measured, of->pulled == 1 ? "was" : "were");
}

char *sf_agreement_sentence(const sf_agreement *agreement)
{
    text said = {0};
    size_t measured = measured_count(agreement);
    if (measured == 0) {
        text_add(&said, "No part of the first survey was measured: heat and meter cannot be "
                        "compared. Enter the readings of pulled parts in its parts.csv.");
        return text_take(&said);
    }
    if (agreement->decided > 0) {
        add_agreement(&said, agreement);
        add_rates(&said, agreement);
    } else {
        text_add(&said, "No part was decided by both heat and meter.");
    }
    add_undecided(&said, agreement, measured);
    return text_take(&said);
}
