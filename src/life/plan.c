/* Chooses readings one by one, each the one that lowers the expected loss of the verdicts most.
 * The covariance shrinks with each as it would when read; the means stay, as nothing is known yet
 * of what will be read, and each part's loss is averaged over it. */
#include "spotfield/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "life/outlook.h"
#include "life/plan_reason.h"
#include "life/probe.h"

#define PARTS_MOST 1500 /* that are weighed */
#define APART_MM 5.0    /* a second reading nearer shares its thermometer's error with the first */

/* A part whose verdict rests on heat. Its place is that of the same number. */
typedef struct stake {
    size_t part; /* of the job */
    outlook of;
    double variance_k2; /* today's */
    double losses[OUTLOOK_LEVELS];
} stake;

/* The work table of one plan. Places are those of the stakes, then those of the probes. */
typedef struct planning {
    const sf_job *job;
    stake *stakes;
    size_t stake_count;
    probes probed;
    sf_point *cans;   /* of the job */
    sf_place *places; /* of stakes: their cans; of probes: the board */
    size_t place_count;
    sf_joint_rise *joint; /* its covariance shrinks as readings are chosen */
    double *noise_k2;     /* per probe */
    bool *barred;         /* per probe: chosen, or too near to a reading */
    plan_effect *effects; /* per stake, of the reading in hand */
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
    free(with->noise_k2);
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

static sf_status find_stakes(planning *with, sf_complaints *complaints)
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
        *next =
            (stake){.part = i, .of = outlook_make(job, &lived, &judged, &job->parts[i], &cold[i])};
        passed_over = next->of.open && with->stake_count == PARTS_MOST;
        if (passed_over)
            break;
        with->stake_count += next->of.open;
    }
    sf_part_results_free(cold, job->part_count);
    if (status == SF_OK && passed_over)
        status =
            sf_complain(complaints, SF_WARNING, "parts.csv", 0, "",
                        "there are so many parts that the plan weighs the first 1,500 only", NULL);
    return status;
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
    with->place_count = with->stake_count + with->probed.count;
    with->places = array_new(with->place_count, sizeof *with->places);
    with->noise_k2 = array_new(with->probed.count, sizeof(double));
    with->barred = array_new(with->probed.count, sizeof(bool));
    with->effects = array_new(with->stake_count, sizeof *with->effects);
    with->cans = sf_part_places(job);
    if (!with->places || !with->cans || !with->noise_k2 || !with->barred || !with->effects)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < with->stake_count; i++) {
        size_t part = with->stakes[i].part;
        with->places[i] = (sf_place){with->cans[part].x_mm, with->cans[part].y_mm, true, part};
    }
    for (size_t c = 0; status == SF_OK && c < with->probed.count; c++) {
        sf_point place = with->probed.list[c].place;
        with->places[with->stake_count + c] = (sf_place){.x_mm = place.x_mm, .y_mm = place.y_mm};
    }
    return status;
}

/* --- what a reading is worth --- */

static double *covariance_row(const planning *with, size_t place)
{
    return with->joint->covariance_k2 + place * with->place_count;
}

static void bar_near(planning *with, double x_mm, double y_mm)
{
    for (size_t c = 0; c < with->probed.count; c++) {
        sf_point place = with->probed.list[c].place;
        if (hypot(place.x_mm - x_mm, place.y_mm - y_mm) < APART_MM)
            with->barred[c] = true;
    }
}

static void weigh_all(planning *with, const sf_observation *observations, size_t count,
                      double position_sd_mm)
{
    for (size_t i = 0; i < with->stake_count; i++) {
        stake *at = &with->stakes[i];
        at->variance_k2 = fmax(covariance_row(with, i)[i], 0);
        outlook_tabulate(&at->of, with->joint->rise_k[i], sqrt(at->variance_k2), at->losses);
    }
    for (size_t c = 0; c < with->probed.count; c++) {
        size_t place = with->stake_count + c;
        double sd_k = sf_reading_default_sd_k(
            with->probed.list[c].method, with->job->board.ambient_c, with->joint->rise_k[place]);
        double misplaced_k = position_sd_mm * with->joint->slope_k_mm[place];
        with->noise_k2[c] = sd_k * sd_k + misplaced_k * misplaced_k;
    }
    for (size_t i = 0; i < count; i++)
        if (observations[i].in_fit)
            bar_near(with, observations[i].x_mm, observations[i].y_mm);
}

/* Share of the variance of a place that a reading at a probe takes away. */
static double share_told(const planning *with, size_t place, size_t spot)
{
    const double *row = covariance_row(with, with->stake_count + spot);
    double own_k2 = covariance_row(with, place)[place];
    double read_k2 = row[with->stake_count + spot] + with->noise_k2[spot];
    return own_k2 > 0 ? fmin(row[place] * row[place] / (own_k2 * read_k2), 1) : 0;
}

