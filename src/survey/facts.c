/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What several ask of an outcome. */
#include "survey/facts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "life/board_place.h"

sf_point cell_centre(const sf_grid *grid, size_t cell)
{
    size_t column = cell % grid->columns, row = cell / grid->columns;
    return (sf_point){((double)column + 0.5) * grid->cell_mm, ((double)row + 0.5) * grid->cell_mm};
}

heat_range board_heat(const sf_outcome *outcome)
{
    sf_grid grid = sf_field_grid(outcome->field);
    heat_range range = {NAN, NAN, NAN, NAN};
    for (size_t cell = 0; cell < grid.columns * grid.rows; cell++) {
        if (!grid.inside[cell])
            continue;
        double temp_c = outcome->temps_c[cell];
        if (!(temp_c >= range.least_c))
            range.least_c = temp_c;
        if (!(temp_c <= range.most_c)) {
            sf_point place = cell_centre(&grid, cell);
            range.most_c = temp_c;
            range.most_x_mm = place.x_mm;
            range.most_y_mm = place.y_mm;
        }
    }
    return range;
}

const char *board_name(const sf_job *job)
{
    return job->board.name[0] ? job->board.name : "Board without a name";
}

size_t verdict_count(const sf_outcome *outcome, sf_verdict verdict)
{
    size_t count = 0;
    for (size_t i = 0; i < outcome->job->part_count; i++)
        count += outcome->results[i].verdict == verdict;
    return count;
}

const sf_zone *part_zone(const sf_outcome *outcome, size_t part)
{
    const sf_zones *zones = outcome->zones;
    size_t zone = zones->part_zone[part];
    return zone < zones->count ? &zones->zones[zone] : NULL;
}

const sf_reading_fit **observation_fits(const sf_outcome *outcome)
{
    static const sf_reading_fit unfitted = {0, {NAN, NAN}, {NAN, NAN}, NAN, NAN, NAN, NULL};
    const sf_reading_fit **fits = array_new(outcome->observation_count, sizeof *fits);
    for (size_t i = 0; fits && i < outcome->observation_count; i++)
        fits[i] = &unfitted;
    size_t count = 0;
    const sf_reading_fit *readings = sf_field_readings(outcome->field, &count);
    for (size_t i = 0; fits && i < count; i++)
        if (readings[i].observation < outcome->observation_count)
            fits[readings[i].observation] = &readings[i];
    return fits;
}

bool heat_and_meter_disagree(const sf_outcome *outcome, size_t part)
{
    const sf_part *marked = &outcome->job->parts[part];
    const sf_part_result *found = &outcome->results[part];
    const sf_policy *policy = &outcome->job->policy;
    if (found->worn_by_evidence)
        return found->past_life < policy->past_life_check;
    bool within = found->reading_pct >= -marked->tolerance_low_pct &&
                  found->reading_pct <= marked->tolerance_high_pct;
    return within && found->past_life >= policy->past_life_replace;
}

bool listed_watts_denied(const sf_source_fit *source)
{
    return !source->contradiction && sf_source_doubted(source);
}

double sf_outcome_part_error_k(const sf_outcome *outcome)
{
    size_t parts = outcome->job->part_count;
    double squares = 0;
    for (size_t i = 0; i < parts; i++)
        squares += outcome->results[i].temp_sd_k * outcome->results[i].temp_sd_k;
    return parts > 0 ? sqrt(squares / (double)parts) : (double)NAN;
}

const sf_reference *best_reference(const sf_outcome *outcome)
{
    const sf_reference *best = NULL;
    for (size_t i = 0; i < outcome->reference_count; i++) {
        const sf_reference *one = &outcome->references[i];
        if (isfinite(one->rmse_k) && (!best || one->rmse_k < best->rmse_k))
            best = one;
    }
    return best;
}

const sf_reference *reference_that_wins(const sf_outcome *outcome)
{
    const sf_reference *best = best_reference(outcome);
    sf_field_summary summary = sf_field_summarize(outcome->field);
    double doubt = 1 / sqrt(2.0 * (double)summary.readings);
    return best && best->rmse_k * (1 + doubt) < summary.left_out_rmse_k ? best : NULL;
}

typedef struct ranked {
    const sf_part_result *result;
    size_t index;
} ranked;

/* What is not known counts as the worst. */
static int falling(double a, double b)
{
    double first = isnan(a) ? HUGE_VAL : a, second = isnan(b) ? HUGE_VAL : b;
    return (first < second) - (first > second);
}

static int worse_first(const void *left, const void *right)
{
    const ranked *a = left, *b = right;
    int order = falling(a->result->verdict, b->result->verdict);
    if (order == 0)
        order = falling(a->result->past_life, b->result->past_life);
    if (order == 0)
        order = falling(a->result->used, b->result->used);
    return order ? order : (a->index > b->index) - (a->index < b->index);
}

size_t *parts_worst_first(const sf_outcome *outcome)
{
    size_t count = outcome->job->part_count;
    size_t *order = array_new(count, sizeof *order);
    ranked *parts = array_new(count, sizeof *parts);
    for (size_t i = 0; order && parts && i < count; i++)
        parts[i] = (ranked){&outcome->results[i], i};
    if (order && parts) {
        qsort(parts, count, sizeof *parts, worse_first);
        for (size_t i = 0; i < count; i++)
            order[i] = parts[i].index;
    } else {
        free(order);
        order = NULL;
    }
    free(parts);
    return order;
}

