/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings of capacitance, ESR and leakage against marking, limit and new parts; what ESR and
 * leakage a part may have where nobody gave its limits. */
#include "life/evidence.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "life/board_place.h"
#include "spotfield/life.h"

/* Frequency at which makers state tan delta. */
#define TAN_DELTA_HZ 120.0
/* Above so much, tan delta may be larger by TAN_DELTA_MORE for each further so much. */
#define LARGE_UF 1000.0
#define TAN_DELTA_MORE 0.02
#define COUNT(table) (sizeof(table) / sizeof((table)[0]))

/* Largest tan delta of a new part at 120 Hz and 20 C by rated voltage: a maker's data sheet of a
 * general-purpose radial series for 105 C (RGA), table of dissipation factors, with its note on
 * values above 1,000 uF. Other makers' lie within a third of these (common practice). */
static const struct {
    double rated_v, tan_delta;
} dissipations[] = {{6.3, 0.23}, {10, 0.20},  {16, 0.16},  {25, 0.14},  {35, 0.12},
                    {50, 0.10},  {63, 0.09},  {100, 0.08}, {160, 0.12}, {200, 0.14},
                    {250, 0.17}, {350, 0.20}, {400, 0.25}};

/* Ripple current allowed at a frequency over that at 100 Hz, by rated voltage: a maker's data
 * sheets of an axial 85 C series (document 28325, 2003, page 10) and, above 100 V, of a snap-in
 * series (document 28340), at 300 and 3,000 Hz read between its rows. The heat I^2 ESR is the same
 * at each, so that the ESR falls as the square of these grows. */
static const double bands_v[] = {16, 40, 100, INFINITY};
static const struct {
    double hz, allowed[COUNT(bands_v)];
} ripples[] = {{50, {0.95, 0.90, 0.85, 0.86}},   {100, {1, 1, 1, 1}},
               {300, {1.07, 1.12, 1.20, 1.18}},  {1000, {1.12, 1.20, 1.30, 1.29}},
               {3000, {1.15, 1.25, 1.35, 1.34}}, {10000, {1.20, 1.30, 1.40, 1.40}}};

/* Of the highest voltage in the table that is not above; of the lowest below it. */
static double largest_tan_delta(double rated_v, double capacitance_uf)
{
    double found = dissipations[0].tan_delta;
    for (size_t i = 0; i < COUNT(dissipations) && dissipations[i].rated_v <= rated_v; i++)
        found = dissipations[i].tan_delta;
    return found + TAN_DELTA_MORE * fmax(capacitance_uf - LARGE_UF, 0) / LARGE_UF;
}

/* Between the rows of the table by the logarithm of the frequency; flat beyond its ends. */
static double ripple_allowed(double hz, double rated_v)
{
    size_t band = 0, row = 1;
    while (rated_v > bands_v[band])
        band++;
    while (row + 1 < COUNT(ripples) && ripples[row].hz < hz)
        row++;
    double low_hz = ripples[row - 1].hz, high_hz = ripples[row].hz;
    double share = log(hz / low_hz) / log(high_hz / low_hz);
    double low = ripples[row - 1].allowed[band], high = ripples[row].allowed[band];
    return low + fmin(fmax(share, 0), 1) * (high - low);
}

double sf_esr_limit_ohm(const sf_part *part, double age_factor)
{
    if (!isnan(part->esr_limit_ohm))
        return part->esr_limit_ohm;
    double tan_delta = part->tan_delta;
    if (isnan(tan_delta) && part->type == SF_TYPE_ALUMINIUM && !isnan(part->rated_v))
        tan_delta = largest_tan_delta(part->rated_v, part->capacitance_uf);
    double at_120_ohm = tan_delta / (2 * M_PI * TAN_DELTA_HZ * 1e-6 * part->capacitance_uf);
    double rated_v = isnan(part->rated_v) ? 0 : part->rated_v; /* 0: where ESR falls least */
    double fall = ripple_allowed(TAN_DELTA_HZ, rated_v) / ripple_allowed(part->esr_hz, rated_v);
    return age_factor * at_120_ohm * fall * fall;
}

/* The same data sheet as of tan delta, table of leakage currents: after 2 minutes up to 100 V,
 * after 5 above. */
double sf_leakage_limit_ua(const sf_part *part)
{
    double charge_uc = part->capacitance_uf * part->rated_v;
    if (!isnan(part->leakage_limit_ua))
        return part->leakage_limit_ua;
    if (part->type != SF_TYPE_ALUMINIUM || isnan(charge_uc))
        return NAN;
    if (part->rated_v <= 100)
        return fmax(0.01 * charge_uc, 3);
    return charge_uc <= 1000 ? 0.03 * charge_uc + 15 : 0.02 * charge_uc + 25;
}

