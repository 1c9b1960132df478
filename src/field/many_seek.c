/* Seeks sources one by one. Had every node's heat w, of variance d, been seen, a source of
 * footprint f would gain (f'w/d)^2 / (2 f'f/d) in log likelihood: that ranks the candidates. The
 * first of them is then fitted, and stays where the evidence says so. */
#include "field/many_seek.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

#define RISE_LEAST_K 1.0 /* of its own footprint: less is no finding, however sure */

double many_found_probability(double evidence)
{
    return 1 / (1 + exp(-evidence) * NOTHING_PRIOR / (1 - NOTHING_PRIOR));
}

static size_t unknown_of(const many_fit *fit, size_t found)
{
    return fit->unknowns.count - fit->unknowns.found + found;
}

sf_estimate many_found_strength(const many_fit *fit, size_t found)
{
    size_t unknown = unknown_of(fit, found);
    return (sf_estimate){fit->unknown_mean[unknown], sqrt(fit->unknown_variance[unknown])};
}

sf_estimate many_found_rise_k(const many_fit *fit, size_t found, const footprint *cover)
{
    const double *field = fit->unknowns.fields + unknown_of(fit, found) * fit->answer.nodes;
    sf_estimate strength = many_found_strength(fit, found);
    double sum = 0, shares = 0;
    for (size_t s = 0; s < cover->count; s++) {
        sum += cover->shares[s].share * field[cover->shares[s].node];
        shares += cover->shares[s].share;
    }
    return (sf_estimate){strength.value * sum / shares, strength.sd * sum / shares};
}

void many_found_clear(many_found *found)
{
    free(found->heat);
    *found = (many_found){0};
}

/* w/d at every node: the adjoint field of the readings' weights. */
static sf_status pull_heat(const problem *data, balance *matrix, const many_fit *fit, double *pull)
{
    memset(pull, 0, data->laid->nodes * sizeof *pull);
    for (size_t i = 0; i < data->readings; i++)
        for (size_t k = 0; k < data->samples[i].count; k++)
            pull[data->samples[i].nodes[k]] += data->samples[i].weights[k] * fit->weights[i];
    return balance_solve(matrix, pull, pull, 1);
}

/* The candidate that gains most; from->count when none gains. */
static size_t best_candidate(const problem *data, const many_fit *fit, const candidates *from,
                             const double *pull)
{
    size_t best = from->count;
    double most = 0;
    for (size_t c = 0; c < from->count; c++) {
        double along = 0, precision_sum = 0;
        for (size_t s = 0; s < from->covers[c].count; s++) {
            const cell_share *cell = &from->covers[c].shares[s];
            double heat = heat_variance(data, &fit->answer, &fit->held, (size_t)cell->node);
            along += cell->share * pull[cell->node];
            precision_sum += cell->share * cell->share / heat;
        }
        double gain = along > 0 ? along * along / (2 * precision_sum) : 0;
        if (gain > most) {
            most = gain;
            best = c;
        }
    }
    return best;
}

static void set_heat(const problem *data, const footprint *cover, double *heat)
{
    memset(heat, 0, data->laid->nodes * sizeof *heat);
    for (size_t s = 0; s < cover->count; s++)
        heat[cover->shares[s].node] = cover->shares[s].share / cover->area_mm2;
}

/* Adds one more source to the fit; it is found where the evidence says so. */
static sf_status try_candidate(const problem *data, balance *matrix, const candidates *from,
                               size_t candidate, many_fit *fit, many_found *found, bool *kept)
{
    size_t last = found->count;
    double *heat = found->heat + last * data->laid->nodes, before = fit->log_posterior;
    set_heat(data, &from->covers[candidate], heat);
    sf_status status = many_fit_add(data, matrix, heat, fit);
    double evidence = fit->log_posterior - before + log(from->prior[candidate]);
    *kept = status == SF_OK && many_found_probability(evidence) >= FOUND_PROBABILITY &&
            many_found_rise_k(fit, last, &from->covers[candidate]).value >= RISE_LEAST_K;
    if (*kept) {
        found->candidate[last] = candidate;
        found->evidence[last] = evidence;
        found->count++;
    }
    return status;
}

sf_status many_seek(const problem *data, balance *matrix, const candidates *from, many_fit *fit,
                    many_found *found)
{
    size_t nodes = data->laid->nodes;
    double *pull = array_new(nodes, sizeof *pull);
    *found = (many_found){.heat = array_new(SF_UNLISTED_MOST * nodes, sizeof(double))};
    sf_status status = pull && found->heat ? SF_OK : SF_ERROR_MEMORY;
    bool kept = true;
    while (status == SF_OK && kept && found->count < SF_UNLISTED_MOST) {
        kept = false;
        status = pull_heat(data, matrix, fit, pull);
        size_t candidate = status == SF_OK ? best_candidate(data, fit, from, pull) : from->count;
        if (candidate < from->count)
            status = try_candidate(data, matrix, from, candidate, fit, found, &kept);
    }
    free(pull);
    return status;
}
