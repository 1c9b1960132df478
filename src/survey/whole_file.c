/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A file with one slip in it may fit itself well: only the evidence under another reading of it
 * tells (a Bayes factor). */
#include "survey/one_slip.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "core/text.h"
#include "job/number.h"
#include "spotfield/survey.h"

/* Log evidence of a job's observations; -INFINITY where no field can be fitted to them. */
static double log_evidence_fitted(const sf_job *job, const sf_observation *observations,
                                  size_t count, const sf_field_options *options)
{
    sf_field_input input = sf_field_input_of(job, observations, count);
    sf_point *cans = sf_part_places(job);
    sf_diagnostics dropped = {0};
    input.cans = cans;
    input.can_count = job->part_count;
    double evidence;
    if (!cans || sf_field_log_evidence(&input, options, &evidence, &dropped) != SF_OK)
        evidence = -INFINITY;
    sf_diagnostics_clear(&dropped);
    free(cans);
    return evidence;
}

#define CELLS_COARSE 600
/* nats: 400 to 1, which leaves ten to one where one file in forty has a slip */
#define GAIN_LEAST 6.0
#define READINGS_LEAST 4
#define READINGS_ASKED 24   /* so many tell as surely as more: each bears a slip of all out */
#define OFF_BOARD_MM 2.0    /* as far as a reading may lie beside the board */
#define COLDEST_K (-3.0)    /* under its air, by instrument and draught */
#define MEAN_RISE_LEAST 0.5 /* K: below, the board was not on */
#define MEAN_RISE_MOST 90.0 /* K: above, parts would not last a year */
#define SPREAD_SHARE 0.6    /* of the readings' spread: a field that left out errs so is no help */
#define NOISE_OFF 2.0

/* --- hypotheses --- */

static void from_fahrenheit(const sf_board *board, sf_reading *of)
{
    (void)board;
    of->value = fahrenheit_to_c(of->value);
}

static void from_top(const sf_board *board, sf_reading *of)
{
    of->y_mm = board->height_mm - of->y_mm;
}

static void exchanged(const sf_board *board, sf_reading *of)
{
    (void)board;
    double x_mm = of->x_mm;
    of->x_mm = of->y_mm;
    of->y_mm = x_mm;
}

static void from_inches(const sf_board *board, sf_reading *of)
{
    (void)board;
    of->x_mm *= 25.4;
    of->y_mm *= 25.4;
}

static void from_tenths(const sf_board *board, sf_reading *of)
{
    (void)board;
    of->value /= 10;
}

static void a_digit_short(const sf_board *board, sf_reading *of)
{
    (void)board;
    of->value *= 10;
}

typedef struct hypothesis {
    void (*mend)(const sf_board *board, sf_reading *of);
    double factor; /* of the values: the density of what was typed is that of what was meant, times
                      this for each reading */
    const char *column, *words;
} hypothesis;

static const hypothesis hypotheses[] = {
    {from_fahrenheit, 1 / 1.8, "value",
     "the readings fit far better as Fahrenheit: is the unit F?"},
    {from_top, 1, "y_mm",
     "the readings fit far better with y counted from the top: is the lower left corner the "
     "origin?"},
    {exchanged, 1, "x_mm",
     "the readings fit far better with x and y swapped: does x run along the width?"},
    {from_inches, 1, "x_mm",
     "the readings fit far better with their places in inches: are they in millimetres?"},
    {from_tenths, 0.1, "value",
     "the readings fit far better as tenths of a degree: is a decimal point missing?"},
    {a_digit_short, 10, "value",
     "the readings fit far better ten times as high: is the decimal point a digit too far left?"},
};

enum { HYPOTHESES = sizeof hypotheses / sizeof *hypotheses };

/* --- whether it is worth asking --- */

/* Mean and standard deviation of the rises in the fit. */
static sf_estimate rises_of(const sf_observation *observations, size_t count)
{
    double n = 0, sum = 0, squares = 0;
    for (size_t i = 0; i < count; i++) {
        if (!observations[i].in_fit)
            continue;
        n++;
        sum += observations[i].rise_k;
        squares += observations[i].rise_k * observations[i].rise_k;
    }
    double mean = sum / fmax(n, 1);
    return (sf_estimate){mean, sqrt(fmax(squares / fmax(n, 1) - mean * mean, 0))};
}

static bool rise_is_plausible(double mean_k)
{
    return mean_k >= MEAN_RISE_LEAST && mean_k <= MEAN_RISE_MOST;
}

static bool is_off(const sf_outcome *outcome)
{
    sf_field_summary summary = sf_field_summarize(outcome->field);
    sf_estimate rises_k = rises_of(outcome->observations, outcome->observation_count);
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(outcome->field, &count);
    bool off = summary.left_out_rmse_k > SPREAD_SHARE * rises_k.sd ||
               summary.noise_factor > NOISE_OFF || !rise_is_plausible(rises_k.value);
    for (size_t i = 0; i < count; i++)
        off = off || sf_reading_misfits(&fits[i]) || fits[i].gross >= 0.5 || fits[i].idle;
    const sf_source_fit *sources = sf_field_sources(outcome->field, &count);
    for (size_t j = 0; j < count; j++)
        off = off || !sources[j].listed || sf_source_doubted(&sources[j]);
    return off && isfinite(summary.log_evidence) && summary.readings >= READINGS_LEAST &&
           !outcome->pixels;
}

/* --- the evidence of one --- */

/* Whether all that would be in the fit lie on the board: asked before they are corrected, which
 * takes long for a series. */
