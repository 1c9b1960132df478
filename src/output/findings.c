/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is to be looked at before the verdicts are acted on, told once for report, JSON and
 * terminal. */
#include "output/tables.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"
#include "output/record.h"
#include "output/set_words.h"
#include "readings/cold.h"
#include "spotfield/output.h"
#include "survey/facts.h"

enum { FINDINGS_MOST = 24, NAMES_MOST = 6, PATCHES_TOLD = 2 };
#define ALIKE_K 2.0
#define NOISE_OFF 2.0

/* The list while it grows. */
typedef struct listing {
    const sf_outcome *outcome;
    sf_finding *items; /* room for FINDINGS_MOST */
    size_t count;
    bool failed;
} listing;

/* The one thing that a finding is foremost about, and where it is; as in sf_finding. */
typedef struct target {
    const char *ref;
    double x_mm, y_mm;
} target;

static const target no_one = {NULL, NAN, NAN};

/* Takes the words over. */
static void add_words(listing *into, const char *section, target on, char *words)
{
    into->failed = into->failed || !words;
    if (into->failed || into->count == FINDINGS_MOST) {
        free(words);
        return;
    }
    into->items[into->count++] = (sf_finding){section, words, on.ref, on.x_mm, on.y_mm};
}

static void add(listing *into, const char *section, const char *words)
{
    add_words(into, section, no_one, text_copy(words));
}

/* So many of a kind, and the one of them to begin with. */
typedef struct tally {
    size_t count;
    double most; /* how far that one is out */
    target worst;
} tally;

static void tally_up(tally *of, target on, double out)
{
    if (of->count++ == 0 || out > of->most) {
        of->most = out;
        of->worst = on;
    }
}

static void add_tally(listing *into, const char *section, const tally *of, const char *one,
                      const char *many)
{
    char where[64];
    if (of->worst.ref)
        snprintf(where, sizeof where, "%.40s", of->worst.ref);
    else
        snprintf(where, sizeof where, "at (%.0f, %.0f)", of->worst.x_mm, of->worst.y_mm);
    if (of->count == 1)
        add_words(into, section, of->worst, text_format("One %s: %s", one, where));
    else if (of->count > 1)
        add_words(into, section, of->worst,
                  text_format("%zu %s, first %s", of->count, many, where));
}

/* --- readings --- */

typedef bool (*reading_test)(const sf_reading_fit *fit);

static bool is_misfit(const sf_reading_fit *fit)
{
    return sf_reading_misfits(fit) && !sf_reading_weightless(fit);
}

static bool is_alone(const sf_reading_fit *fit)
{
    return sf_reading_doubted(fit) && !is_misfit(fit) && !sf_reading_weightless(fit) &&
           fit->alone > fabs(fit->score);
}

static bool is_idle(const sf_reading_fit *fit)
{
    return fit->idle && !sf_reading_doubted(fit);
}

/* "r3", "r3 and r7", "r1, r2, r3, r4, r5, r6 and 3 more"; empty where the test holds for none. */
static size_t name_readings(const sf_outcome *outcome, reading_test holds, text *names)
{
    size_t count, told = 0, all = 0;
    const sf_reading_fit *fits = sf_field_readings(outcome->field, &count);
    for (size_t i = 0; i < count; i++)
        all += holds(&fits[i]);
    for (size_t i = 0; i < count && told < NAMES_MOST; i++) {
        if (!holds(&fits[i]))
            continue;
        text_add(names, told == 0 ? "" : told + 1 == all ? " and " : ", ");
        text_add(names, outcome->observations[fits[i].observation].id);
        told++;
    }
    if (all > told)
        text_addf(names, " and %zu more", all - told);
    return all;
}

static target reading_target(const sf_outcome *outcome, const sf_reading_fit *fit)
{
    const sf_observation *of = &outcome->observations[fit->observation];
    return (target){of->id, of->x_mm, of->y_mm};
}

static tally tally_readings(const sf_outcome *outcome, reading_test holds)
{
    tally found = {0};
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(outcome->field, &count);
    for (size_t i = 0; i < count; i++)
        if (holds(&fits[i]))
            tally_up(&found, reading_target(outcome, &fits[i]), fabs(fits[i].score));
    return found;
}

/* Formats with the names. */
static void add_readings(listing *into, reading_test holds, const char *one, const char *many)
{
    text names = {0};
    size_t count = name_readings(into->outcome, holds, &names);
    if (count > 0)
        add_words(into, "readings", tally_readings(into->outcome, holds).worst,
                  names.failed ? NULL : text_format(count == 1 ? one : many, names.bytes));
    text_clear(&names);
}