static const struct cause_words {
    const char *letter, *text;
} cause_words[SF_CAUSE_COUNT] = {[SF_CAUSE_NONE] = {"", ""},
                                 [SF_CAUSE_AGE] = {"A", "age (hours, grade)"},
                                 [SF_CAUSE_HEAT] = {"H", "heat"},
                                 [SF_CAUSE_CRITICAL] = {"C", "critical"},
                                 [SF_CAUSE_METER] = {"M", "meter or eye"}};

const char *cause_letter(sf_cause cause)
{
    return cause_words[cause].letter;
}

const char *cause_text(sf_cause cause)
{
    return cause_words[cause].text;
}

/* --- pieces of the board without a reading --- */

#define NEARER_MM 1e-6        /* less is the rounding of a sum: the first of equals is taken */
#define PIECE_MM2_LEAST 100.0 /* smaller ones are specks of the grid, but where a part stands */

static void widen(extent *over, sf_point at, double share)
{
    over->least_x_mm = fmin(over->least_x_mm, at.x_mm);
    over->most_x_mm = fmax(over->most_x_mm, at.x_mm);
    over->least_y_mm = fmin(over->least_y_mm, at.y_mm);
    over->most_y_mm = fmax(over->most_y_mm, at.y_mm);
    over->centre_x_mm += share * (at.x_mm - over->centre_x_mm);
    over->centre_y_mm += share * (at.y_mm - over->centre_y_mm);
}

/* The extent of one piece, or of the whole board for SF_NO_ZONE; *cells counts what it holds. */
static extent measure(const sf_field *field, size_t piece, size_t *cells)
{
    sf_grid grid = sf_field_grid(field);
    extent found = {INFINITY, -INFINITY, INFINITY, -INFINITY, 0, 0};
    *cells = 0;
    for (size_t cell = 0; cell < grid.columns * grid.rows; cell++) {
        sf_point at = cell_centre(&grid, cell);
        if (grid.inside[cell] &&
            (piece == SF_NO_ZONE || sf_field_piece(field, at.x_mm, at.y_mm) == piece))
            widen(&found, at, 1 / (double)++*cells);
    }
    return found;
}

/* The middle of the cell of a piece that lies nearest to the middle of the piece, which may lie
 * beside it. */
static sf_point amid_piece(const sf_field *field, size_t piece, const extent *taken)
{
    sf_grid grid = sf_field_grid(field);
    sf_point found = {NAN, NAN};
    double least_mm = INFINITY;
    for (size_t cell = 0; cell < grid.columns * grid.rows; cell++) {
        sf_point at = cell_centre(&grid, cell);
        double mm = hypot(at.x_mm - taken->centre_x_mm, at.y_mm - taken->centre_y_mm);
        if (mm > least_mm - NEARER_MM || !grid.inside[cell] ||
            sf_field_piece(field, at.x_mm, at.y_mm) != piece)
            continue;
        least_mm = mm;
        found = at;
    }
    return found;
}

static size_t parts_on(const sf_outcome *outcome, size_t piece)
{
    size_t count = 0;
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        const sf_part *part = &outcome->job->parts[i];
        count += sf_field_piece(outcome->field, part->x_mm, part->y_mm) == piece;
    }
    return count;
}

/* False for a speck. */
static bool look_at(const sf_outcome *outcome, size_t piece, const extent *board,
                    unread_piece *found)
{
    double cell_mm = sf_field_grid(outcome->field).cell_mm;
    size_t cells;
    extent taken = measure(outcome->field, piece, &cells);
    *found = (unread_piece){.where = extent_place(&taken, board).where,
                            .parts = parts_on(outcome, piece),
                            .amid = amid_piece(outcome->field, piece, &taken)};
    return found->parts > 0 || (double)cells * cell_mm * cell_mm >= PIECE_MM2_LEAST;
}

sf_status unread_pieces_find(const sf_outcome *outcome, unread_piece **found, size_t *count)
{
    size_t pieces = sf_field_piece_count(outcome->field), cells;
    bool *read = NULL;
    *count = 0;
    *found = array_new(pieces, sizeof **found);
    if (!*found)
        return SF_ERROR_MEMORY;
    if (pieces < 2)
        return SF_OK;
    sf_status status =
        sf_pieces_read(outcome->field, outcome->observations, outcome->pixels, &read);
    extent board = measure(outcome->field, SF_NO_ZONE, &cells);
    for (size_t piece = 0; read && piece < pieces; piece++)
        *count += !read[piece] && look_at(outcome, piece, &board, *found + *count);
    free(read);
    return status;
}

sf_side source_side(const sf_job *job, const sf_source_fit *of)
{
    for (size_t i = 0; of->listed && i < job->source_count; i++)
        if (strncmp(job->sources[i].ref, of->ref, sizeof of->ref - 1) == 0)
            return job->sources[i].side;
    return SF_SIDE_EITHER;
}
