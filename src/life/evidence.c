/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings of capacitance and ESR against marking, limit and new parts. */
#include "life/evidence.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "core/memory.h"
#include "spotfield/life.h"

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
    return found;
}

bool evidence_esr_judged(const evidence *of, const sf_part *part)
{
    return !isnan(part->measured_esr_ohm) && !isnan(of->esr_limit_ohm);
}

bool evidence_worn(const evidence *of)
{
    return of->damaged || of->reads_low || of->esr_worn || of->leaks_worn;
}

bool evidence_doubtful(const evidence *of)
{
    return of->reads_near_low || of->reads_high || of->esr_doubtful || of->leaks_doubtful ||
           of->smells;
}

bool evidence_fine(const evidence *of, const sf_part *part)
{
    bool measured = !isnan(of->reading_pct) || evidence_esr_judged(of, part);
    return measured && !evidence_worn(of) && !evidence_doubtful(of);
}

bool evidence_good(const evidence *of, const sf_part *part)
{
    return evidence_fine(of, part) && !isnan(of->reading_pct) && evidence_esr_judged(of, part);
}
