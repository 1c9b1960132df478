/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The copper of a benchmark board: patches, pours and areas of parallel tracks. */
#ifndef BENCHMARK_COPPER_H
#define BENCHMARK_COPPER_H

#include <gsl/gsl_rng.h>

#include "benchmark/plate.h"

typedef struct copper {
    int layers;          /* 1 or 2 */
    double thickness_um; /* of each layer */
    double cover;        /* mean share of a layer that is copper, 0 to 1 */
    double laminate_wmk; /* in-plane conductivity of the bare laminate */
    double thickness_mm; /* of the board */
} copper;

/* Sets the sheet conductances of the plate; *cover_laid is the mean share that came out. */
void copper_lay(plate *laid, const copper *how, gsl_rng *chance, double *cover_laid);

#endif
