/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether readings can be trusted: each is held against what all others predict. */
#ifndef SPOTFIELD_FIELD_JUDGE_H
#define SPOTFIELD_FIELD_JUDGE_H

#include "field/length_average.h"

/* Probability that a reading is grossly wrong, rise_k being its own or that of one observation of
 * those that it is the mean of; 1 where it was held to be. */
double judge_reading(const fit_data *data, size_t reading, double rise_k, sf_estimate left_out_k);

/* Sets what every reading is expected to be from all others, averaged over the lengths (the worst
 * are judged by hyperparameters that they did not feed), and its score were nothing unlisted there.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status judge_leave_one_out(const fit_data *data, length_average *averaged);

/* Posterior of one listed source's strength at one length: mean and variance, K mm2 and its square.
 */
void judge_strength(const length_fit *fit, size_t source, double *mean, double *variance);

/* A way from readings to fits at several lengths, `of` being what it works on. */
typedef struct judged_way {
    sf_status (*fit)(void *of); /* ends what was fitted before */
    /* per reading: what all others predict; the way owns it */
    sf_status (*leave_out)(void *of, const sf_estimate **left_out_k);
    /* at the likeliest length, as judge_strength */
    void (*strength)(const void *of, size_t source, double *mean, double *variance);
} judged_way;

/* Fits, and holds against the fits what no board can be: the reading that is most likely wrong on
 * the cold side loses its weight; one that is too warm on a can is held to be the can's own heat; a
 * listed source that would have to cool gives none. Fits anew as long as there was any. What the
 * way answers. */
sf_status judge_fits(fit_data *data, const judged_way *way, void *of);

#endif
