/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The balance of a benchmark board: conduction in patchy copper against losses that grow with the
 * rise, by Picard iteration; each step is one sparse Cholesky factorisation. */
#include "benchmark/plate.h"

#include <math.h>
#include <stdlib.h>
#include <suitesparse/cholmod.h>

#include "core/memory.h"

static const double stefan_boltzmann = 5.670374419e-8; /* W/(m2 K4), CODATA 2018 */
static const double cell_area_m2 = 1e-6;
static const double settled_k = 1e-4;
enum { ROUNDS = 60 };

typedef struct balance {
    cholmod_common common;
    cholmod_sparse *matrix; /* upper triangle; the last entry of a column is its diagonal */
    cholmod_factor *factor;
    cholmod_dense *heat;
    double *conductance_wk; /* of each unknown to all its neighbours together */
    int *unknown;           /* of each cell, -1 off the board */
    size_t count;
} balance;

/* Between the centres of two cells: half a cell of each in series. */
static double link_wk(double sheet_a, double sheet_b)
{
    return 2 * sheet_a * sheet_b / (sheet_a + sheet_b);
}

static void number_unknowns(balance *made, const plate *solved)
{
    for (size_t i = 0; i < solved->cells; i++)
        made->unknown[i] = solved->inside[i] ? (int)made->count++ : -1;
}

static void add_link(balance *made, int *entries, int from, int to, double conductance_wk)
{
    int *rows = made->matrix->i;
    double *values = made->matrix->x;
    rows[*entries] = from;
    values[(*entries)++] = -conductance_wk;
    made->conductance_wk[from] += conductance_wk;
    made->conductance_wk[to] += conductance_wk;
}

static void fill_matrix(balance *made, const plate *solved)
{
    int *columns = made->matrix->p, *rows = made->matrix->i, entries = 0;
    for (size_t cell = 0; cell < solved->cells; cell++) {
        int here = made->unknown[cell];
        if (here < 0)
            continue;
        columns[here] = entries;
        size_t below = cell - solved->columns, left = cell - 1;
        if (cell >= solved->columns && made->unknown[below] >= 0)
            add_link(made, &entries, made->unknown[below], here,
                     link_wk(solved->sheet_y[below], solved->sheet_y[cell]));
        if (cell % solved->columns > 0 && made->unknown[left] >= 0)
            add_link(made, &entries, made->unknown[left], here,
                     link_wk(solved->sheet_x[left], solved->sheet_x[cell]));
        rows[entries++] = here;
    }
    columns[made->count] = entries;
}

static void balance_clear(balance *cleared)
{
    cholmod_free_sparse(&cleared->matrix, &cleared->common);
    cholmod_free_factor(&cleared->factor, &cleared->common);
    cholmod_free_dense(&cleared->heat, &cleared->common);
    cholmod_finish(&cleared->common);
    free(cleared->conductance_wk);
    free(cleared->unknown);
}

static sf_status balance_make(balance *made, const plate *solved)
{
    *made = (balance){0};
    cholmod_start(&made->common);
    made->common.print = 0;
    made->unknown = array_new(solved->cells, sizeof *made->unknown);
    if (!made->unknown)
        return SF_ERROR_MEMORY;
    number_unknowns(made, solved);
    size_t count = made->count;
    made->conductance_wk = array_new(count, sizeof *made->conductance_wk);
    made->matrix =
        cholmod_allocate_sparse(count, count, 3 * count, 1, 1, 1, CHOLMOD_REAL, &made->common);
    made->heat = cholmod_zeros(count, 1, CHOLMOD_REAL, &made->common);
    if (!made->conductance_wk || !made->matrix || !made->heat)
        return SF_ERROR_MEMORY;
    fill_matrix(made, solved);
    made->factor = cholmod_analyze(made->matrix, &made->common);
    return made->factor ? SF_OK : SF_ERROR_MEMORY;
}

/* Natural convection of both faces together, W/m2K: laminar, h = C (rise / length)^(1/4) with C
 * 1.42 for an upright face, 1.32 and 0.59 for a hot face turned up and down: the simplified
 * equations for air at atmospheric pressure of heat-transfer handbooks. */
static double convection(const plate_loss *loss, const plate *solved, double rise_k)
{
    double width_m = (double)solved->columns / 1000, height_m = (double)solved->rows / 1000;
    double length_m = loss->upright ? height_m : 2 * width_m * height_m / (width_m + height_m);
    double both = loss->upright ? 2 * 1.42 : 1.32 + 0.59;
    return loss->convection_gain * both * pow(fmax(rise_k, 0.5) / length_m, 0.25);
}

/* Radiation to walls at the air's temperature, as a factor of the rise: exact, not linearised. */
static double radiation(const plate_loss *loss, double rise_k)
{
    double air = loss->ambient_c + 273.15, surface = air + rise_k;
    return (loss->emissivity_front + loss->emissivity_back) * stefan_boltzmann *
           (surface * surface + air * air) * (surface + air);
}

