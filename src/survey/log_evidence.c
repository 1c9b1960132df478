/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One field fitted for its evidence alone. */
#include "survey/log_evidence.h"

#include <math.h>
#include <stdlib.h>

double log_evidence_fitted(const sf_job *job, const sf_observation *observations, size_t count,
                           const sf_field_options *options)
{
    sf_field_input input = sf_field_input_of(job, observations, count);
    sf_point *cans = sf_part_places(job);
    sf_diagnostics dropped = {0};
    input.cans = cans;
    input.can_count = job->part_count;
    double evidence;
    if (!cans || sf_field_log_evidence(&input, options, &evidence, &dropped) != SF_OK)
        evidence = -INFINITY;
    sf_diagnostics_clear(&dropped);
    free(cans);
    return evidence;
}
