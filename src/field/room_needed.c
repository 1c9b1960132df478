/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Adds up what a fit allocates by nodes, readings and entries of its factors. */
#include "field/room_needed.h"

#include "field/discrepancy.h"
#include "field/model.h"
#include "field/shared_cans.h"
#include "field/sparse_route.h"

#define LENGTHS_KEPT 3.0         /* fits of the last pass are there together */
#define FACTOR_ENTRY_BYTES 12.0  /* CHOLMOD, simplicial: a double and an int */
#define INVERSE_ENTRY_BYTES 20.0 /* the factor copied, and a double more */
/* entries of their factors, from grids of 10^4 to 10^5 nodes */
#define PRECISION_OVER_BALANCE 2.4
/* a node, for the squares where a source is sought, copper, matrices and surfaces: measured on
 * grids of 10^4 to 10^5 nodes, where it grows as they do */
#define BESIDE_BYTES 2000.0

/* green_functions_make: what readings, background and sources answer, a field each. */
static double length_average_bytes(const fit_data *data, double readings)
{
    double fields = readings + 1 + (double)data->input->source_count;
    return LENGTHS_KEPT * fields * (double)data->laid->nodes * sizeof(double);
}

static double grid_bytes(const fit_data *data, const balance *analysed)
{
    return BESIDE_BYTES * (double)data->laid->nodes +
           LENGTHS_KEPT * balance_factor_entries(analysed) * FACTOR_ENTRY_BYTES;
}

double dense_bytes(const fit_data *data, const balance *analysed)
{
    double readings = (double)data->readings, nodes = (double)data->laid->nodes;
    double doubt = 2 * readings * nodes * sizeof(double) +
                   balance_factor_entries(analysed) * INVERSE_ENTRY_BYTES;
    return grid_bytes(data, analysed) + length_average_bytes(data, readings) + doubt;
}

double sparse_bytes(const fit_data *data, const balance *analysed)
{
    double nodes = (double)data->laid->nodes, readings = (double)data->readings;
    double listed = (double)data->input->source_count;
    double columns = 1 + listed + (double)data->copper.knots + DISCREPANCY_KNOTS_MOST + 1 +
                     SF_COMMON_COUNT + (double)shared_cans_most(data) + SF_UNLISTED_MOST;
    /* each column has a field and its answer, and twice a value a reading */
    double values = LENGTHS_KEPT * (2 * columns * (nodes + readings) + (1 + listed) * nodes);
    double entries = PRECISION_OVER_BALANCE * balance_factor_entries(analysed);
    double factors = entries * (LENGTHS_KEPT * FACTOR_ENTRY_BYTES + INVERSE_ENTRY_BYTES);
    return grid_bytes(data, analysed) + length_average_bytes(data, LEARNING_READINGS) +
           values * sizeof(double) + factors;
}
