/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Values that capacitors are made in; what is not among them may be a typing slip. */
#ifndef SPOTFIELD_JOB_PREFERRED_H
#define SPOTFIELD_JOB_PREFERRED_H

#include <stdbool.h>

bool capacitance_is_preferred(double capacitance_uf);
bool voltage_is_preferred(double rated_v);

#endif
