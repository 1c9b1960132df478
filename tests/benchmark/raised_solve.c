/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Board, bodies and air in balance: solids by a sparse factor, air by sweeps, in turn. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "benchmark/raised.h"
#include "core/memory.h"

static const double stefan_boltzmann = 5.670374419e-8; /* W/(m2 K4), CODATA 2018 */
static const double settled_k = 1e-3;
enum { ROUNDS = 80 };

size_t raised_node(raised *board)
{
    size_t made = board->status == SF_OK ? network_nodes_add(&board->heat, 1) : SIZE_MAX;
    if (made != SIZE_MAX)
        return made;
    board->status = SF_ERROR_MEMORY;
    return 0;
}

void raised_join(raised *board, size_t from, size_t to, double wk)
{
    if (board->status == SF_OK && network_link_add(&board->heat, from, to, wk) == SIZE_MAX)
        board->status = SF_ERROR_MEMORY;
}

void raised_surface(raised *board, const surface *added)
{
    surface *made =
        array_add(&board->surfaces, &board->surface_count, &board->surface_room, sizeof *made);
    if (made)
        *made = *added;
    else
        board->status = SF_ERROR_MEMORY;
}

/* Sum of squares times sum: what radiation between two temperatures is linear in, K3. */
static double radiation_k3(double a_abs_k, double b_abs_k)
{
    return (a_abs_k * a_abs_k + b_abs_k * b_abs_k) * (a_abs_k + b_abs_k);
}

/* Forced laminar flow over a plate, h = 3.87 sqrt(speed / length) in air near 30 C (handbooks'
 * mean Nusselt number 0.664 Re^1/2 Pr^1/3), joined with natural convection by the third power. */
static void surface_update(const raised *board, surface *updated)
{
    double rise_k = board->heat.rise_k[updated->node];
    double over_k = fmax(fabs(rise_k - board->around.rise_k[updated->air_at]), 0.5);
    double natural = board->film_gain * updated->natural * pow(over_k / updated->length_m, 0.25);
    double forced = 3.87 * sqrt(board->fan_ms / updated->length_m);
    double air_abs_k = board->true_ambient_c + 273.15;
    updated->loss_wk[0] = updated->area_m2 * cbrt(pow(natural, 3) + pow(forced, 3));
    updated->loss_wk[1] = updated->area_m2 * updated->radiates * stefan_boltzmann *
                          radiation_k3(air_abs_k, air_abs_k + rise_k);
}

static void air_warm(raised *board)
{
    air *around = &board->around;
    for (size_t i = 0; i < around->cells; i++)
        around->warmer_wk[i] = around->warmer_w[i] = 0;
    for (size_t i = 0; i < board->surface_count; i++) {
        surface *here = &board->surfaces[i];
        surface_update(board, here);
        double warms_wk = here->stays * here->loss_wk[0];
        around->warmer_wk[here->air_at] += warms_wk;
        around->warmer_w[here->air_at] += warms_wk * board->heat.rise_k[here->node];
    }
}

/* The air of a cell follows its surfaces within the same solution: without that the two would
 * approach one another too slowly. Once they are settled it makes no difference. */
static void losses_set(raised *board)
{
    network *heat = &board->heat;
    for (size_t i = 0; i < heat->nodes; i++) {
        heat->loss_wk[i] = board->leak_wk[i];
        heat->drive_w[i] = 0;
    }
    for (size_t i = 0; i < board->surface_count; i++) {
        const surface *here = &board->surfaces[i];
        double follows = board->around.follows[here->air_at];
        double air_k = board->around.rise_k[here->air_at];
        heat->loss_wk[here->node] += here->loss_wk[0] * (1 - follows) + here->loss_wk[1];
        heat->drive_w[here->node] +=
            here->loss_wk[0] * (air_k - follows * heat->rise_k[here->node]);
    }
    for (size_t i = 0; i < board->radiant_count; i++) {
        network_link *link = &heat->links[board->radiants[i].link];
        double air_abs_k = board->true_ambient_c + 273.15;
        link->wk =
            board->radiants[i].area_m2 * stefan_boltzmann *
            radiation_k3(air_abs_k + heat->rise_k[link->from], air_abs_k + heat->rise_k[link->to]);
    }
}

static double face_mean(const raised *board, int face, double x_mm, double y_mm, double width_mm,
                        double height_mm)
{
    double sum_k = 0, count = 0;
    size_t cell = 0, front;
    while ((front = raised_next_in(board, x_mm, y_mm, width_mm, height_mm, &cell)) != SIZE_MAX) {
        sum_k += board->heat.rise_k[front + (size_t)face * board->face_nodes];
        count++;
    }
    return sum_k / count;
}

/* The back under the source where it is hottest, as a mean over the outline: a small part that
 * nobody lists may be hotter at a point. */
