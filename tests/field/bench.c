/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One fit taken apart. */
#include "field/bench.h"

#include <math.h>
#include <stdlib.h>

#include "field/uncertainty.h"
#include "support/check.h"

static void gather(bench *into, double cell_mm)
{
    assert_int_equal(grid_lay(into->rings, into->input.ring_count, into->board.width_mm,
                              into->board.height_mm, cell_mm, 1000000, &into->laid),
                     SF_OK);
    assert_int_equal(fit_data_gather(&into->input, into->laid, &into->data), SF_OK);
    assert_int_equal(balance_new(into->laid, &into->matrix), SF_OK);
}

void bench_set(bench *into, double width_mm, double height_mm, double cell_mm,
               const sf_source *sources, size_t source_count, const sf_observation *observations,
               size_t observation_count)
{
    *into = (bench){.board = plain_board(width_mm, height_mm)};
    into->rings[0] = rectangle_ring(into->corners[0], 0, 0, width_mm, height_mm);
    into->input = (sf_field_input){.board = &into->board,
                                   .rings = into->rings,
                                   .ring_count = 1,
                                   .sources = sources,
                                   .source_count = source_count,
                                   .observations = observations,
                                   .observation_count = observation_count};
    gather(into, cell_mm);
}

void bench_clear(bench *made)
{
    balance_free(made->matrix);
    fit_data_clear(&made->data);
    grid_free(made->laid);
}

void bench_cut(bench *into, double left_mm, double low_mm, double right_mm, double high_mm)
{
    double cell_mm = into->laid->cell_mm;
    bench_clear(into);
    into->rings[1] = rectangle_ring(into->corners[1], left_mm, low_mm, right_mm, high_mm);
    into->input.ring_count = 2;
    gather(into, cell_mm);
}

void bench_without_peaks(bench *made)
{
    for (size_t j = 0; j < made->input.source_count; j++)
        peak_clear(&made->data.peaks[j]);
}

length_fit bench_hold(bench *made, double length_mm, const hyperparameters *held)
{
    size_t readings = made->data.readings;
    length_fit fit = {.fitted = *held};
    assert_int_equal(green_functions_make(&made->data, made->matrix, length_mm, &fit.green), SF_OK);
    assert_int_equal(gaussian_of(&made->data, &fit.green, &fit.under), SF_OK);
    assert_int_equal(gaussian_set(&fit.under, &made->data, &fit.green, held), SF_OK);
    gaussian_invert(&fit.under);
    assert_true(peaked_field_new(&made->data, &fit.mean));
    fit.weights = calloc(readings, sizeof *fit.weights);
    assert_non_null(fit.weights);
    for (size_t i = 0; i < readings; i++)
        for (size_t k = 0; k < readings; k++)
            fit.weights[i] += fit.under.inverse[i * readings + k] *
                              (made->data.rise_k[k] - fit.under.expected[k]);
    return fit;
}

double *bench_sd(bench *made, const length_fit *held)
{
    double *sd_k = calloc(made->laid->nodes, sizeof *sd_k);
    assert_non_null(sd_k);
    assert_int_equal(uncertainty_add(&made->data, made->matrix, held, sd_k, NULL, NULL), SF_OK);
    for (size_t node = 0; node < made->laid->nodes; node++) {
        assert_true(isfinite(sd_k[node]));
        sd_k[node] = sqrt(fmax(sd_k[node], 0));
    }
    return sd_k;
}

double *dense_balance(const grid *laid, double length_mm, const double *loss)
{
    size_t nodes = laid->nodes;
    double coupling = pow(length_mm / laid->cell_mm, 2);
    double *matrix = calloc(nodes * nodes, sizeof *matrix);
    assert_non_null(matrix);
    for (size_t node = 0; node < nodes; node++)
        matrix[node * nodes + node] = loss ? loss[node] : 1;
    for (size_t i = 0; i < laid->link_count; i++) {
        size_t a = (size_t)laid->links[i].first, b = (size_t)laid->links[i].second;
        matrix[a * nodes + a] += coupling;
        matrix[b * nodes + b] += coupling;
        matrix[a * nodes + b] -= coupling;
        matrix[b * nodes + a] -= coupling;
    }
    return matrix;
}
