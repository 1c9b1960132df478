/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Isotherms take the pen that their own ground asks for; edges of zones are heavier, in a halo. */
#include "output/draw/edges.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static double edge_within(double value, const value_scale *scale)
{
    return value > scale->low && value < scale->high ? value : (double)NAN;
}

bool edges_told(const sf_scene *scene)
{
    return scene->zones && strcmp(scene->unit, "C") == 0;
}

zone_edges edges_of(const sf_scene *scene, const value_scale *scale)
{
    if (!edges_told(scene))
        return (zone_edges){NAN, NAN, NAN};
    return (zone_edges){.hot_from = edge_within(scene->zones->hot_from_c, scale),
                        .warm_from = edge_within(scene->zones->warm_from_c, scale),
                        .warm_used = scene->job->policy.zone_warm_used};
}

void edges_write(double value, char text[SCALE_TEXT])
{
    snprintf(text, SCALE_TEXT, "%.0f", value);
}

static line_look isotherm_look(const value_scale *scale, double level, double em_px)
{
    pen laid = pen_over_map(scale->colours, scale_share(scale, level));
    line_look look = {.level = level,
                      .width_px = ISOTHERM_WIDTH * em_px,
                      .laid = laid,
                      .style = {.size_px = 0.72 * em_px, .laid = laid}};
    scale_write_level(scale, level, look.words);
    return look;
}

/* its degrees with their unit, as its flag on the scale says them */
static line_look edge_look(const value_scale *scale, double level, double width, double em_px)
{
    char degrees[SCALE_TEXT];
    line_look look = {.level = level,
                      .width_px = width * em_px,
                      .halo_px = 0.1 * em_px,
                      .laid = PEN_DARK,
                      .style = {.size_px = 0.8 * em_px,
                                .bold = true,
                                .laid = PEN_DARK,
                                .halo_px = 0.14 * em_px,
                                .halo = PEN_PAPER}};
    edges_write(level, degrees);
    snprintf(look.words, sizeof look.words, "%.12s %.12s", degrees, scale->unit);
    return look;
}

size_t edges_list_lines(const zone_edges *edges, const value_scale *scale, double em_px,
                        line_look looks[LOOKS_MAX])
{
    size_t count = 0;
    for (size_t i = 0; i < scale->level_count; i++)
        if (scale->levels[i] != edges->hot_from && scale->levels[i] != edges->warm_from)
            looks[count++] = isotherm_look(scale, scale->levels[i], em_px);
    if (!isnan(edges->warm_from))
        looks[count++] = edge_look(scale, edges->warm_from, ZONE_WARM_WIDTH, em_px);
    if (!isnan(edges->hot_from))
        looks[count++] = edge_look(scale, edges->hot_from, ZONE_HOT_WIDTH, em_px);
    return count;
}
