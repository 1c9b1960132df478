/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit is asked. */
#ifndef SPOTFIELD_FIELD_ASKED_H
#define SPOTFIELD_FIELD_ASKED_H

#include <stdbool.h>

#include "field/model.h"

/* The model of that name; NULL where there is none. */
const field_model *find_model(const char *name);

/* Whether every option lies in its range. */
bool options_hold(const sf_field_options *options);

#endif
