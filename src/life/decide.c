/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From the temperature of each part to its verdict: the line that joins law, wear, doubt,
 * evidence, rules and reason. */
#include "life/decide.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/parallel.h"
#include "life/expected_loss.h"
#include "life/probe.h"

/* What all parts of a job share, and what is made of each: they know nothing of one another. */
typedef struct decision {
    const sf_job *job;
    history lived;
    meter with;
    const bool *can_read;     /* per part */
    sf_method usual;          /* of the readings */
    sf_grade_found grades[2]; /* what is made of an assumed endurance; by policy at first */
    const sf_estimate *rises_k;
    const sf_trust *trusts; /* NULL: all { 0 } */
    sf_part_result *results;
} decision;

bool *cans_read(const sf_job *job)
{
    bool *read = array_new(job->part_count, sizeof *read);
    for (size_t i = 0; read && i < job->reading_count; i++) {
        size_t part = sf_reading_part(job, &job->readings[i]);
        if (part != SF_NO_PART)
            read[part] = true;
    }
    return read;
}

bool sf_part_wants_meter(const sf_part_result *result)
{
    return result->settles < SF_SETTLES_LEAST;
}

/* Fills the record of one part; an empty reason tells that memory was short. */
static sf_status decide_part(const decision *of, const sf_part *part, sf_estimate rise_k,
                             sf_part_result *result)
{
    const sf_job *job = of->job;
    bool can_read = of->can_read[part - job->parts];
    life_tell(job, part, &of->grades[part->rated_c >= 105], can_read, rise_k, result);
    run_time ran = wear_tell(job, &of->lived, part, rise_k, result);
    evidence found;
    rule_inputs asked = rule_tell(job, part, &of->with, &found, result);
    loss_tell(job, &of->lived, &of->with, part, can_read, of->usual, rise_k, result);
    part_context all = {job, part, &of->lived, &of->with, ran, found, asked, result};
    result->reason = reason_write(&all);
    return result->reason ? SF_OK : SF_ERROR_MEMORY;
}

static sf_status decide_parts(void *context, size_t from, size_t to)
{
    const decision *of = context;
    sf_status status = SF_OK;
    for (size_t i = from; i < to && status == SF_OK; i++) {
        of->results[i].trust = of->trusts ? of->trusts[i] : (sf_trust){0};
        status = decide_part(of, &of->job->parts[i], of->rises_k[i], &of->results[i]);
    }
    return status;
}

/* Where the policy asks for it, once more with what the meter made of assumed endurances. */
static sf_status decide_all(decision *of)
{
    const sf_job *job = of->job;
    history_start(&of->lived, job);
    sf_status status = meter_judge(job, &of->with);
    sf_grades_measured(job, of->results, of->grades); /* none is made yet: by policy alone */
    if (status == SF_OK)
        status = parallel_in_chunks(decide_parts, of, job->part_count);
    if (status != SF_OK || !(job->policy.endurance_by_meter >= 0.5))
        return status;
    sf_grades_measured(job, of->results, of->grades);
    for (size_t i = 0; i < job->part_count; i++) {
        free(of->results[i].reason);
        of->results[i] = (sf_part_result){0};
    }
    return parallel_in_chunks(decide_parts, of, job->part_count);
}

sf_status parts_decide(const sf_job *job, const sf_estimate *rises_k, const bool *can_read,
                       const sf_trust *trusts, sf_part_result **results)
{
    *results = NULL;
    for (size_t i = 0; i < job->part_count; i++)
        if (!isfinite(rises_k[i].value) || !isfinite(rises_k[i].sd) || rises_k[i].sd < 0)
            return SF_ERROR_ARGUMENT;
    decision of = {.job = job,
                   .can_read = can_read,
                   .usual = usual_method(job),
                   .rises_k = rises_k,
                   .trusts = trusts};
    of.results = array_new(job->part_count, sizeof *of.results);
    if (!of.results)
        return SF_ERROR_MEMORY;
    sf_status status = decide_all(&of);
    if (status == SF_OK)
        *results = of.results;
    else
        sf_part_results_free(of.results, job->part_count);
    return status;
}

sf_status sf_parts_decide_trusting(const sf_job *job, const sf_estimate *rises_k,
                                   const sf_trust *trusts, sf_part_result **results)
{
    *results = NULL;
    bool *can_read = cans_read(job);
    sf_status status =
        can_read ? parts_decide(job, rises_k, can_read, trusts, results) : SF_ERROR_MEMORY;
    free(can_read);
    return status;
}

sf_status sf_parts_decide(const sf_job *job, const sf_estimate *rises_k, sf_part_result **results)
{
    return sf_parts_decide_trusting(job, rises_k, NULL, results);
}

void sf_part_results_free(sf_part_result *results, size_t count)
{
    for (size_t i = 0; results && i < count; i++)
        free(results[i].reason);
    free(results);
}
