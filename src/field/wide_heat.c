/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Each of the many places where a source may stand with a small probability counts as white heat of
 * its mean square. */
#include "field/wide_heat.h"

#include <stdlib.h>

#include "core/memory.h"

void heat_variances(const fit_data *data, const length_fit *fit, double *heat, double *wide_heat)
{
    double cell_mm2 = data->laid->cell_mm * data->laid->cell_mm;
    for (size_t node = 0; node < data->laid->nodes; node++)
        heat[node] = wide_heat[node] = heat_variance(data, &fit->green, &fit->fitted, node);
    const unlisted *found = &fit->found;
    for (int k = 0; found->from && k < EFFECT_COUNT; k++)
        for (size_t c = 0; c < found->from->count; c++) {
            const footprint *cover = &found->from->covers[c];
            if (candidate_likely(&found->effects[k], c))
                continue;
            double density = candidate_square(&found->effects[k], c) / (cover->area_mm2 * cell_mm2);
            for (size_t s = 0; s < cover->count; s++)
                wide_heat[cover->shares[s].node] += density * cover->shares[s].share;
        }
}

sf_status wide_covariance(const length_fit *fit, const double *heat, const double *wide_heat,
                          double *between)
{
    const double *adjoint = fit->green.adjoint;
    size_t readings = fit->green.readings, nodes = fit->green.nodes;
    double *more = array_new(nodes, sizeof *more);
    if (!more)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < readings; i++) {
        for (size_t node = 0; node < nodes; node++)
            more[node] = adjoint[i * nodes + node] * (wide_heat[node] - heat[node]);
        dots(more, adjoint, nodes, i + 1, nodes, between + i * readings);
        add_times(between + i * readings, fit->under.covariance + i * readings, 1, i + 1);
        for (size_t k = 0; k < i; k++)
            between[k * readings + i] = between[i * readings + k];
    }
    free(more);
    return SF_OK;
}
