/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One part's reasoning from the readings on. */
#include <math.h>
#include <stdlib.h>

#include "core/text.h"
#include "spotfield/output.h"

enum { NEAREST = 3 };

/* A reading in the fit and how far off it is. */
typedef struct neighbour {
    const sf_reading_fit *fit;
    double distance_mm;
} neighbour;

/* The nearest first; fewer where the fit holds fewer. */
static size_t find_nearest(const sf_outcome *outcome, const sf_part *part,
                           neighbour nearest[NEAREST + 1])
{
    size_t readings = 0, count = 0;
    const sf_reading_fit *fits = sf_field_readings(outcome->field, &readings);
    for (size_t i = 0; i < readings; i++) {
        const sf_observation *read = &outcome->observations[fits[i].observation];
        double distance_mm = hypot(read->x_mm - part->x_mm, read->y_mm - part->y_mm);
        size_t at = count;
        for (; at > 0 && nearest[at - 1].distance_mm > distance_mm; at--)
            nearest[at] = nearest[at - 1];
        nearest[at] = (neighbour){&fits[i], distance_mm};
        count += count < NEAREST;
    }
    return count;
}

static void add_reading(text *into, const sf_outcome *outcome, const neighbour *one)
{
    const sf_observation *read = &outcome->observations[one->fit->observation];
    text_addf(into,
              "  %s at %.4g mm: rise read %.4g K, standard uncertainty %.4g K; the field gives "
              "%.4g K there, and %.4g K without this reading (score %.2f)\n",
              read->id, one->distance_mm, read->rise_k, read->sd_k, one->fit->fitted_k.value,
              one->fit->left_out_k.value, one->fit->score);
}

static void add_readings(text *into, const sf_outcome *outcome, const sf_part *part)
{
    neighbour nearest[NEAREST + 1];
    sf_field_summary fit = sf_field_summarize(outcome->field);
    size_t count = find_nearest(outcome, part, nearest);
    text_addf(into, "Nearest readings, of the %zu in the %s fit\n", fit.readings, fit.model);
    for (size_t i = 0; i < count; i++)
        add_reading(into, outcome, &nearest[i]);
    if (!isnan(fit.can_share.value))
        text_addf(
            into,
            "  a can's share of the board's rise = %.4g, standard deviation %.4g: one "
            "for all cans but those that were read\n"
            "  warm air around the cans adds = %.4g K, standard deviation %.4g K, where the board "
            "rises by Q = %.4g K; where it rises by u, 2 sqrt(u/Q) - u/Q times as much\n",
            fit.can_share.value, fit.can_share.sd, fit.can_air_k.value, fit.can_air_k.sd,
            fit.can_air_at_k);
}

sf_status sf_outcome_explain(const sf_outcome *outcome, size_t index, char **explained)
{
    *explained = NULL;
    if (index >= outcome->job->part_count)
        return SF_ERROR_ARGUMENT;
    const sf_part *part = &outcome->job->parts[index];
    sf_estimate rise_k = sf_field_can(outcome->field, index);
    char *reasoning = NULL;
    sf_status status =
        sf_part_explain(outcome->job, index, rise_k, &outcome->results[index], &reasoning);
    if (status != SF_OK)
        return status;
    text said = {0};
    text_addf(&said, "%s\n", part->ref);
    add_readings(&said, outcome, part);
    text_add(&said, reasoning);
    free(reasoning);
    *explained = text_take(&said);
    return *explained ? SF_OK : SF_ERROR_MEMORY;
}
