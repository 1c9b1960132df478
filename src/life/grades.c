/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* By Bayes's rule: what parts that were measured say of an endurance that was only assumed. */
#include <math.h>

#include "life/decide.h"

/* The factor is sought between exp(-REACH) and exp(REACH), in so many steps; the prior's widest
 * policy has 2. */
#define REACH 6.0
enum { STEPS = 1200 };
#define TAIL 0.05

static double step_log(int step)
{
    return REACH * (2.0 * step / STEPS - 1);
}

/* Whether what was found of a part tells of its grade. */
static bool speaks(const sf_part *part, const sf_part_result *result, bool high_grade)
{
    bool wet = part->type == SF_TYPE_ALUMINIUM || part->type == SF_TYPE_BIPOLAR;
    return wet && result->endurance_assumed && result->used > 0 &&
           (part->rated_c >= 105) == high_grade && (result->meter_good || result->worn_by_evidence);
}

/* Adds ln of the chance of what was found, at each factor that the endurance may be off by. */
static void weigh(double *log_weights, const sf_policy *policy, double used, bool worn)
{
    for (int step = 0; step <= STEPS; step++) {
        double share = used / exp(step_log(step));
        double worn_share = sf_wear_share(share, policy->wear_shape, policy->wear_at_rated);
        /* ln(1 - F) without the loss of digits where nearly all are worn */
        double log_good = log1p(-policy->wear_at_rated) * pow(share, policy->wear_shape);
        log_weights[step] += worn ? log(worn_share) : log_good;
    }
}

/* Turns ln weights into weights that sum to 1. */
static void normalize(double *weights)
{
    double most = -INFINITY, sum = 0;
    for (int step = 0; step <= STEPS; step++)
        most = fmax(most, weights[step]);
    for (int step = 0; step <= STEPS; step++)
        sum += weights[step] = exp(weights[step] - most);
    for (int step = 0; step <= STEPS; step++)
        weights[step] /= sum;
}

/* The factor below which so much of the weight lies. */
static double quantile(const double *weights, double chance)
{
    double below = 0;
    for (int step = 0; step < STEPS; step++) {
        if (below + weights[step] >= chance) {
            double inside = (chance - below) / weights[step] - 0.5;
            return exp(step_log(step) + inside * 2 * REACH / STEPS);
        }
        below += weights[step];
    }
    return exp(REACH);
}

static double log_sd(const double *weights)
{
    double mean = 0, square = 0;
    for (int step = 0; step <= STEPS; step++) {
        mean += weights[step] * step_log(step);
        square += weights[step] * step_log(step) * step_log(step);
    }
    return sqrt(fmax(square - mean * mean, 0));
}

static sf_grade_found measure(const sf_job *job, const sf_part_result *results, bool high_grade)
{
    const sf_policy *policy = &job->policy;
    sf_grade_found found = {.high_grade = high_grade, .factor = 1, .sd = policy->endurance_sd};
    found.endurance_h = high_grade ? policy->endurance_105_h : policy->endurance_85_h;
    double weights[STEPS + 1];
    for (int step = 0; step <= STEPS; step++)
        weights[step] = -0.5 * pow(step_log(step) / fmax(policy->endurance_sd, 1e-3), 2);
    for (size_t i = 0; i < job->part_count; i++) {
        if (!speaks(&job->parts[i], &results[i], high_grade))
            continue;
        double used = results[i].used * results[i].endurance_h / found.endurance_h;
        weigh(weights, policy, used, results[i].worn_by_evidence);
        found.worn += results[i].worn_by_evidence;
        found.good += !results[i].worn_by_evidence;
    }
    normalize(weights);
    found.factor_low = quantile(weights, TAIL);
    found.factor_high = quantile(weights, 1 - TAIL);
    if (found.good + found.worn > 0) {
        found.factor = quantile(weights, 0.5);
        found.sd = log_sd(weights);
    }
    return found;
}

void sf_grades_measured(const sf_job *job, const sf_part_result *results, sf_grade_found found[2])
{
    for (int grade = 0; grade < 2; grade++)
        found[grade] = measure(job, results, grade == 1);
}
