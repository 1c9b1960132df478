/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Draws a board, has it read in each way, and holds what is told of its cans against the truth. */
#include "benchmark/planning.h"

#include <math.h>
#include <string.h>

#include "benchmark/bench_job.h"
#include "benchmark/job_files.h"
#include "spotfield/spotfield.h"

#define STEP_MM 2.0    /* of the places that are tried for a spread reading */
#define SOUND_USED 0.8 /* a part that has used less has no business in the kit */

const char *const planning_way_names[PLANNING_WAYS] = {"none", "spread", "planned", "uncertain"};

typedef struct bench {
    raised *board;
    bench_job made;
    gsl_rng *chance;
} bench;

static double nearest_mm(const raised *board, double x_mm, double y_mm)
{
    double nearest = 1e4 - hypot(x_mm - board->base.width_mm / 6, y_mm - board->base.height_mm / 6);
    for (size_t i = 0; i < board->reading_count; i++)
        nearest =
            fmin(nearest, hypot(board->readings[i].x_mm - x_mm, board->readings[i].y_mm - y_mm));
    return nearest;
}

/* The place on free board farthest from all readings; the first one stands a sixth in. */
static void read_spread(bench *with)
{
    const raised *board = with->board;
    raised_reading best = {.on = ON_FRONT};
    double best_mm = -(double)INFINITY;
    for (double y_mm = STEP_MM; y_mm < board->base.height_mm; y_mm += STEP_MM)
        for (double x_mm = STEP_MM; x_mm < board->base.width_mm; x_mm += STEP_MM) {
            if (!invented_has_room(&board->base, x_mm, y_mm, 6, 6) ||
                !raised_clear_of(board, x_mm, y_mm, 2, 2, 0.5))
                continue;
            double away_mm = nearest_mm(board, x_mm, y_mm);
            if (away_mm > best_mm) {
                best_mm = away_mm;
                best.x_mm = x_mm;
                best.y_mm = y_mm;
            }
        }
    raised_read(with->board, best, with->chance);
}

static void read_can(bench *with, size_t can, bool infrared)
{
    const invented_part *part = &with->board->base.parts[can];
    raised_reading read = {ON_CAN, can, part->x_mm, part->y_mm, .infrared = infrared};
    raised_read(with->board, read, with->chance);
}

static sf_status plan_now(bench *with, size_t points, sf_plan **plan)
{
    sf_diagnostics diagnostics = {0};
    sf_observation *seen = NULL;
    size_t count = 0;
    sf_plan_options wanted = sf_plan_options_default();
    wanted.points = points;
    bench_job_read(&with->made, with->board);
    sf_status status = sf_readings_correct(&with->made.job, &seen, &count, &diagnostics);
    if (status == SF_OK)
        status = sf_plan_make(&with->made.job, seen, count, &wanted, plan, &diagnostics);
    sf_observations_free(seen, count);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

/* Of the cans that were not read, the one whose temperature is most in doubt. */
static size_t most_uncertain(const bench *with, const sf_plan *plan)
{
    size_t found = 0;
    double most_k = -1;
    for (size_t can = 0; can < plan->part_count; can++) {
        bool read = false;
        for (size_t i = 0; i < with->board->reading_count; i++)
            read = read || (with->board->readings[i].on == ON_CAN &&
                            with->board->readings[i].number == can);
        if (!read && plan->results[can].temp_sd_k > most_k) {
            most_k = plan->results[can].temp_sd_k;
            found = can;
        }
    }
    return found;
}

static void read_point(bench *with, const sf_plan_point *point)
{
    bool infrared = point->method == SF_METHOD_INFRARED;
    for (size_t can = 0; point->spot == SF_SPOT_PART && can < with->board->can_count; can++)
        if (strcmp(with->made.parts[can].ref, point->on) == 0) {
            read_can(with, can, infrared);
            return;
        }
    raised_reading read = {.on = point->side == SF_SIDE_SOLDER ? ON_BACK : ON_FRONT,
                           .x_mm = point->x_mm,
                           .y_mm = point->y_mm,
                           .infrared = infrared};
    raised_read(with->board, read, with->chance);
}

static sf_status read_further(bench *with, planning_way how, size_t further, planning_score *into)
{
    size_t wanted = with->board->reading_count + further;
    sf_plan *plan = NULL;
    if (how == WAY_NONE)
        return SF_OK;
    sf_status status = how == WAY_SPREAD ? SF_OK : plan_now(with, further, &plan);
    if (status != SF_OK)
        return status;
    for (size_t i = 0; how == WAY_PLANNED && i < plan->count; i++)
        read_point(with, &plan->points[i]);
    if (how == WAY_PLANNED)
        into->planned += plan->count;
    while (with->board->reading_count < wanted) {
        if (how == WAY_SPREAD)
            read_spread(with);
        else
            read_can(with, most_uncertain(with, plan), false);
    }
    sf_plan_free(plan);
    return SF_OK;
}

static void judge_can(const bench *with, const sf_part_result *told, size_t can,
                      planning_score *into)
{
    const invented *base = &with->board->base;
    double temp_c = base->service_ambient_c + raised_case_rise(with->board, can);
    double used = job_used(base, can, temp_c), off_k = told->temp_c - temp_c;
    into->square_k2 += off_k * off_k;
    into->cans++;
    into->wrong_side += (told->used > 1) != (used > 1);
    into->worn_left += used > 1 && told->verdict == SF_LEAVE;
    into->checks += told->verdict == SF_CHECK;
    into->needless +=
        used < SOUND_USED && !base->parts[can].critical && told->verdict == SF_REPLACE;
}

static sf_status judge(bench *with, planning_score *into)
{
    sf_diagnostics diagnostics = {0};
    sf_outcome *outcome = NULL;
    sf_map_options options = sf_map_options_default();
    options.no_reference = true;
    bench_job_read(&with->made, with->board);
    sf_status status = sf_map_job(&with->made.job, &options, &outcome, &diagnostics);
    for (size_t i = 0; status == SF_OK && i < with->board->can_count; i++)
        judge_can(with, &outcome->results[i], i, into);
    sf_outcome_free(outcome);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

sf_status planning_board(const planning_case *of, size_t number, gsl_rng *chance,
                         planning_score scores[PLANNING_WAYS])
{
    bench with = {.chance = chance};
    gsl_rng_set(chance, of->seed * 1000003ul + number);
    sf_status status = raised_make(&with.board, of->readings, of->unlisted, GROSS_NONE, chance);
    if (status == SF_OK)
        bench_job_set(&with.made, with.board);
    /* each way errs by the same draws */
    for (int how = 0; status == SF_OK && how < PLANNING_WAYS; how++) {
        gsl_rng_set(chance, of->seed * 7919ul + number);
        with.board->reading_count = of->readings;
        status = read_further(&with, (planning_way)how, of->further, &scores[how]);
        if (status == SF_OK)
            status = judge(&with, &scores[how]);
    }
    raised_free(with.board);
    return status;
}
