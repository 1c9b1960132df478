/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sources that nobody listed, sought in the heat that many readings tell. */
#ifndef SPOTFIELD_FIELD_SPARSE_SEEK_H
#define SPOTFIELD_FIELD_SPARSE_SEEK_H

#include "field/model.h"
#include "field/sparse.h"
#include "field/unlisted.h"

#define FOUND_RISE_LEAST_K 1.0 /* of its own footprint: less is no finding, however sure */

typedef struct sparse_found {
    size_t count;
    size_t candidate[SF_UNLISTED_MOST]; /* index into the candidates */
    double evidence[SF_UNLISTED_MOST];  /* log of the evidence gained, place and size averaged */
    double *heat;                       /* rows of nodes, as sparse_fit_make takes it */
} sparse_found;

/* Adds to a fit without found sources, time and again, the candidate whose heat the readings ask
 * for most, as long as the evidence gains by it: none that overlaps one found before, and, of a
 * thermogram, none that its pixels do not show to be warmer than the ring about it. The fit ends
 * with those that were found. *found is ended with sparse_found_clear in any case. SF_ERROR_MEMORY,
 * SF_ERROR_NUMERIC. */
sf_status sparse_seek(const fit_data *data, balance *matrix, const candidates *from,
                      sparse_fit *fit, sparse_found *found);
/* Takes one of them back. */
void sparse_found_drop(sparse_found *found, size_t which, size_t nodes);
void sparse_found_clear(sparse_found *found);

/* Strength of a found source, K mm2, and mean rise on its own footprint. */
sf_estimate sparse_found_strength(const sparse_fit *fit, size_t found);
sf_estimate sparse_found_rise_k(const sparse_fit *fit, size_t found, const footprint *cover);

/* That a source is there, from its evidence and the prior. */
double sparse_found_probability(double evidence);

#endif