/* --- what was measured, against them --- */

/* A reading is out of tolerance when it is out by more than its expanded uncertainty, two standard
 * uncertainties: guarded rejection, JCGM 106:2012. */
#define COVERAGE_FACTOR 2.0

sf_status meter_judge(const sf_job *job, meter *judged)
{
    *judged = (meter){.bias = 1};
    double *ratios = array_new(job->control_count, sizeof *ratios);
    if (!ratios)
        return SF_ERROR_MEMORY;
    size_t count = 0;
    for (size_t i = 0; i < job->control_count; i++) {
        const sf_control *control = &job->controls[i];
        if (control->value_uf > 0 && control->measured_uf > 0)
            ratios[count++] = control->measured_uf / control->value_uf;
    }
    if (count > 0) {
        gsl_sort(ratios, 1, count);
        judged->bias = gsl_stats_median_from_sorted_data(ratios, 1, count);
        judged->controls = count;
    }
    /* the median of a normal sample errs by sqrt(pi / 2) times as much as its mean */
    if (count > 1)
        judged->bias_sd = sqrt(M_PI_2 / (double)count) * gsl_stats_sd(ratios, 1, count);
    free(ratios);
    return SF_OK;
}

static void judge_capacitance(evidence *found, const sf_part *part, const meter *with)
{
    double ratio = part->measured_uf / part->capacitance_uf;
    double corrected = ratio / with->bias;
    double doubt_pct = 100 * COVERAGE_FACTOR * corrected * with->bias_sd / with->bias;
    found->marking_pct = 100 * (ratio - 1);
    found->reading_pct = 100 * (corrected - 1);
    bool below = found->reading_pct < -part->tolerance_low_pct;
    found->reads_low = found->reading_pct + doubt_pct < -part->tolerance_low_pct;
    found->reads_near_low = below && !found->reads_low;
    found->reads_high = found->reading_pct > part->tolerance_high_pct;
}

static void judge_esr(evidence *found, const sf_part *part, const sf_policy *policy)
{
    found->esr_limit_ohm = sf_esr_limit_ohm(part, policy->esr_age_factor);
    double worn_ohm = policy->esr_doubt_factor * found->esr_limit_ohm;
    found->esr_worn = part->measured_esr_ohm > worn_ohm;
    found->esr_doubtful = part->measured_esr_ohm > found->esr_limit_ohm && !found->esr_worn;
}

static void judge_leakage(evidence *found, const sf_part *part, const sf_policy *policy)
{
    found->leakage_limit_ua = sf_leakage_limit_ua(part);
    found->leaks_worn = part->leakage_ua > policy->leakage_doubt_factor * found->leakage_limit_ua;
    found->leaks_doubtful = part->leakage_ua > found->leakage_limit_ua && !found->leaks_worn;
}

/* Where electrolyte is seen outside, it is out of this part; a smell may be of its neighbour
 * (common practice, no source). */
static void look_at(evidence *found, sf_condition condition)
{
    found->damaged = condition == SF_CONDITION_BULGED || condition == SF_CONDITION_LEAKING ||
                     condition == SF_CONDITION_CRUSTED || condition == SF_CONDITION_CORRODED;
    found->smells = condition == SF_CONDITION_SMELLS;
}

evidence evidence_gather(const sf_part *part, const meter *with, const sf_policy *policy)
{
    evidence found = {.reading_pct = NAN, .marking_pct = NAN};
    look_at(&found, part->condition);
    if (!isnan(part->measured_uf) && part->capacitance_uf > 0)
        judge_capacitance(&found, part, with);
    judge_esr(&found, part, policy);
    judge_leakage(&found, part, policy);
    bool read = !isnan(found.reading_pct);
    found.esr_judged = !isnan(part->measured_esr_ohm) && !isnan(found.esr_limit_ohm);
    found.worn = found.damaged || found.reads_low || found.esr_worn || found.leaks_worn;
    found.doubtful = found.reads_near_low || found.reads_high || found.esr_doubtful ||
                     found.leaks_doubtful || found.smells;
    found.fine = (read || found.esr_judged) && !found.worn && !found.doubtful;
    found.good = found.fine && read && found.esr_judged;
    return found;
}

/* --- what of the heat can be relied on --- */

/* What of the heat of each part can be relied on: which pieces of the board were read, and what in
 * doubt lies near. */

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
