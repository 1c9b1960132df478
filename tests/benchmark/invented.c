/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Boards drawn by chance, from ranges that physics and the trade suggest; each range says why. */
#include "benchmark/invented.h"

#include <gsl/gsl_randist.h>
#include <math.h>

#include "core/geometry.h"

double draw_between(gsl_rng *chance, double least, double most)
{
    return least + (most - least) * gsl_rng_uniform(chance);
}

static double rounded(double value, double step)
{
    return round(value / step) * step;
}

/* Laminates and their bare in-plane conductivity, W/mK: phenolic paper 0.2 to 0.3, glass-epoxy
 * 0.35 to 0.8 (handbooks; the higher values along the cloth). Foil of 35 um, "one ounce". */
static void laminate_draw(invented *board, gsl_rng *chance)
{
    bool paper = gsl_rng_uniform(chance) < 0.4;
    board->grade = paper ? "FR-2" : "FR-4";
    board->copper = (copper){
        .layers = paper ? 1 : 1 + (int)gsl_rng_uniform_int(chance, 2),
        .thickness_um = 35,
        .cover = draw_between(chance, 0.25, 0.55),
        .laminate_wmk = paper ? draw_between(chance, 0.20, 0.30) : draw_between(chance, 0.35, 0.8),
        .thickness_mm = 1.6,
    };
}

/* Solder mask, laminate and parts radiate like 0.85 to 0.95 (emissivity tables); a wall or a
 * neighbour board at nearly the same temperature takes part of it back. Parts that stand on the
 * board enlarge its surface by up to a third. */
static void loss_draw(invented *board, gsl_rng *chance)
{
    board->loss = (plate_loss){
        .ambient_c = rounded(draw_between(chance, 18, 26), 0.1),
        .upright = gsl_rng_uniform(chance) < 0.5,
        .convection_gain = draw_between(chance, 1.0, 1.35),
        .emissivity_front = draw_between(chance, 0.6, 0.92),
        .emissivity_back = draw_between(chance, 0.4, 0.9),
        .tilt_x = draw_between(chance, -0.25, 0.25),
        .tilt_y = draw_between(chance, -0.25, 0.25),
        .plume_share = draw_between(chance, 0.3, 0.7),
        .plume_fade_mm = draw_between(chance, 30, 80),
    };
    board->service_ambient_c = rounded(board->loss.ambient_c + draw_between(chance, 0, 12), 0.1);
    board->run_hours = rounded(draw_between(chance, 12000, 75000), 1);
}

void surroundings_draw(invented *board, gsl_rng *chance)
{
    laminate_draw(board, chance);
    loss_draw(board, chance);
    board->air = "still";
}

/* Transistors, resistors and regulators of milliwatts that nobody lists: one for every 1.5 cm2 of
 * dense small-signal circuits to every 200 cm2, or none, of a power stage, 2 to 15 mW each, warm
 * a few square millimetres. */
static void background_heat(invented *board, gsl_rng *chance)
{
    double area_mm2 = board->width_mm * board->height_mm;
    double each_mm2 = exp(draw_between(chance, log(150), log(20000)));
    int count = (int)(area_mm2 / each_mm2);
    for (int i = 0; i < count; i++) {
        double x_mm = draw_between(chance, 0, board->width_mm);
        double y_mm = draw_between(chance, 0, board->height_mm);
        double side_mm = draw_between(chance, 2, 8);
        plate_heat(board->truth, x_mm, y_mm, side_mm, side_mm, 0,
                   draw_between(chance, 0.002, 0.015));
    }
}

static sf_status truth_solve(invented *board, gsl_rng *chance)
{
    sf_status status = plate_new(board->width_mm, board->height_mm, board->rings, board->ring_count,
                                 &board->truth);
    if (status != SF_OK)
        return status;
    double cover;
    copper_lay(board->truth, &board->copper, chance, &cover);
    board->cover_written_pct =
        round(fmin(fmax(100 * cover + gsl_ran_gaussian_ziggurat(chance, 4), 25), 60));
    background_heat(board, chance);
    plate_hold(board->truth);
    for (size_t i = 0; i < board->source_count; i++) {
        const invented_source *source = &board->sources[i];
        plate_heat(board->truth, source->x_mm, source->y_mm, source->width_mm, source->height_mm, 0,
                   source->true_w);
    }
    double peak_k = draw_between(chance, 25, 60), scale;
    status = plate_solve(board->truth, &board->loss, peak_k, &scale);
    for (size_t i = 0; i < board->source_count; i++)
        board->sources[i].true_w *= scale;
    return status;
}

/* Dissipation read off a circuit diagram or a nameplate is good to 20 to 35 %, where there is one
 * at all: for a third to a half of the parts. */
void powers_believe(invented *board, gsl_rng *chance)
{
    double known = draw_between(chance, 0.33, 0.5);
    for (size_t i = 0; i < board->source_count; i++) {
        invented_source *source = &board->sources[i];
        double doubt = draw_between(chance, 0.20, 0.35);
        double believed_w = source->true_w * exp(gsl_ran_gaussian_ziggurat(chance, doubt));
        bool told = gsl_rng_uniform(chance) < known;
        source->power_w = source->power_sd_w = (double)NAN;
        if (told) {
            source->power_w = fmax(rounded(believed_w, 0.01), 0.01);
            source->power_sd_w = fmax(rounded(believed_w * doubt, 0.01), 0.01);
        }
    }
}

bool invented_has_room(const invented *board, double x_mm, double y_mm, double half_width_mm,
                       double half_height_mm)
{
    for (double dx = -half_width_mm; dx <= half_width_mm + 0.01; dx += half_width_mm / 8)
        for (double dy = -half_height_mm; dy <= half_height_mm + 0.01; dy += half_height_mm / 8)
            if (!board_contains(board->rings, board->ring_count, x_mm + dx, y_mm + dy))
                return false;
    return true;
}

sf_status invented_make(invented *board, size_t readings, bool unlisted, gsl_rng *chance)
{
    *board = (invented){0};
    outline_draw(board, chance);
    surroundings_draw(board, chance);
    sources_draw(board, unlisted, chance);
    sf_status status = truth_solve(board, chance);
    if (status != SF_OK)
        return status;
    powers_believe(board, chance);
    parts_draw(board, chance);
    readings_take(board, readings, chance);
    return SF_OK;
}

void invented_clear(invented *board)
{
    plate_free(board->truth);
    board->truth = NULL;
}