static bool lie_on_board(const sf_job *job)
{
    for (size_t i = 0; i < job->reading_count; i++) {
        const sf_reading *at = &job->readings[i];
        if (at->spot != SF_SPOT_SOURCE &&
            board_distance(job->rings, job->ring_count, at->x_mm, at->y_mm) > OFF_BOARD_MM)
            return false;
    }
    return true;
}

/* Whether the readings that are no series show that a board cannot be so, whatever the series come
 * to: one is colder than its air, or their sum too warm even if all others were as cold as may be.
 * A series takes longer to correct than all of them. */
static bool plain_ones_deny(const sf_job *job)
{
    sf_job plain = *job;
    sf_observation *seen = NULL;
    sf_diagnostics dropped = {0};
    size_t count = 0;
    bool denied = false;
    plain.reading_count = 0;
    plain.readings = array_new(job->reading_count, sizeof *plain.readings);
    for (size_t i = 0; plain.readings && i < job->reading_count; i++)
        if (isnan(job->readings[i].minute))
            plain.readings[plain.reading_count++] = job->readings[i];
    double rest = (double)(job->reading_count - plain.reading_count), fitted = rest;
    double sum_k = rest * COLDEST_K;
    if (plain.readings && rest > 0 &&
        sf_readings_correct(&plain, &seen, &count, &dropped) == SF_OK) {
        for (size_t i = 0; i < count; i++) {
            denied = denied || (seen[i].in_fit && seen[i].rise_k < COLDEST_K);
            fitted += seen[i].in_fit;
            sum_k += seen[i].in_fit ? seen[i].rise_k : 0;
        }
        denied = denied || sum_k > MEAN_RISE_MOST * fitted;
    }
    sf_observations_free(seen, count);
    sf_diagnostics_clear(&dropped);
    free(plain.readings);
    return denied;
}

/* Whether a board can be so: no colder than its air, and of a rise that it stands. */
static bool is_plausible(const sf_observation *observations, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (observations[i].in_fit && observations[i].rise_k < COLDEST_K)
            return false;
    return rise_is_plausible(rises_of(observations, count).value);
}

/* Evidence of at most READINGS_ASKED observations, evenly along their file. */
static double evidence_asked(const sf_job *job, const sf_observation *observations, size_t count,
                             double factor, const sf_field_options *options)
{
    size_t kept = 0, fitted = 0, most = count < READINGS_ASKED ? count : READINGS_ASKED;
    sf_observation *asked = array_new(most, sizeof *asked);
    if (!asked)
        return -INFINITY;
    for (size_t i = 0; i < count; i++)
        if (i * most % count < most) {
            asked[kept] = observations[i];
            fitted += asked[kept++].in_fit;
        }
    double evidence = log_evidence_fitted(job, asked, kept, options) + (double)fitted * log(factor);
    free(asked);
    return evidence;
}

/* The readings as they were typed, had they been meant so; false where they cannot have been. */
static bool suppose(const sf_job *job, const hypothesis *of, sf_observation **observations,
                    size_t *count)
{
    sf_job meant = *job;
    sf_diagnostics dropped = {0};
    *observations = NULL;
    *count = 0;
    meant.readings = array_new(job->reading_count, sizeof *meant.readings);
    if (!meant.readings)
        return false;
    for (size_t i = 0; i < job->reading_count; i++) {
        meant.readings[i] = job->readings[i];
        if (of->factor == 1 || job->readings[i].unit == SF_UNIT_CELSIUS)
            of->mend(&job->board, &meant.readings[i]);
    }
    bool may_be = lie_on_board(&meant) && !plain_ones_deny(&meant) &&
                  sf_readings_correct(&meant, observations, count, &dropped) == SF_OK &&
                  is_plausible(*observations, *count);
    sf_diagnostics_clear(&dropped);
    free(meant.readings);
    return may_be;
}

/* The hypothesis of most evidence, where one has more than the readings as they are; else NULL.
 * These are fitted only where there is something to hold against them. */
static const hypothesis *likeliest(const sf_outcome *outcome, const sf_field_options *options)
{
    const hypothesis *best = NULL;
    double mean_k = rises_of(outcome->observations, outcome->observation_count).value;
    double most = NAN;
    for (size_t i = 0; i < HYPOTHESES && !(most == -INFINITY); i++) {
        sf_observation *meant;
        size_t count;
        bool may_be = suppose(outcome->job, &hypotheses[i], &meant, &count);
        if (may_be && isnan(most)) /* one as warm as no board is needs no more against it */
            most = (rise_is_plausible(mean_k) ? GAIN_LEAST : 0) +
                   evidence_asked(outcome->job, outcome->observations, outcome->observation_count,
                                  1, options);
        double evidence = may_be && most > -INFINITY ? evidence_asked(outcome->job, meant, count,
                                                                      hypotheses[i].factor, options)
                                                     : -INFINITY;
        if (evidence > most) {
            most = evidence;
            best = &hypotheses[i];
        }
        sf_observations_free(meant, count);
    }
    return best;
}

sf_status whole_file_ask(sf_outcome *outcome, const sf_field_options *options,
                         sf_diagnostics *diagnostics)
{
    sf_field_options coarse = *options;
    coarse.cell_mm = 0;
    coarse.cells_max = CELLS_COARSE;
    const hypothesis *best = is_off(outcome) ? likeliest(outcome, &coarse) : NULL;
    if (!best)
        return SF_OK;
    outcome->whole_file = text_copy(best->words);
    if (!outcome->whole_file)
        return SF_ERROR_MEMORY;
    return sf_diagnose(diagnostics, SF_WARNING, "readings.csv", 0, best->column, best->words, NULL);
}