static double hottest_source(const raised *board)
{
    double hottest_k = 0;
    for (size_t i = 0; i < board->base.source_count; i++) {
        const invented_source *source = &board->base.sources[i];
        hottest_k = fmax(hottest_k, face_mean(board, 1, source->x_mm, source->y_mm,
                                              source->width_mm, source->height_mm));
    }
    return hottest_k;
}

/* All rises are scaled along, so that the next round starts near its end. */
static double scale_to_peak(raised *board, double peak_k)
{
    double factor = fmin(fmax(peak_k / hottest_source(board), 0.2), 5);
    for (size_t i = 0; i < board->base.source_count; i++) {
        board->base.sources[i].true_w *= factor;
        board->heat.heat_w[board->bodies[i].core] = board->base.sources[i].true_w;
    }
    for (size_t i = 0; i < board->heat.nodes; i++)
        board->heat.rise_k[i] *= factor;
    for (size_t i = 0; i < board->around.cells; i++)
        board->around.rise_k[i] *= factor;
    return fabs(1 - factor) * peak_k;
}

sf_status raised_solve(raised *board, double peak_k)
{
    double moved_k = (double)INFINITY;
    sf_status status = board->status;
    for (size_t i = 0; i < board->heat.nodes; i++)
        board->heat.rise_k[i] = 10; /* only where the iteration starts */
    for (int round = 0; status == SF_OK && moved_k > settled_k; round++) {
        air_warm(board);
        status = round < ROUNDS ? air_solve(&board->around) : SF_ERROR_NUMERIC;
        if (status == SF_OK) {
            losses_set(board);
            status = network_solve(&board->heat, &moved_k);
        }
        if (status == SF_OK && !isnan(peak_k))
            moved_k = fmax(moved_k, scale_to_peak(board, peak_k));
    }
    return status;
}

void raised_balance(const raised *board, double *given_w, double *lost_w, double *away_w)
{
    *given_w = *lost_w = 0;
    *away_w = air_carried_w(&board->around);
    for (size_t i = 0; i < board->heat.nodes; i++) {
        double leaked_w = board->leak_wk[i] * board->heat.rise_k[i];
        *given_w += board->heat.heat_w[i];
        *lost_w += leaked_w;
        *away_w += leaked_w;
    }
    for (size_t i = 0; i < board->surface_count; i++) {
        const surface *here = &board->surfaces[i];
        double rise_k = board->heat.rise_k[here->node];
        double radiated_w = here->loss_wk[1] * rise_k;
        double warmed_w = here->loss_wk[0] * (rise_k - board->around.rise_k[here->air_at]);
        *lost_w += radiated_w + warmed_w;
        *away_w += radiated_w + (1 - here->stays) * warmed_w;
    }
}

double raised_face_rise(const raised *board, int face, double x_mm, double y_mm)
{
    const double *rise_k = board->heat.rise_k + (size_t)face * board->face_nodes;
    double left = floor(x_mm / 2 - 0.5), low = floor(y_mm / 2 - 0.5), sum = 0, weights = 0;
    for (int i = 0; i < 4; i++) {
        double column = left + i % 2, row = low + i / 2;
        if (column < 0 || row < 0 || column >= (double)board->columns || row >= (double)board->rows)
            continue;
        size_t node = board->node[(size_t)row * board->columns + (size_t)column];
        double weight = (1 - fabs(x_mm / 2 - 0.5 - column)) * (1 - fabs(y_mm / 2 - 0.5 - row));
        sum += node != SIZE_MAX ? weight * rise_k[node] : 0;
        weights += node != SIZE_MAX ? weight : 0;
    }
    return weights > 0 ? sum / weights : rise_k[raised_node_at(board, x_mm, y_mm)];
}

double raised_board_rise(const raised *board, size_t can)
{
    const invented_part *part = &board->base.parts[can];
    return face_mean(board, 0, part->x_mm, part->y_mm, part->diameter_mm, part->diameter_mm);
}

double raised_case_rise(const raised *board, size_t can)
{
    const raised_can *asked = &board->cans[can];
    return (board->heat.rise_k[asked->side] + board->heat.rise_k[asked->lid]) / 2;
}

double raised_into_board_w(const raised *board, size_t body)
{
    const raised_body *asked = &board->bodies[body];
    double sum_w = 0;
    for (size_t link = asked->first_link; link < asked->after_links; link++)
        if (board->heat.links[link].from >= 2 * board->face_nodes &&
            board->heat.links[link].to < 2 * board->face_nodes)
            sum_w += network_flow(&board->heat, link);
    return sum_w;
}

double raised_air_rise(const raised *board, double x_mm, double y_mm)
{
    return board->around.rise_k[air_cell(&board->around, AIR_NEAR, x_mm, y_mm)];
}
