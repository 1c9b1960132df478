/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The data of one heat-balance fit: readings, footprints and hyperparameters, the same for every
 * spreading length that is tried. */
#ifndef SPOTFIELD_FIELD_FIT_DATA_H
#define SPOTFIELD_FIELD_FIT_DATA_H

#include <stddef.h>

#include "field/copper.h"
#include "field/grid.h"
#include "field/peak.h"
#include "field/stack_up.h"
#include "spotfield/field.h"

#define DENSE_READINGS_MOST 160 /* above, their covariance costs more than the precision */

#define UNREAD_K2 1e12 /* variance of a reading that tells nothing */

typedef struct fit_data {
    const sf_field_input *input;
    const grid *laid;
    stack_up built;
    size_t readings; /* spot readings first, then cells of a thermogram */
    size_t spots;
    size_t
        *reading_of;  /* per observation in the fit, in their order: the spot that it is part of */
    size_t *members;  /* per reading: how many observations it is the mean of, 1 as a rule */
    bool merged;      /* some spots are such means */
    sf_point *points; /* per reading: where it was taken */
    grid_sample *samples; /* per reading: the same on the grid */
    double *rise_k;       /* per reading */
    double *variance_k2;  /* per reading, of its own uncertainty */
    double *position_k2;  /* per reading, from not knowing its place; 0 before a field is known */
    double *alike;        /* per reading: so many of the thermogram err as it does; 1 for others */
    double *gross_k2;     /* per reading: what is added where it is held to be wrong, else 0 */
    double *share;        /* per reading: rise of what was read over that of the board below */
    bool *on_can;         /* per reading */
    size_t *can;          /* per reading: which can; SF_NO_PART where that is not known */
    double *at_k;  /* per reading: as rise_guess_k, of the board there; which shares are of */
    double *own_k; /* per reading: what a can's own heat and the air about it are to add */
    double *independent_k2; /* per reading: variance of that */
    double *common_k;       /* readings rows of SF_COMMON_COUNT: see sf_observation */
    double *common_of_k;    /* per reading: rise that those are of which grow with the rise */
    bool *can_heats;        /* per reading: its can is held to make heat of its own */
    bool *idle;           /* per source: held to give no heat, since the readings want it to cool */
    sf_estimate *cooling; /* per source that gives none: the strength they want, K mm2 */
    bool sources_lent;    /* covers and peaks belong to other data on the same grid */
    footprint *covers;    /* per source */
    source_peak *peaks;   /* per source: what the cells do not show of it */
    double background_k;  /* scale of the uniform background: mean and sd of its prior */
    double strength_k_mm2; /* median of the population of heat sources, heat over loss */
    double cool_k;         /* rise that the cool quarter of the readings ends at, 1 K at least */
    double least_k;        /* the least rise that a share is taken of */
    double *rise_guess_k;  /* per node, of background and listed sources, without peaks, from the
                              pass before, at least least_k */
    copper_lattice copper; /* with the drops of the pass before; none at first */
    double *loss;          /* per node, relative, from the pass before; 1 at first */
} fit_data;

/* Gathers the observations that are in the fit and the pixels. SF_ERROR_DATA when there is none of
 * either, everything but the hyperparameters of the priors being set then; SF_ERROR_MEMORY.
 * *gathered is ended with fit_data_clear in any case. */
sf_status fit_data_gather(const sf_field_input *input, const grid *laid, fit_data *gathered);

/* The same readings on another grid of the board, before any field is known. `laid` outlives *made.
 * SF_ERROR_MEMORY. *made is ended with fit_data_clear in any case. */
sf_status fit_data_on(const fit_data *gathered, const grid *laid, fit_data *made);

/* A field: one value a node, and per listed source how high its peak is, strength over the square
 * of the spreading length in K. `plain_k` is what of it background and listed sources make, one
 * value a node. */
typedef struct peaked_field {
    double *rise_k, *peak_k, *plain_k;
} peaked_field;

/* All zero; false when memory is short. Ended with peaked_field_clear in any case. */
bool peaked_field_new(const fit_data *data, peaked_field *made);
void peaked_field_clear(peaked_field *made);

/* What a field is at a place. */
double field_at(const fit_data *data, const peaked_field *field, double x_mm, double y_mm);

/* Takes a field of the pass before: loss and patchiness follow the rise, and where the field is
 * steep a reading's place, known to position_sd_mm each way, makes it less sure. */
void fit_data_take_field(fit_data *gathered, const peaked_field *field, double position_sd_mm);

/* Chooses at most `most` readings: the warmest first, then each time the one farthest from those
 * chosen; none twice at one place. `chosen` holds their indices, in rising order; returns their
 * number. SF_ERROR_MEMORY. */
sf_status fit_data_spread(const fit_data *gathered, size_t most, size_t *chosen, size_t *count);

/* The same data with only a well-spread `most` of its readings. SF_ERROR_MEMORY. *few is ended
 * with fit_data_clear in any case, before `gathered` is. */
sf_status fit_data_thin(const fit_data *gathered, size_t most, fit_data *few);

/* What all others predict of the observation that is spot number `spot` of those in the fit: from
 * what is predicted of the reading that it is part of, whose own error has white_k2, and
 * place_k2 that no mean lessens, and from the others in that reading. Where it stands alone, the
 * prediction of the reading. */
sf_estimate fit_data_leave_one_out(const fit_data *gathered, const sf_observation *seen,
                                   size_t spot, double white_k2, double place_k2,
                                   sf_estimate of_reading);

void fit_data_clear(fit_data *gathered);

/* Covariance of the errors that two readings have together: of the instrument, of the air. */
double common_between_k2(const fit_data *data, size_t reading, size_t other);

/* How steep a field is at a place, kelvin a millimetre. */
double field_slope_k_mm(const fit_data *data, const peaked_field *field, double x_mm, double y_mm);

#endif
