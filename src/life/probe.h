/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Places where a reading could be taken, and how: used by the plan of readings. */
#ifndef SPOTFIELD_LIFE_PROBE_H
#define SPOTFIELD_LIFE_PROBE_H

#include "life/expected_loss.h"
#include "spotfield/job.h"
#include "spotfield/plan.h"

/* What a place is chosen for. */
typedef enum probe_spot {
    PROBE_PART,   /* the board beside a part */
    PROBE_CAN,    /* the can of a part itself */
    PROBE_SOURCE, /* the board under the middle of a heat source, from the side without its body */
    PROBE_OPEN    /* open board */
} probe_spot;

typedef struct probe {
    sf_point place; /* to half a millimetre, as a ruler is read */
    probe_spot spot;
    size_t index; /* of the part or source; on open board not used */
    sf_method method;
    const sf_ring *keepout; /* the no-touch area it lies in or close to; NULL none */
} probe;

typedef struct probes {
    probe *list;
    size_t count;
} probes;

#define PROBES_MOST 600

/* Lists places on the cans and beside the parts marked in `wanted` (per part of the job; every so
 * many where there are very many), under listed sources and on a grid off both, at most PROBES_MOST
 * in all. All lie on board, clear of its edges and slots, of cans and of source bodies but their
 * own. In a no-touch area and within 5 mm of one the method is infrared, elsewhere `method`.
 * SF_ERROR_MEMORY. *found is ended with probes_clear in any case. */
sf_status probes_find(const sf_job *job, const bool *wanted, sf_method method, probes *found);
void probes_clear(probes *found);

/* Whether a probe is taken on a can or on the board. */
sf_spot probe_on(const probe *at);

/* The method by which a part's can is read: infrared where it stands in a no-touch area or within
 * 5 mm of one, elsewhere `method`. */
sf_method can_method(const sf_job *job, const sf_part *part, sf_method method);

/* The method that most readings of a job were taken with; thermocouple-K where none was. */
sf_method usual_method(const sf_job *job);

/* --- what it is for and how to take it, in a line --- */

/* What one reading does for one part. */
typedef struct plan_effect {
    const sf_part *part;
    const loss_model *of;
    double rise_k, sd_k; /* today */
    double loss;         /* expected before the reading */
    double gain;         /* expected fall of that */
    double told;         /* share of its variance that the reading takes away */
} plan_effect;

/* The side from which a probe is reached. */
sf_side probe_side(const sf_job *job, const probe *at);

/* New text, NULL when memory is short. Sorts the effects, greatest gain first. */
char *plan_reason_write(const sf_job *job, const probe *at, plan_effect *effects, size_t count);

#endif
