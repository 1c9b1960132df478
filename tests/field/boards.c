/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Invented boards, and fields on them. */
#include "field/boards.h"

#include <math.h>
#include <stdlib.h>

#include "field/fit_data.h"
#include "support/check.h"

#define PICARD_STEPS 6 /* each takes off nine tenths of the error and more */

sf_ring ring_of(sf_point *corners, size_t count)
{
    return (sf_ring){.points = corners, .count = count, .reason = ""};
}

sf_ring rectangle_ring(sf_point *corners, double left_mm, double low_mm, double right_mm,
                       double high_mm)
{
    corners[0] = (sf_point){left_mm, low_mm};
    corners[1] = (sf_point){right_mm, low_mm};
    corners[2] = (sf_point){right_mm, high_mm};
    corners[3] = (sf_point){left_mm, high_mm};
    return ring_of(corners, 4);
}

sf_board plain_board(double width_mm, double height_mm)
{
    return (sf_board){.name = "invented",
                      .width_mm = width_mm,
                      .height_mm = height_mm,
                      .laminate = SF_LAMINATE_FR4,
                      .thickness_mm = 1.6,
                      .copper_layers = 2,
                      .copper_thickness_um = 35,
                      .copper_cover = 0.4,
                      .air = SF_AIR_STILL,
                      .ambient_c = 22.4,
                      .service_ambient_c = 22.4,
                      .surveyed = ""};
}

sf_source plain_source(const char *ref, double x_mm, double y_mm, double width_mm, double height_mm)
{
    return (sf_source){.ref = (char *)(uintptr_t)ref,
                       .x_mm = x_mm,
                       .y_mm = y_mm,
                       .width_mm = width_mm,
                       .height_mm = height_mm,
                       .power_w = NAN,
                       .power_sd_w = NAN,
                       .line = 2};
}

sf_observation plain_observation(const char *id, double x_mm, double y_mm, double rise_k,
                                 double sd_k)
{
    return (sf_observation){.id = (char *)(uintptr_t)id,
                            .x_mm = x_mm,
                            .y_mm = y_mm,
                            .temp_c = 22.4 + rise_k,
                            .rise_k = rise_k,
                            .sd_k = sd_k,
                            .in_fit = true,
                            .remark = "",
                            .line = 2};
}

grid *rectangle_grid(double width_mm, double height_mm, double cell_mm)
{
    sf_point corners[4];
    sf_ring edge = rectangle_ring(corners, 0, 0, width_mm, height_mm);
    grid *laid;
    assert_int_equal(grid_lay(&edge, 1, width_mm, height_mm, cell_mm, 1000000, &laid), SF_OK);
    return laid;
}

double next_normal(unsigned long *seed)
{
    double radius = sqrt(-2 * log(next_uniform(seed)));
    return radius * cos(2 * M_PI * next_uniform(seed));
}

static void set_heat(const truth_plan *plan, const grid *laid, double *heat_k)
{
    for (size_t j = 0; j < plan->source_count; j++) {
        const sf_source *source = &plan->sources[j];
        footprint cover;
        assert_int_equal(grid_cover(laid, source->x_mm, source->y_mm, source->width_mm,
                                    source->height_mm, source->angle_deg, &cover),
                         SF_OK);
        for (size_t i = 0; i < cover.count; i++)
            heat_k[cover.shares[i].node] +=
                plan->strength_k_mm2[j] * cover.shares[i].share / cover.area_mm2;
        free(cover.shares);
    }
}

truth truth_make(const truth_plan *plan)
{
    truth made;
    assert_int_equal(grid_lay(plan->rings, plan->ring_count, plan->board->width_mm,
                              plan->board->height_mm, plan->cell_mm, 1000000, &made.laid),
                     SF_OK);
    size_t nodes = made.laid->nodes;
    stack_up built = stack_up_of(plan->board);
    balance *matrix;
    assert_int_equal(balance_new(made.laid, &matrix), SF_OK);
    double *heat_k = calloc(nodes, sizeof *heat_k), *loss = calloc(nodes, sizeof *loss);
    made.rise_k = calloc(nodes, sizeof *made.rise_k);
    assert_true(heat_k && loss && made.rise_k);
    set_heat(plan, made.laid, heat_k);
    for (size_t node = 0; node < nodes; node++)
        loss[node] = 1;
    for (int step = 0; step < PICARD_STEPS; step++) {
        assert_int_equal(balance_factor(matrix, plan->length_mm, loss), SF_OK);
        assert_int_equal(balance_solve(matrix, heat_k, made.rise_k, 1), SF_OK);
        for (size_t node = 0; node < nodes; node++)
            made.rise_k[node] += plan->background_k;
        for (size_t node = 0; node < nodes; node++)
            loss[node] = stack_up_loss_at(&built, plan->board, made.rise_k[node]);
    }
    free(heat_k);
    free(loss);
    balance_free(matrix);
    return made;
}

double truth_at(const truth *of, double x_mm, double y_mm)
{
    grid_sample sample = grid_sample_at(of->laid, x_mm, y_mm);
    return sample_value(&sample, of->rise_k);
}

void truth_clear(truth *of)
{
    grid_free(of->laid);
    free(of->rise_k);
}
