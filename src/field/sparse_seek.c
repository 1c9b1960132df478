/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Seeks sources one by one, greedily by evidence. Had every node's heat w, of variance d, been
 * seen, a source of footprint f would gain (f'w/d)^2 / (2 f'f/d) in log likelihood: that ranks the
 * candidates, and in a thermogram how far they stand out against their ring. The first of them is
 * then fitted, and stays where the evidence says so. */
#include "field/sparse_seek.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

#define RING_MM 6.0 /* width of the ring that a find must be warmer than */
#define RING_CELLS_LEAST 4

double sparse_found_probability(double evidence)
{
    return 1 / (1 + exp(-evidence) * NOTHING_PRIOR / (1 - NOTHING_PRIOR));
}

static size_t unknown_of(const sparse_fit *fit, size_t found)
{
    return fit->unknowns.count - fit->unknowns.found + found;
}

sf_estimate sparse_found_strength(const sparse_fit *fit, size_t found)
{
    size_t unknown = unknown_of(fit, found);
    return (sf_estimate){fit->unknown_mean[unknown], sqrt(fit->unknown_variance[unknown])};
}

sf_estimate sparse_found_rise_k(const sparse_fit *fit, size_t found, const footprint *cover)
{
    const double *field = fit->unknowns.fields + unknown_of(fit, found) * fit->green.nodes;
    sf_estimate strength = sparse_found_strength(fit, found);
    double sum = 0, shares = 0;
    for (size_t s = 0; s < cover->count; s++) {
        sum += cover->shares[s].share * field[cover->shares[s].node];
        shares += cover->shares[s].share;
    }
    return (sf_estimate){strength.value * sum / shares, strength.sd * sum / shares};
}

void sparse_found_drop(sparse_found *found, size_t which, size_t nodes)
{
    for (size_t k = which; k + 1 < found->count; k++) {
        found->candidate[k] = found->candidate[k + 1];
        found->evidence[k] = found->evidence[k + 1];
        memcpy(found->heat + k * nodes, found->heat + (k + 1) * nodes, nodes * sizeof(double));
    }
    found->count--;
}

void sparse_found_clear(sparse_found *found)
{
    free(found->heat);
    *found = (sparse_found){0};
}

/* w/d at every node: the adjoint field of the readings' weights. */
static sf_status pull_heat(const fit_data *data, balance *matrix, const sparse_fit *fit,
                           double *pull)
{
    memset(pull, 0, data->laid->nodes * sizeof *pull);
    for (size_t i = 0; i < data->readings; i++)
        for (size_t k = 0; k < data->samples[i].count; k++)
            pull[data->samples[i].nodes[k]] += data->samples[i].weights[k] * fit->weights[i];
    return balance_solve(matrix, pull, pull, 1);
}

static bool overlaps(const candidates *from, size_t one, size_t other)
{
    double reach_mm = (from->sides_mm[one] + from->sides_mm[other]) / 2;
    return fabs(from->centres[one].x_mm - from->centres[other].x_mm) < reach_mm &&
           fabs(from->centres[one].y_mm - from->centres[other].y_mm) < reach_mm;
}

/* What pixels show over a square and over the ring about it. */
typedef struct contrast {
    double inside_k, ring_k; /* means of the rise */
    double rest_k;       /* how much more of it inside than in the ring the plain field leaves */
    double inside, ring; /* cells */
} contrast;

static contrast look_at(const fit_data *data, const sparse_fit *fit, const candidates *from,
                        size_t candidate)
{
    double half_mm = from->sides_mm[candidate] / 2, gap_mm = data->laid->cell_mm;
    double inside_k = 0, ring_k = 0;
    contrast seen = {0};
    for (size_t i = data->spots; i < data->readings; i++) {
        double off_mm = fmax(fabs(data->points[i].x_mm - from->centres[candidate].x_mm),
                             fabs(data->points[i].y_mm - from->centres[candidate].y_mm));
        bool in_ring = off_mm >= half_mm + gap_mm && off_mm <= half_mm + gap_mm + RING_MM;
        if (off_mm > half_mm && !in_ring)
            continue;
        double plain_k = sample_value(&data->samples[i], fit->mean.plain_k);
        *(in_ring ? &seen.ring_k : &seen.inside_k) += data->rise_k[i];
        *(in_ring ? &ring_k : &inside_k) += data->rise_k[i] - plain_k;
        *(in_ring ? &seen.ring : &seen.inside) += 1;
    }
    seen.inside_k /= seen.inside;
    seen.ring_k /= seen.ring;
    seen.rest_k = inside_k / seen.inside - ring_k / seen.ring;
    return seen;
}

