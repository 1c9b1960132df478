/* Fits of one set of readings at several spreading lengths, which the field is averaged over. */
#ifndef SPOTFIELD_FIELD_SWEEP_H
#define SPOTFIELD_FIELD_SWEEP_H

#include "field/length_fit.h"

#define SWEEP_MOST 5 /* lengths */

/* Fits with their posterior weights; the weights sum to 1. */
typedef struct sweep {
    length_fit fits[SWEEP_MOST];
    double weights[SWEEP_MOST];
    size_t count, best;
} sweep;

void sweep_clear(sweep *swept);

#endif