static void losses_update(plate *solved, const plate_loss *loss)
{
    for (size_t cell = 0; cell < solved->cells; cell++) {
        double across = ((double)(cell % solved->columns) + 0.5) / (double)solved->columns - 0.5;
        double up = ((double)(cell / solved->columns) + 0.5) / (double)solved->rows - 0.5;
        double tilt = 1 + loss->tilt_x * across + loss->tilt_y * up;
        double over_air_k = solved->rise_k[cell] - solved->plume_k[cell];
        solved->draught_wk[cell] = tilt * cell_area_m2 * convection(loss, solved, over_air_k);
        solved->loss_wk[cell] =
            solved->draught_wk[cell] + tilt * cell_area_m2 * radiation(loss, solved->rise_k[cell]);
    }
}

/* The warm air that climbs an upright board: each row of cells hands what it convects, less what
 * mixes away, to the row above, a tenth of it to either side. The stream is taken 10 mm thick at
 * 0.1 m/s on each face, of the order of a laminar boundary layer's at such rises: 2.3 W/K for a
 * metre of width. */
static void plume_update(plate *solved, const plate_loss *loss)
{
    const double stream_wk = 2.3e-3; /* of a column of cells, 1 mm wide, both faces */
    double kept = exp(-1 / loss->plume_fade_mm);
    for (size_t row = 0; loss->upright && row + 1 < solved->rows; row++) {
        const size_t first = row * solved->columns, next = first + solved->columns;
        for (size_t column = 0; column < solved->columns; column++)
            solved->plume_k[next + column] = 0;
        for (size_t column = 0; column < solved->columns; column++) {
            size_t cell = first + column;
            double over_air_k = solved->rise_k[cell] - solved->plume_k[cell];
            double warmed_k = solved->inside[cell] ? solved->draught_wk[cell] * over_air_k : 0;
            double carried_k =
                kept * solved->plume_k[cell] + loss->plume_share * warmed_k / stream_wk;
            solved->plume_k[next + column] += 0.8 * carried_k;
            solved->plume_k[next + (column > 0 ? column - 1 : column)] += 0.1 * carried_k;
            solved->plume_k[next + (column + 1 < solved->columns ? column + 1 : column)] +=
                0.1 * carried_k;
        }
    }
}

static sf_status balance_factor(balance *held, const plate *solved)
{
    const int *columns = held->matrix->p;
    double *values = held->matrix->x, *heat = held->heat->x;
    for (size_t cell = 0; cell < solved->cells; cell++) {
        int here = held->unknown[cell];
        if (here < 0)
            continue;
        values[columns[here + 1] - 1] = held->conductance_wk[here] + solved->loss_wk[cell];
        heat[here] = solved->heat_w[cell] + solved->held_w[cell] +
                     solved->draught_wk[cell] * solved->plume_k[cell];
    }
    cholmod_factorize(held->matrix, held->factor, &held->common);
    return held->common.status == CHOLMOD_OK ? SF_OK : SF_ERROR_NUMERIC;
}

/* One linear solution; *moved_k is how far the hottest-moving cell went. */
static sf_status balance_step(balance *held, plate *solved, double *moved_k)
{
    sf_status status = balance_factor(held, solved);
    if (status != SF_OK)
        return status;
    cholmod_dense *rise = cholmod_solve(CHOLMOD_A, held->factor, held->heat, &held->common);
    if (!rise)
        return SF_ERROR_MEMORY;
    const double *values = rise->x;
    *moved_k = 0;
    for (size_t cell = 0; cell < solved->cells; cell++)
        if (held->unknown[cell] >= 0) {
            double now_k = values[held->unknown[cell]];
            *moved_k = fmax(*moved_k, fabs(now_k - solved->rise_k[cell]));
            solved->rise_k[cell] = now_k;
        }
    cholmod_free_dense(&rise, &held->common);
    return isfinite(*moved_k) ? SF_OK : SF_ERROR_NUMERIC;
}

static double scale_to_peak(plate *solved, double peak_k)
{
    double hottest_k = 0;
    for (size_t cell = 0; cell < solved->cells; cell++)
        hottest_k = fmax(hottest_k, solved->rise_k[cell]);
    double factor = peak_k / hottest_k;
    for (size_t cell = 0; cell < solved->cells; cell++) {
        solved->heat_w[cell] *= factor;
        solved->rise_k[cell] *= factor;
        solved->plume_k[cell] *= factor;
    }
    return factor;
}

sf_status plate_solve(plate *solved, const plate_loss *loss, double peak_k, double *scale)
{
    balance held;
    sf_status status = balance_make(&held, solved);
    double moved_k = (double)INFINITY;
    *scale = 1;
    for (size_t cell = 0; cell < solved->cells; cell++)
        solved->rise_k[cell] = 10; /* only where the iteration starts */
    for (int round = 0; status == SF_OK && moved_k > settled_k; round++) {
        losses_update(solved, loss);
        plume_update(solved, loss);
        status = round < ROUNDS ? balance_step(&held, solved, &moved_k) : SF_ERROR_NUMERIC;
        if (status == SF_OK && !isnan(peak_k)) {
            double factor = scale_to_peak(solved, peak_k);
            moved_k = fmax(moved_k, peak_k * fabs(1 - factor));
            *scale *= factor;
        }
    }
    balance_clear(&held);
    return status;
}
