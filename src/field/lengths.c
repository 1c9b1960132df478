/* Weights and means over spreading lengths. */
#include "field/lengths.h"

#include <math.h>

size_t lengths_weigh(const double *log_posteriors, size_t count, double *weights)
{
    size_t best = 0;
    double sum = 0;
    for (size_t i = 1; i < count; i++)
        if (log_posteriors[i] > log_posteriors[best])
            best = i;
    for (size_t i = 0; i < count; i++)
        sum += weights[i] = exp(log_posteriors[i] - log_posteriors[best]);
    for (size_t i = 0; i < count; i++)
        weights[i] /= sum;
    return best;
}

void lengths_average(const double *const *rises_k, const double *weights, size_t count,
                     size_t nodes, double *rise_k, double *spread_k2)
{
    for (size_t node = 0; node < nodes; node++) {
        double mean = 0, square = 0;
        for (size_t i = 0; i < count; i++)
            mean += weights[i] * rises_k[i][node];
        for (size_t i = 0; i < count; i++) {
            double off = rises_k[i][node] - mean;
            square += weights[i] * off * off;
        }
        rise_k[node] = mean;
        if (spread_k2)
            spread_k2[node] += square;
    }
}
