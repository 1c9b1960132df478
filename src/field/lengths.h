/* Averaging over the spreading lengths that fits were made at, whichever way they were made. */
#ifndef SPOTFIELD_FIELD_LENGTHS_H
#define SPOTFIELD_FIELD_LENGTHS_H

#include <stddef.h>

#define LENGTHS_MOST 5 /* in one sweep */

/* Posterior weights, which sum to 1, from log densities; returns the index of the greatest. */
size_t lengths_weigh(const double *log_posteriors, size_t count, double *weights);

/* The weighted mean of count fields at every node; how far they lie apart, the variance of the
 * mixture of their means, is added to spread_k2, NULL for not. */
void lengths_average(const double *const *rises_k, const double *weights, size_t count,
                     size_t nodes, double *rise_k, double *spread_k2);

#endif
