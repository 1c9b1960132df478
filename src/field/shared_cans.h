/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cans that several readings were taken on: what such a can has of its own is one unknown, however
 * often it was read. */
#ifndef SPOTFIELD_FIELD_SHARED_CANS_H
#define SPOTFIELD_FIELD_SHARED_CANS_H

#include "field/fit_data.h"

typedef struct shared_cans {
    size_t count;
    size_t *of_reading; /* per reading: which of them it was taken on; SF_NO_PART where on none */
} shared_cans;

/* SF_ERROR_MEMORY. Ended with shared_cans_clear in any case. */
sf_status shared_cans_find(const fit_data *data, shared_cans *made);
void shared_cans_clear(shared_cans *made);

/* More than so many there are not. */
size_t shared_cans_most(const fit_data *data);

#endif
