/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether readings can be trusted: each is held against what all others predict. */
#ifndef SPOTFIELD_FIELD_JUDGE_H
#define SPOTFIELD_FIELD_JUDGE_H

#include "field/length_average.h"

/* Probability that a reading is grossly wrong and no sound one: one in GROSS_PRIOR is, and may then
 * be off by as much as boards get warm. */
double judge_gross(const fit_data *data, size_t reading, sf_estimate left_out_k);

/* Sets what every reading is expected to be from all others, averaged over the lengths (the worst
 * are judged by hyperparameters that they did not feed), and holds against them what no board can
 * be: the reading that is most likely wrong on the cold side loses its weight; one that is too warm
 * on a can is held to be the can's own heat; a listed source that would have to cool gives none.
 * *changed tells whether anything was, and the fit is to be made anew. SF_ERROR_MEMORY,
 * SF_ERROR_NUMERIC. */
sf_status judge_fit(fit_data *data, length_average *averaged, bool *changed);

/* Posterior of one listed source's strength at one length: mean and variance, K mm2 and its square.
 */
void judge_strength(const length_fit *fit, size_t source, double *mean, double *variance);

#endif