/* Sets from which no map can be made, whatever the model says. */
static void add_degenerate(listing *into)
{
    const sf_outcome *outcome = into->outcome;
    double least_k = INFINITY, most_k = -INFINITY, over_k = -INFINITY;
    size_t fitted = 0;
    for (size_t i = 0; i < outcome->observation_count; i++) {
        const sf_observation *of = &outcome->observations[i];
        if (!of->in_fit)
            continue;
        fitted++;
        least_k = fmin(least_k, of->rise_k);
        most_k = fmax(most_k, of->rise_k);
        over_k = fmax(over_k, of->rise_k - of->sd_k);
    }
    if (fitted == 0 || outcome->pixels)
        return;
    if (over_k <= 0)
        add(into, "readings", "Nothing is warmer than its air: was the board on?");
    else if (fitted == 1)
        add(into, "readings",
            "There is only one reading: it says how warm the board is, not where");
    else if (most_k - least_k < ALIKE_K)
        add_words(
            into, "readings", no_one,
            text_format("All readings are alike within %.1f K: they do not say where the heat "
                        "comes from",
                        most_k - least_k));
}

static void add_bodies(listing *into)
{
    const sf_outcome *outcome = into->outcome;
    for (size_t i = 0; i < outcome->observation_count; i++) {
        const sf_observation *of = &outcome->observations[i];
        if (sf_body_misfits(outcome->field, of))
            add_words(into, "readings", (target){of->id, of->x_mm, of->y_mm},
                      text_format("Reading %s on the body of a source is colder than the board "
                                  "below it: read it again",
                                  of->id));
    }
}

static void add_slip(listing *into, const char *words)
{
    if (words)
        add_words(into, "readings", no_one,
                  text_format("%c%s", toupper((unsigned char)*words), words + 1));
}

static void add_all_readings(listing *into)
{
    sf_field_summary summary = sf_field_summarize(into->outcome->field);
    tally misfits = tally_readings(into->outcome, is_misfit);
    add_slip(into, into->outcome->whole_file);
    add_slip(into, into->outcome->one_slip);
    add_degenerate(into);
    add_readings(into, sf_reading_weightless,
                 "Reading %s is taken to be wrong and has no weight: read it again",
                 "Readings %s are taken to be wrong and have no weight: read them again");
    add_tally(into, "readings", &misfits, "reading does not fit", "readings do not fit");
    add_readings(into, is_alone,
                 "Only reading %s points to unlisted heat there: read it again before "
                 "you look for a source",
                 "Only readings %s point to unlisted heat, each at its own place: "
                 "read them again before you look for a source");
    add_readings(into, is_idle,
                 "Reading %s lies on a listed source and shows hardly any heat from it: read it "
                 "again",
                 "Readings %s lie on listed sources and show hardly any heat from them: read them "
                 "again");
    add_bodies(into);
    if (summary.noise_factor > NOISE_OFF)
        add_words(into, "readings", no_one,
                  text_format("The readings scatter %.1f times as much as their uncertainty says",
                              summary.noise_factor));
}

/* --- thermogram --- */

static void add_thermogram(listing *into)
{
    const sf_pixels *pixels = into->outcome->pixels;
    if (!pixels)
        return;
    if (pixels->turned)
        add_words(into, "readings", no_one,
                  text_format("The picture fits the listed sources far better %s: check the marks",
                              pixels->turned));
    for (size_t i = 0; i < pixels->patch_count && i < PATCHES_TOLD; i++) {
        text words = {0};
        cold_patch_tell(&pixels->patches[i], &words);
        if (!words.failed)
            words.bytes[0] = (char)toupper((unsigned char)words.bytes[0]);
        text_add(&words, ": mask it");
        add_words(into, "readings", no_one, words.failed ? NULL : text_copy(words.bytes));
        text_clear(&words);
    }
    if (pixels->patch_count > PATCHES_TOLD)
        add_words(into, "readings", no_one,
                  text_format("%zu more patches look like bare metal",
                              pixels->patch_count - PATCHES_TOLD));
}

/* --- sources, parts --- */

