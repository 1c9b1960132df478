/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Preposterior analysis, greedily: chooses readings one by one, each the one that lowers the
 * expected loss of the verdicts most. The covariance shrinks with each as it would when read; the
 * means stay, as nothing is known yet of what will be read, and each part's loss is averaged over
 * it. */
#include "spotfield/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "life/expected_loss.h"
#include "life/plan_state.h"
#include "life/probe.h"

#define PARTS_MOST 1500 /* that are weighed */
#define APART_MM 5.0    /* a second reading nearer shares what the ruler errs with the first */

/* What a square kelvin of doubt in one can costs, so that of two readings that settle about as much
 * the one is taken that tells more temperatures. A judgement. */
#define DOUBT_PRICE_K2 0.0003

/* A part whose verdict rests on heat. Its place, on its can, is that of the same number. */
typedef struct stake {
    size_t part; /* of the job */
    loss_model of;
    double variance_k2; /* today's */
    double losses[LOSS_LEVELS];
} stake;

/* The work table of one plan. Places are those of the stakes, then those of probes on the board. */
typedef struct planning {
    const sf_job *job;
    stake *stakes;
    size_t stake_count;
    probes probed;
    sf_point *cans; /* of the job */
    sf_place *places;
    size_t place_count;
    sf_joint_rise *joint;
    plan_state state;       /* of it; narrower with each reading that is chosen */
    plan_reading *readings; /* per probe */
    bool *barred;           /* per probe: chosen, or too near to a reading */
    plan_effect *effects;   /* per stake, of the reading in hand */
} planning;

sf_plan_options sf_plan_options_default(void)
{
    return (sf_plan_options){.points = SF_PLAN_POINTS_DEFAULT, .field = sf_field_options_default()};
}

static void planning_clear(planning *with)
{
    free(with->stakes);
    probes_clear(&with->probed);
    free(with->cans);
    free(with->places);
    sf_joint_rise_free(with->joint);
    plan_state_clear(&with->state);
    free(with->readings);
    free(with->barred);
    free(with->effects);
}

/* --- what is at stake --- */

/* Results of parts, were the board as warm as its air: all of a part that does not rest on heat. */
static sf_status decide_cold(const sf_job *job, sf_part_result **results)
{
    sf_estimate *cold = array_new(job->part_count, sizeof *cold);
    sf_status status = cold ? sf_parts_decide(job, cold, results) : SF_ERROR_MEMORY;
    free(cold);
    return status;
}

static sf_status find_stakes(planning *with, sf_diagnostics *diagnostics)
{
    const sf_job *job = with->job;
    sf_part_result *cold = NULL;
    history lived;
    meter judged;
    bool passed_over = false;
    history_start(&lived, job);
    sf_status status = meter_judge(job, &judged);
    if (status == SF_OK)
        status = decide_cold(job, &cold);
    with->stakes = array_new(job->part_count, sizeof *with->stakes);
    if (!with->stakes)
        status = SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < job->part_count; i++) {
        stake *next = &with->stakes[with->stake_count];
        *next = (stake){.part = i, .of = loss_make(job, &lived, &judged, &job->parts[i], &cold[i])};
        passed_over = next->of.open && with->stake_count == PARTS_MOST;
        if (passed_over)
            break;
        with->stake_count += next->of.open;
    }
    sf_part_results_free(cold, job->part_count);
    if (status == SF_OK && passed_over)
        status = sf_diagnose(diagnostics, SF_WARNING, "parts.csv", 0, "",
                             "there are so many parts that the plan considers only the first 1,500",
                             NULL);
    return status;
}

/* Cans that are weighed are places already; board has one a probe. */
static void set_places(planning *with)
{
    size_t stake_at = 0;
    for (size_t i = 0; i < with->stake_count; i++) {
        size_t part = with->stakes[i].part;
        with->places[i] = (sf_place){with->cans[part].x_mm, with->cans[part].y_mm, true, part};
    }
    with->place_count = with->stake_count;
    for (size_t c = 0; c < with->probed.count; c++) {
        const probe *at = &with->probed.list[c];
        if (at->spot == PROBE_CAN) {
            while (with->stakes[stake_at].part != at->index) /* both in the order of the parts */
                stake_at++;
            with->readings[c].place = stake_at;
            continue;
        }
        with->readings[c].place = with->place_count;
        with->places[with->place_count++] =
            (sf_place){.x_mm = at->place.x_mm, .y_mm = at->place.y_mm};
    }
}

static sf_status find_places(planning *with)
{
    const sf_job *job = with->job;
    bool *wanted = array_new(job->part_count, sizeof *wanted);
    sf_status status = wanted ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < with->stake_count; i++)
        wanted[with->stakes[i].part] = true;
    if (status == SF_OK)
        status = probes_find(job, wanted, usual_method(job), &with->probed);
    free(wanted);
    with->places = array_new(with->stake_count + with->probed.count, sizeof *with->places);
    with->readings = array_new(with->probed.count, sizeof *with->readings);
    with->barred = array_new(with->probed.count, sizeof(bool));
    with->effects = array_new(with->stake_count, sizeof *with->effects);
    with->cans = sf_part_places(job);
    if (!with->places || !with->cans || !with->readings || !with->barred || !with->effects)
        return SF_ERROR_MEMORY;
    if (status == SF_OK)
        set_places(with);
    return status;
}

