/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What memory a fit takes, told before it is taken. */
#ifndef SPOTFIELD_FIELD_ROOM_NEEDED_H
#define SPOTFIELD_FIELD_ROOM_NEEDED_H

#include "field/balance.h"
#include "field/fit_data.h"

/* More is refused: a bench computer of 4 GiB has so much to spare beside its desktop (a judgement),
 * and beyond it a machine stops answering before the program is told. */
#define FIT_BYTES_MOST (2.0 * 1024 * 1024 * 1024)

/* Bytes at the peak of a fit by the covariance of the readings, and of one by the precision of the
 * field. From what the fit allocates by readings, sources and nodes, and the factor of the balance
 * as CHOLMOD has analysed it; what is small beside these is left out. */
double dense_bytes(const fit_data *data, const balance *analysed);
double sparse_bytes(const fit_data *data, const balance *analysed);

#endif
