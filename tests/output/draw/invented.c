/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Inventing boards. */
#include "invented.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "support/check.h"

static const double cell_mm = 2.2, air_c = 31.4;

invention invention_usual(void)
{
    return (invention){220, 160, 90, 24, 8, true, true, 20240917};
}

/* a linear congruential generator: the same board on every machine */
static double draw_lot(unsigned *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (*seed >> 8) / 16777216.0;
}

static void *get(size_t count, size_t size)
{
    void *got = calloc(count + 1, size);
    assert_non_null(got);
    return got;
}

static sf_ring ring_of(int number, const double (*corners)[2], size_t count, double width_mm,
                       double height_mm)
{
    sf_ring made = {number, get(count, sizeof *made.points), count, ""};
    for (size_t i = 0; i < count; i++)
        made.points[i] = (sf_point){corners[i][0] * width_mm, corners[i][1] * height_mm};
    return made;
}

static void make_outline(const invention *wanted, sf_job *job)
{
    static const double whole[][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    static const double cut[][2] = {{0, 0}, {1, 0}, {1, 0.62}, {0.72, 0.62}, {0.72, 1}, {0, 1}};
    static const double narrow[][2] = {{0.37, 0.3}, {0.385, 0.3}, {0.385, 0.71}, {0.37, 0.71}};
    double width_mm = wanted->width_mm, height_mm = wanted->height_mm;
    job->rings = get(2, sizeof *job->rings);
    job->ring_count = wanted->corner_missing ? 2 : 1;
    if (wanted->corner_missing) {
        job->rings[0] = ring_of(0, cut, 6, width_mm, height_mm);
        job->rings[1] = ring_of(1, narrow, 4, width_mm, height_mm);
    } else {
        job->rings[0] = ring_of(0, whole, 4, width_mm, height_mm);
    }
    static const double forbidden[][2] = {{0.03, 0.72}, {0.19, 0.72}, {0.19, 0.95}, {0.03, 0.95}};
    job->keepouts = get(1, sizeof *job->keepouts);
    job->keepout_count = wanted->keepout;
    if (wanted->keepout)
        job->keepouts[0] = ring_of(1, forbidden, 4, width_mm, height_mm);
}

static bool on_board(const sf_job *job, double x_mm, double y_mm)
{
    return board_contains(job->rings, job->ring_count, x_mm, y_mm);
}

static void lay_spot(const invented *made, unsigned *seed, double rim_mm, double *x_mm,
                     double *y_mm)
{
    do {
        *x_mm = made->job.board.width_mm * draw_lot(seed);
        *y_mm = made->job.board.height_mm * draw_lot(seed);
    } while (!on_board(&made->job, *x_mm, *y_mm) ||
             !on_board(&made->job, *x_mm - rim_mm, *y_mm - rim_mm) ||
             !on_board(&made->job, *x_mm + rim_mm, *y_mm - rim_mm) ||
             !on_board(&made->job, *x_mm - rim_mm, *y_mm + rim_mm) ||
             !on_board(&made->job, *x_mm + rim_mm, *y_mm + rim_mm));
}

static double smaller_side(const invented *made)
{
    return fmin(made->job.board.width_mm, made->job.board.height_mm);
}

static void make_sources(const invention *wanted, invented *made, unsigned *seed)
{
    static const char *const letters = "RQTDUHLK";
    made->sources = get(wanted->sources, sizeof *made->sources);
    for (size_t i = 0; i < wanted->sources; i++) {
        sf_source_fit *source = &made->sources[i];
        source->listed = i + 1 < wanted->sources || wanted->sources < 3;
        if (source->listed)
            snprintf(source->ref, sizeof source->ref, "%c%zu", letters[i % 8], i + 3);
        else
            snprintf(source->ref, sizeof source->ref, "unlisted 1");
        source->width_mm = smaller_side(made) * (0.06 + 0.12 * draw_lot(seed));
        source->height_mm = smaller_side(made) * (0.06 + 0.09 * draw_lot(seed));
        source->angle_deg = i % 4 == 2 ? 30 : 0;
        source->rise_k = (sf_estimate){16 + 34 * draw_lot(seed), 2};
        source->probability = 1;
        lay_spot(made, seed, 0.08 * smaller_side(made), &source->x_mm, &source->y_mm);
    }
}

/* the analytic field: air, and from each source a rise that falls off exponentially */
static double field_at(const invented *made, double x_mm, double y_mm)
{
    double temp_c = air_c, length_mm = 0.12 * smaller_side(made);
    for (size_t i = 0; i < made->scene.source_count; i++) {
        const sf_source_fit *source = &made->sources[i];
        double away_mm = hypot(x_mm - source->x_mm, y_mm - source->y_mm);
        double soft_mm = source->width_mm / 2;
        temp_c += source->rise_k.value * exp(-(hypot(away_mm, soft_mm) - soft_mm) / length_mm);
    }
    return temp_c;
}

static void make_grid(const invention *wanted, invented *made)
{
    double cell = fmin(cell_mm, smaller_side(made) / 12);
    sf_grid grid = {.cell_mm = cell,
                    .columns = (size_t)ceil(wanted->width_mm / cell - 1e-9),
                    .rows = (size_t)ceil(wanted->height_mm / cell - 1e-9)};
    made->inside = get(grid.columns * grid.rows, 1);
    made->values = get(grid.columns * grid.rows, sizeof *made->values);
    for (size_t i = 0; i < grid.columns * grid.rows; i++) {
        double x_mm = ((double)(i % grid.columns) + 0.5) * cell;
        double y_mm = ((double)(i / grid.columns) + 0.5) * cell;
        made->inside[i] = on_board(&made->job, x_mm, y_mm);
        made->values[i] = made->inside[i] ? field_at(made, x_mm, y_mm) : (double)NAN;
    }
    grid.inside = made->inside;
    made->scene.grid = grid;
    made->scene.values = made->values;
}

void invented_set_field(invented *changed, double (*field)(double x_mm, double y_mm))
{
    const sf_grid *grid = &changed->scene.grid;
    for (size_t i = 0; i < grid->columns * grid->rows; i++)
        if (grid->inside[i])
            changed->values[i] = field(((double)(i % grid->columns) + 0.5) * grid->cell_mm,
                                       ((double)(i / grid->columns) + 0.5) * grid->cell_mm);
}

static bool stands_free(const invented *made, size_t count, const sf_part *part)
{
    for (size_t i = 0; i < count; i++) {
        const sf_part *other = &made->job.parts[i];
        if (hypot(other->x_mm - part->x_mm, other->y_mm - part->y_mm) <
            0.55 * (other->diameter_mm + part->diameter_mm))
            return false;
    }
    for (size_t i = 0; i < made->scene.source_count; i++) {
        const sf_source_fit *source = &made->sources[i];
        double reach_mm = part->diameter_mm / 2;
        if (fabs(source->x_mm - part->x_mm) < source->width_mm / 2 + reach_mm &&
            fabs(source->y_mm - part->y_mm) < source->height_mm / 2 + reach_mm)
            return false;
    }
    return true;
}

static int by_value(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

/* zones so that about one part in seven is hot and one in four more than cool */
static void decide(invented *made, unsigned *seed)
{
    size_t count = made->job.part_count;
    double *sorted = get(count, sizeof *sorted);
    for (size_t i = 0; i < count; i++) {
        const sf_part *part = &made->job.parts[i];
        made->results[i].temp_c = field_at(made, part->x_mm, part->y_mm) + 3 * draw_lot(seed);
        sorted[i] = made->results[i].temp_c;
    }
    qsort(sorted, count, sizeof *sorted, by_value);
    made->zones.hot_from_c = count > 6 ? sorted[count - 1 - count / 7] : 70.2;
    made->zones.warm_from_c = count > 6 ? sorted[count - 1 - count / 4] - 4 : 55.4;
    free(sorted);
    for (size_t i = 0; i < count; i++) {
        double temp_c = made->results[i].temp_c;
        made->results[i].verdict = temp_c > made->zones.hot_from_c        ? SF_REPLACE
                                   : temp_c > made->zones.warm_from_c + 4 ? SF_CHECK
                                                                          : SF_LEAVE;
    }
}

static void write_titles(invented *made)
{
    size_t counts[SF_VERDICT_COUNT] = {0};
    for (size_t i = 0; i < made->job.part_count; i++)
        counts[made->results[i].verdict]++;
    snprintf(made->first_title, sizeof made->first_title,
             "Rack power supply: replace %zu of %zu, check %zu, leave %zu", counts[SF_REPLACE],
             made->job.part_count, counts[SF_CHECK], counts[SF_LEAVE]);
    made->titles[0] = made->first_title;
    made->titles[1] =
        "Surveyed 2024-05-11; air 24.5 \u00b0C at the bench, 31.4 \u00b0C in service; "
        "41,000 h run";
    made->titles[2] = "Heat balance over 24 readings, left-out error 0.8 K; invented data";
    made->scene.title_lines = made->titles;
    made->scene.title_line_count = 3;
}

static void make_parts(const invention *wanted, invented *made, unsigned *seed)
{
    static const double cans_mm[] = {5, 5, 6.3, 6.3, 8, 8, 10, 10, 12.5, 16};
    /* the more parts, the smaller, so that they cover at most about a third of the board */
    double share = 0.35 * wanted->width_mm * wanted->height_mm / (75.0 * (double)wanted->parts + 1);
    double scale = fmin(fmin(1, sqrt(share)), smaller_side(made) / 40);
    made->job.parts = get(wanted->parts, sizeof *made->job.parts);
    made->results = get(wanted->parts, sizeof *made->results);
    made->refs = get(wanted->parts, sizeof *made->refs);
    made->job.part_count = wanted->parts;
    for (size_t i = 0; i < wanted->parts; i++) {
        sf_part *part = &made->job.parts[i];
        part->diameter_mm = scale * cans_mm[(size_t)(10 * draw_lot(seed))];
        /* very many parts may touch */
        for (int attempt = 0; attempt < 400; attempt++) {
            lay_spot(made, seed, 0.35 * part->diameter_mm, &part->x_mm, &part->y_mm);
            if (wanted->parts > 2000 || stands_free(made, i, part))
                break;
        }
        snprintf(made->refs[i], sizeof made->refs[i], "C%zu", i + 1);
        part->ref = made->refs[i];
    }
}

/* some on the laminate, every third on a part */
static void make_readings(const invention *wanted, invented *made, unsigned *seed)
{
    made->observations = get(wanted->readings, sizeof *made->observations);
    made->numbers = get(wanted->readings, sizeof *made->numbers);
    for (size_t i = 0; i < wanted->readings; i++) {
        sf_observation *reading = &made->observations[i];
        lay_spot(made, seed, 0.01 * smaller_side(made), &reading->x_mm, &reading->y_mm);
        if (i % 3 == 0 && i < wanted->parts) {
            reading->x_mm = made->job.parts[i].x_mm;
            reading->y_mm = made->job.parts[i].y_mm;
        }
        reading->in_fit = i != 5;
        reading->method = i % 4 == 2 ? SF_METHOD_INFRARED : SF_METHOD_THERMOCOUPLE_K;
        reading->temp_c = field_at(made, reading->x_mm, reading->y_mm) + draw_lot(seed);
        made->numbers[i] = reading->temp_c;
    }
}

void invented_make(const invention *wanted, invented *made)
{
    unsigned seed = wanted->seed;
    memset(made, 0, sizeof *made);
    made->job.board.name = "invented";
    made->job.board.width_mm = wanted->width_mm;
    made->job.board.height_mm = wanted->height_mm;
    made->job.policy.zone_warm_used = 0.25;
    made->zones.rated_c = 85;
    made->zones.endurance_h = 2000;
    make_outline(wanted, &made->job);
    make_sources(wanted, made, &seed);
    made->scene = (sf_scene){.job = &made->job,
                             .quantity = "Temperature in service",
                             .unit = "C",
                             .sources = made->sources,
                             .source_count = wanted->sources,
                             .zones = &made->zones};
    make_grid(wanted, made);
    make_parts(wanted, made, &seed);
    decide(made, &seed);
    write_titles(made);
    make_readings(wanted, made, &seed);
    made->scene.results = made->results;
    made->scene.observations = made->observations;
    made->scene.observation_count = wanted->readings;
    made->scene.observation_labels = made->numbers;
}

void invented_free(invented *freed)
{
    for (size_t i = 0; i < freed->job.ring_count; i++)
        free(freed->job.rings[i].points);
    for (size_t i = 0; i < freed->job.keepout_count; i++)
        free(freed->job.keepouts[i].points);
    free(freed->job.rings);
    free(freed->job.keepouts);
    free(freed->job.parts);
    free(freed->inside);
    free(freed->values);
    free(freed->numbers);
    free(freed->sources);
    free(freed->observations);
    free(freed->results);
    free(freed->refs);
    memset(freed, 0, sizeof *freed);
}
