/* The data of one heat-balance fit: readings, footprints and scales, the same for every spreading
 * length that is tried. */
#ifndef SPOTFIELD_FIELD_PROBLEM_H
#define SPOTFIELD_FIELD_PROBLEM_H

#include <stddef.h>

#include "field/construction.h"
#include "field/grid.h"
#include "spotfield/field.h"

#define READINGS_MOST 500 /* the work grows with their cube */

typedef struct problem {
    const sf_field_input *input;
    const grid *laid;
    construction built;
    size_t readings;
    size_t *observation_of; /* per reading: index into the input's observations */
    grid_sample *samples;   /* per reading: where it was taken */
    double *rise_k;         /* per reading */
    double *variance_k2;    /* per reading, of its own uncertainty */
    double *position_k2;    /* per reading, from not knowing its place; 0 before a field is known */
    footprint *covers;      /* per source */
    double background_k;    /* scale of the uniform background: mean and sd of its prior */
    double strength_k_mm2;  /* median of the population of heat sources, heat over loss */
    double *rise_guess_k;   /* per node, from the pass before */
    double *loss;           /* per node, relative, from the pass before; 1 at first */
} problem;

/* Gathers the observations that are in the fit. SF_ERROR_DATA when there is none, everything but
 * the scales of the priors being set then, or more than READINGS_MOST; SF_ERROR_MEMORY. *gathered
 * is ended with problem_clear in any case. */
sf_status problem_gather(const sf_field_input *input, const grid *laid, problem *gathered);

/* Takes a field of the pass before: loss and patchiness follow the rise, and where the field is
 * steep a reading's place, known to position_sd_mm each way, makes it less sure. */
void problem_take_field(problem *gathered, const double *rise_k, double position_sd_mm);

/* A copy of the input's observations in which only `most` are in the fit: the warmest first, then
 * each time the one farthest from those chosen. Freed with free(); its texts stay the input's.
 * NULL when memory is short. */
sf_observation *problem_thin(const problem *gathered, size_t most);

void problem_clear(problem *gathered);

/* How steep a field of one value a node is at a place, kelvin a millimetre. */
double field_slope_k_mm(const grid *laid, const double *rise_k, double x_mm, double y_mm);

/* The sum a sample makes of one value a node. */
double sample_value(const grid_sample *sample, const double *values);

#endif