/* Expected loss of one part once a reading takes the share `told` of what is left of its
 * variance. */
static double stake_loss(const planning *with, size_t stake_index, double told)
{
    const stake *at = &with->stakes[stake_index];
    double left_k2 = covariance_row(with, stake_index)[stake_index];
    double share = at->variance_k2 > 0 ? left_k2 / at->variance_k2 : 0;
    return outlook_expected(at->losses, share * (1 - told));
}

/* Expected fall of one part's loss by a reading, after those already chosen. */
static double stake_gain(const planning *with, size_t stake_index, size_t spot)
{
    double told = share_told(with, stake_index, spot);
    return stake_loss(with, stake_index, 0) - stake_loss(with, stake_index, told);
}

static double probe_gain(const planning *with, size_t spot)
{
    double sum = 0;
    for (size_t i = 0; i < with->stake_count; i++)
        sum += stake_gain(with, i, spot);
    return sum;
}

/* The covariance with a reading at the probe, but for the row of that place, barred by then. */
static void take_reading(planning *with, size_t spot)
{
    size_t count = with->place_count, place = with->stake_count + spot;
    const double *own = covariance_row(with, place);
    double read_k2 = own[place] + with->noise_k2[spot];
    for (size_t p = 0; p < count; p++) {
        double *row = covariance_row(with, p);
        double factor = row[place] / read_k2;
        for (size_t q = 0; p != place && q < count; q++)
            row[q] -= factor * own[q];
    }
}

/* --- the points --- */

static sf_status set_point(planning *with, size_t probe_index, double gain, sf_plan_point *point)
{
    const probe *at = &with->probed.list[probe_index];
    for (size_t i = 0; i < with->stake_count; i++) {
        const stake *of = &with->stakes[i];
        with->effects[i] = (plan_effect){.part = &with->job->parts[of->part],
                                         .of = &of->of,
                                         .rise_k = with->joint->rise_k[i],
                                         .sd_k = sqrt(of->variance_k2),
                                         .loss = stake_loss(with, i, 0),
                                         .gain = stake_gain(with, i, probe_index),
                                         .told = share_told(with, i, probe_index)};
    }
    const char *on = at->spot == PROBE_PART     ? with->job->parts[at->index].ref
                     : at->spot == PROBE_SOURCE ? with->job->sources[at->index].ref
                                                : "";
    *point = (sf_plan_point){
        .x_mm = at->place.x_mm,
        .y_mm = at->place.y_mm,
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
        double best_gain = 0;
        size_t best = with->probed.count;
        for (size_t c = 0; c < with->probed.count; c++) {
            double gain = with->barred[c] ? 0 : probe_gain(with, c);
            if (gain > best_gain) {
                best_gain = gain;
                best = c;
            }
        }
        into->settled = best_gain < SF_PLAN_GAIN_LEAST;
        if (into->settled)
            break;
        status = set_point(with, best, best_gain, &into->points[into->count++]);
        take_reading(with, best);
        sf_point place = with->probed.list[best].place;
        bar_near(with, place.x_mm, place.y_mm);
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
                           const sf_plan_options *options, sf_plan *into, sf_complaints *complaints)
{
    const sf_job *job = with->job;
    sf_field_input input = {.board = &job->board,
                            .rings = job->rings,
                            .ring_count = job->ring_count,
                            .sources = job->sources,
                            .source_count = job->source_count,
                            .observations = observations,
                            .observation_count = count,
                            .pixels = options->pixels};
    sf_field_options fitted = options->field;
    fitted.position_sd_mm = job->policy.position_sd_mm;
    sf_status status = find_stakes(with, complaints);
    if (status == SF_OK)
        status = find_places(with);
    input.cans = with->cans;
    input.can_count = job->part_count;
    if (status == SF_OK)
        status = sf_field_fit_joint(&input, &fitted, with->places, with->place_count, &into->field,
                                    &with->joint, complaints);
    if (status == SF_OK)
        status = decide_today(job, observations, options->pixels, into);
    if (status != SF_OK)
        return status;
    weigh_all(with, observations, count, fitted.position_sd_mm);
    into->readings = sf_field_summarize(into->field).readings;
    into->loss = loss_now(with);
    status = choose_points(with, options->points, into);
    into->loss_after = loss_now(with);
    return status;
}

sf_status sf_plan_make(const sf_job *job, const sf_observation *observations,
                       size_t observation_count, const sf_plan_options *options, sf_plan **plan,
                       sf_complaints *complaints)
{
    *plan = NULL;
    if (options->points < 1 || options->points > SF_PLAN_POINTS_MAX)
        return SF_ERROR_ARGUMENT;
    sf_plan *made = array_new(1, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    planning with = {.job = job};
    made->part_count = job->part_count;
    sf_status status = plan_with(&with, observations, observation_count, options, made, complaints);
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