/* --- what a reading is worth --- */

/* No board place within reach of a reading, whose ruler it shares, and no can a second time. */
static void bar(planning *with, sf_point read, size_t part)
{
    for (size_t c = 0; c < with->probed.count; c++) {
        const probe *at = &with->probed.list[c];
        bool near = hypot(at->place.x_mm - read.x_mm, at->place.y_mm - read.y_mm) < APART_MM;
        if (at->spot == PROBE_CAN ? at->index == part : near)
            with->barred[c] = true;
    }
}

/* What a reading at a probe would come to beside the rise there. A can's own heat belongs to what
 * is sought where it is read on its can, and is an error to all else. */
static void expect_reading(planning *with, size_t c, double position_sd_mm)
{
    const probe *at = &with->probed.list[c];
    plan_reading *made = &with->readings[c];
    bool on_can = at->spot == PROBE_CAN;
    sf_observation seen =
        sf_reading_expect(with->job, at->method, probe_on(at), on_can ? at->index : SF_NO_PART,
                          with->joint->rise_k[made->place]);
    double misplaced_k = on_can ? 0 : position_sd_mm * with->joint->slope_k_mm[made->place];
    made->independent_k2 = seen.sd_k * seen.sd_k + misplaced_k * misplaced_k;
    for (size_t k = 0; k < SF_COMMON_COUNT; k++) {
        made->common_k[k] = seen.common_k[k];
        made->independent_k2 -= seen.common_k[k] * seen.common_k[k];
    }
    made->independent_k2 = fmax(made->independent_k2, 0);
    if (on_can && !with->barred[c])
        plan_state_widen(&with->state, made->place, seen.own_sd_k * seen.own_sd_k);
}

static sf_status weigh_all(planning *with, const sf_observation *observations, size_t count,
                           double position_sd_mm)
{
    sf_status status = plan_state_make(with->joint, &with->state);
    for (size_t i = 0; i < count; i++)
        if (observations[i].in_fit)
            bar(with, (sf_point){observations[i].x_mm, observations[i].y_mm},
                observations[i].spot == SF_SPOT_PART ? observations[i].part : SF_NO_PART);
    for (size_t c = 0; status == SF_OK && c < with->probed.count; c++)
        expect_reading(with, c, position_sd_mm);
    for (size_t i = 0; status == SF_OK && i < with->stake_count; i++) {
        stake *at = &with->stakes[i];
        at->variance_k2 = plan_state_variance_k2(&with->state, i);
        loss_tabulate(&at->of, with->joint->rise_k[i], sqrt(at->variance_k2), at->losses);
    }
    return status;
}

/* Share of the variance of a stake that a reading at a probe takes away; shown_k2 of that reading.
 */
static double share_told(const planning *with, size_t stake_index, size_t c, double shown_k2)
{
    double independent_k2 = plan_state_variance_k2(&with->state, stake_index);
    double both_k2 = plan_state_told_k2(&with->state, stake_index, &with->readings[c]);
    return independent_k2 > 0 ? fmin(both_k2 * both_k2 / (independent_k2 * shown_k2), 1) : 0;
}

/* Expected loss of one part once a reading takes the share `told` of what is left of its
 * variance. */
static double stake_loss(const planning *with, size_t stake_index, double told)
{
    const stake *at = &with->stakes[stake_index];
    double left_k2 = plan_state_variance_k2(&with->state, stake_index);
    double share = at->variance_k2 > 0 ? left_k2 / at->variance_k2 : 0;
    return loss_tabulated(at->losses, share * (1 - told));
}

/* Expected fall of the summed loss by a reading, and with it what is worth in doubt alone. */
typedef struct worth {
    double gain, with_doubt;
} worth;

static worth probe_worth(const planning *with, size_t c)
{
    worth sum = {0, 0};
    double shown_k2 = plan_state_shown_k2(&with->state, &with->readings[c]);
    for (size_t i = 0; i < with->stake_count; i++) {
        double told = share_told(with, i, c, shown_k2);
        double gain = stake_loss(with, i, 0) - stake_loss(with, i, told);
        sum.gain += gain;
        sum.with_doubt += gain + DOUBT_PRICE_K2 * told * plan_state_variance_k2(&with->state, i);
    }
    return sum;
}

/* --- the points --- */