static void add_sources(listing *into)
{
    tally found = {0}, contradicted = {0}, denied = {0};
    size_t count;
    const sf_source_fit *sources = sf_field_sources(into->outcome->field, &count);
    for (size_t i = 0; i < count; i++) {
        const sf_source_fit *of = &sources[i];
        target on = {of->listed ? of->ref : NULL, of->x_mm, of->y_mm};
        if (!of->listed)
            tally_up(&found, on, of->probability);
        if (of->contradiction)
            tally_up(&contradicted, on, fabs(of->power_score));
        if (listed_watts_denied(of))
            tally_up(&denied, on, fabs(of->power_score));
    }
    add_tally(into, "sources", &found, "unlisted heat source", "unlisted heat sources");
    add_tally(into, "sources", &contradicted, "listed source that does not fit the readings",
              "listed sources that do not fit the readings");
    add_tally(into, "sources", &denied, "listed source whose power does not fit the readings",
              "listed sources whose power does not fit the readings");
}

/* Takes the words over where there are any. */
static void add_told(listing *into, target on, char *words)
{
    if (words && words[0])
        add_words(into, "parts", on, words);
    else
        free(words);
    into->failed = into->failed || !words;
}

static void add_grades(listing *into)
{
    const sf_outcome *outcome = into->outcome;
    sf_grade_found found[2];
    size_t coolest = 0;
    char *alone = by_grade_words(outcome, &coolest);
    const sf_part *part = alone && alone[0] ? &outcome->job->parts[coolest] : NULL;
    add_told(into, part ? (target){part->ref, part->x_mm, part->y_mm} : no_one, alone);
    sf_grades_measured(outcome->job, outcome->results, found);
    for (int grade = 0; grade < 2; grade++)
        add_told(into, no_one, by_meter_words(outcome, &found[grade]));
}

static void add_parts(listing *into)
{
    tally disagreed = {0};
    for (size_t i = 0; i < into->outcome->job->part_count; i++) {
        const sf_part *part = &into->outcome->job->parts[i];
        if (heat_and_meter_disagree(into->outcome, i))
            tally_up(&disagreed, (target){part->ref, part->x_mm, part->y_mm},
                     into->outcome->results[i].past_life);
    }
    add_tally(into, "parts", &disagreed, "part on which heat and meter disagree",
              "parts on which heat and meter disagree");
}

/* --- pieces of board --- */

static void add_pieces(listing *into)
{
    unread_piece *unread;
    size_t count;
    if (unread_pieces_find(into->outcome, &unread, &count) != SF_OK)
        into->failed = true;
    for (size_t i = 0; i < count; i++) {
        target amid = {NULL, unread[i].amid.x_mm, unread[i].amid.y_mm};
        add_words(into, "map", amid,
                  text_format("No reading lies on the piece of board %s%s", unread[i].where,
                              unread[i].parts > 0 ? ": its parts can only be checked until one does"
                                                  : ""));
    }
    free(unread);
}

/* --- all --- */

void sf_findings_free(sf_finding *findings, size_t count)
{
    for (size_t i = 0; findings && i < count; i++)
        free(findings[i].words);
    free(findings);
}

sf_status sf_outcome_findings(const sf_outcome *outcome, sf_finding **findings, size_t *count)
{
    listing made = {.outcome = outcome, .items = array_new(FINDINGS_MOST, sizeof *made.items)};
    *findings = NULL;
    *count = 0;
    if (!made.items)
        return SF_ERROR_MEMORY;
    if (!outcome->job->keepout_told)
        add(&made, "cautions", "The job does not say where mains and high voltage are");
    add_told(&made, no_one, hours_words(outcome));
    add_all_readings(&made);
    add_thermogram(&made);
    add_pieces(&made);
    add_sources(&made);
    add_grades(&made);
    add_parts(&made);
    const sf_reference *better = reference_that_wins(outcome);
    if (better)
        add_words(&made, "readings", no_one,
                  text_format("The reference model %s predicts the readings better than the map",
                              better->model));
    if (made.failed) {
        sf_findings_free(made.items, made.count);
        return SF_ERROR_MEMORY;
    }
    *findings = made.items;
    *count = made.count;
    return SF_OK;
}

/* --- as the command line and the page tell them --- */

static void finding_record(const void *of, size_t row, record *into)
{
    const sf_finding *findings = of, *finding = &findings[row];
    record_words(into, "section", finding->section);
    record_words(into, "words", finding->words);
    record_words(into, "ref", finding->ref);
    record_short(into, "x_mm", finding->x_mm);
    record_short(into, "y_mm", finding->y_mm);
}

json_t *findings_json(const sf_outcome *outcome)
{
    sf_finding *findings;
    size_t count;
    if (sf_outcome_findings(outcome, &findings, &count) != SF_OK)
        return NULL;
    json_t *made = records_json(finding_record, findings, count);
    sf_findings_free(findings, count);
    return made;
}