/* By what the pixels show, where there are some: a body stands out against its ring, by itself and
 * beyond what background and listed sources make of the place. Below 0 where it does not. */
static double gain_seen(const fit_data *data, const sparse_fit *fit, const candidates *from,
                        size_t candidate)
{
    contrast seen = look_at(data, fit, from, candidate);
    bool stands_out = seen.inside > 0 && seen.ring >= RING_CELLS_LEAST &&
                      seen.inside_k - seen.ring_k >= FOUND_RISE_LEAST_K &&
                      seen.rest_k >= FOUND_RISE_LEAST_K;
    return stands_out ? seen.rest_k * seen.rest_k * seen.inside : -1;
}

static double gain_told(const fit_data *data, const sparse_fit *fit, const footprint *cover,
                        const double *pull)
{
    double along = 0, precision_sum = 0;
    for (size_t s = 0; s < cover->count; s++) {
        const cell_share *cell = &cover->shares[s];
        double heat = heat_variance(data, &fit->green, &fit->held, (size_t)cell->node);
        along += cell->share * pull[cell->node];
        precision_sum += cell->share * cell->share / heat;
    }
    return along > 0 ? along * along / (2 * precision_sum) : 0;
}

static bool overlaps_found(const candidates *from, const sparse_found *found, size_t candidate)
{
    for (size_t k = 0; k < found->count; k++)
        if (overlaps(from, candidate, found->candidate[k]))
            return true;
    return false;
}

/* The candidate that gains most; from->count when none gains. */
static size_t best_candidate(const fit_data *data, const sparse_fit *fit, const candidates *from,
                             const sparse_found *found, const double *pull)
{
    bool is_seen = data->readings > data->spots;
    size_t best = from->count;
    double most = 0;
    for (size_t c = 0; c < from->count; c++) {
        if (overlaps_found(from, found, c))
            continue;
        double gain =
            is_seen ? gain_seen(data, fit, from, c) : gain_told(data, fit, &from->covers[c], pull);
        if (gain > most) {
            most = gain;
            best = c;
        }
    }
    return best;
}

static void set_heat(const fit_data *data, const footprint *cover, double *heat)
{
    memset(heat, 0, data->laid->nodes * sizeof *heat);
    for (size_t s = 0; s < cover->count; s++)
        heat[cover->shares[s].node] = cover->shares[s].share / cover->area_mm2;
}

/* Adds one more source to the fit; it is found where the evidence says so. */
static sf_status try_candidate(const fit_data *data, balance *matrix, const candidates *from,
                               size_t candidate, sparse_fit *fit, sparse_found *found, bool *kept)
{
    size_t last = found->count;
    double *heat = found->heat + last * data->laid->nodes, before = fit->log_posterior;
    set_heat(data, &from->covers[candidate], heat);
    sf_status status = sparse_fit_add(data, matrix, heat, fit);
    double evidence = fit->log_posterior - before + log(from->prior[candidate]);
    *kept = status == SF_OK && sparse_found_probability(evidence) >= FOUND_PROBABILITY &&
            sparse_found_rise_k(fit, last, &from->covers[candidate]).value >= FOUND_RISE_LEAST_K;
    if (*kept) {
        found->candidate[last] = candidate;
        found->evidence[last] = evidence;
        found->count++;
        return status;
    }
    return status == SF_OK ? sparse_fit_drop(data, fit) : status;
}

sf_status sparse_seek(const fit_data *data, balance *matrix, const candidates *from,
                      sparse_fit *fit, sparse_found *found)
{
    size_t nodes = data->laid->nodes;
    double *pull = array_new(nodes, sizeof *pull);
    *found = (sparse_found){.heat = array_new(SF_UNLISTED_MOST * nodes, sizeof(double))};
    sf_status status = pull && found->heat ? SF_OK : SF_ERROR_MEMORY;
    bool kept = true;
    while (status == SF_OK && kept && found->count < SF_UNLISTED_MOST) {
        kept = false;
        status = pull_heat(data, matrix, fit, pull);
        size_t candidate =
            status == SF_OK ? best_candidate(data, fit, from, found, pull) : from->count;
        if (candidate < from->count)
            status = try_candidate(data, matrix, from, candidate, fit, found, &kept);
    }
    free(pull);
    return status;
}