static sf_status set_point(planning *with, size_t c, double gain, sf_plan_point *point)
{
    const probe *at = &with->probed.list[c];
    double shown_k2 = plan_state_shown_k2(&with->state, &with->readings[c]);
    for (size_t i = 0; i < with->stake_count; i++) {
        const stake *of = &with->stakes[i];
        double told = share_told(with, i, c, shown_k2), loss = stake_loss(with, i, 0);
        with->effects[i] = (plan_effect){.part = &with->job->parts[of->part],
                                         .of = &of->of,
                                         .rise_k = with->joint->rise_k[i],
                                         .sd_k = sqrt(of->variance_k2),
                                         .loss = loss,
                                         .gain = loss - stake_loss(with, i, told),
                                         .told = told};
    }
    const char *on = at->spot == PROBE_SOURCE ? with->job->sources[at->index].ref
                     : at->spot == PROBE_OPEN ? ""
                                              : with->job->parts[at->index].ref;
    *point = (sf_plan_point){
        .x_mm = at->place.x_mm,
        .y_mm = at->place.y_mm,
        .spot = probe_on(at),
        .side = probe_side(with->job, at),
        .method = at->method,
        .gain = gain,
        .on = text_copy(on),
        .reason = plan_reason_write(with->job, at, with->effects, with->stake_count)};
    return point->on && point->reason ? SF_OK : SF_ERROR_MEMORY;
}

static sf_status choose_points(planning *with, size_t most, sf_plan *into)
{
    into->points = array_new(most, sizeof *into->points);
    sf_status status = into->points ? SF_OK : SF_ERROR_MEMORY;
    while (status == SF_OK && into->count < most) {
        worth best = {0, 0};
        size_t chosen = with->probed.count;
        for (size_t c = 0; c < with->probed.count; c++) {
            worth at = with->barred[c] ? (worth){0, 0} : probe_worth(with, c);
            if (at.gain >= SF_PLAN_GAIN_LEAST && at.with_doubt > best.with_doubt) {
                best = at;
                chosen = c;
            }
        }
        into->settled = chosen == with->probed.count;
        if (into->settled)
            break;
        status = set_point(with, chosen, best.gain, &into->points[into->count++]);
        plan_state_take(&with->state, &with->readings[chosen]);
        const probe *at = &with->probed.list[chosen];
        bar(with, at->place, at->spot == PROBE_CAN ? at->index : SF_NO_PART);
    }
    return status;
}

static double loss_now(const planning *with)
{
    double sum = 0;
    for (size_t i = 0; i < with->stake_count; i++)
        sum += stake_loss(with, i, 0);
    return sum;
}

/* --- the whole --- */

/* Today's verdicts, from the field at every part. */
static sf_status decide_today(const sf_job *job, const sf_observation *observations,
                              const sf_pixels *pixels, sf_plan *into)
{
    sf_trust *trusts = NULL;
    sf_estimate *rises_k = array_new(job->part_count, sizeof *rises_k);
    sf_status status = rises_k ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < job->part_count; i++)
        rises_k[i] = sf_field_can(into->field, i);
    if (status == SF_OK)
        status = sf_parts_trust(job, into->field, observations, pixels, &trusts);
    if (status == SF_OK)
        status = sf_parts_decide_trusting(job, rises_k, trusts, &into->results);
    free(trusts);
    free(rises_k);
    return status;
}

static sf_status plan_with(planning *with, const sf_observation *observations, size_t count,
                           const sf_plan_options *options, sf_plan *into,
                           sf_diagnostics *diagnostics)
{
    const sf_job *job = with->job;
    sf_field_input input = sf_field_input_of(job, observations, count);
    sf_field_options fitted = options->field;
    fitted.position_sd_mm = job->policy.position_sd_mm;
    sf_status status = find_stakes(with, diagnostics);
    if (status == SF_OK)
        status = find_places(with);
    input.pixels = options->pixels;
    input.cans = with->cans;
    input.can_count = job->part_count;
    if (status == SF_OK)
        status = sf_field_fit_joint(&input, &fitted, with->places, with->place_count, &into->field,
                                    &with->joint, diagnostics);
    if (status == SF_OK)
        status = decide_today(job, observations, options->pixels, into);
    if (status != SF_OK)
        return status;
    status = weigh_all(with, observations, count, fitted.position_sd_mm);
    if (status != SF_OK)
        return status;
    into->readings = sf_field_summarize(into->field).readings;
    into->loss = loss_now(with);
    status = choose_points(with, options->points, into);
    into->loss_after = loss_now(with);
    return status;
}

sf_status sf_plan_make(const sf_job *job, const sf_observation *observations,
                       size_t observation_count, const sf_plan_options *options, sf_plan **plan,
                       sf_diagnostics *diagnostics)
{
    *plan = NULL;
    if (options->points < 1 || options->points > SF_PLAN_POINTS_MAX)
        return SF_ERROR_ARGUMENT;
    sf_plan *made = array_new(1, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    planning with = {.job = job};
    made->part_count = job->part_count;
    sf_status status =
        plan_with(&with, observations, observation_count, options, made, diagnostics);
    planning_clear(&with);
    if (status != SF_OK) {
        sf_plan_free(made);
        return status;
    }
    *plan = made;
    return SF_OK;
}

void sf_plan_free(sf_plan *plan)
{
    if (!plan)
        return;
    for (size_t i = 0; i < plan->count; i++) {
        free(plan->points[i].on);
        free(plan->points[i].reason);
    }
    free(plan->points);
    sf_field_free(plan->field);
    sf_part_results_free(plan->results, plan->part_count);
    free(plan);
}
