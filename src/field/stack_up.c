/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Handbook values of board materials and surface losses: one table each. */
#include "field/stack_up.h"

#include <math.h>

#define COPPER_W_MK 390 /* rolled copper 385..400, handbooks of heat transfer, from memory */
#define KELVIN 273.15

/* In-plane conductivity without copper, W/mK. FR-4: J. E. Graebner and K. Azar, J. Heat Transfer
 * 119 (1997) 401, glass-epoxy conducts about three times better along than across; papers and
 * composites: handbooks, from memory. */
static const double laminate_w_mk[SF_LAMINATE_COUNT] = {
    [SF_LAMINATE_FR1] = 0.25, [SF_LAMINATE_FR2] = 0.25, [SF_LAMINATE_CEM1] = 0.5,
    [SF_LAMINATE_CEM3] = 0.8, [SF_LAMINATE_FR4] = 0.8,
};

/* Both faces together, radiation included: open still air 14..24 W/m2K, a closed box less, a fan
 * of 1 to 2 m/s 40..60; handbooks, from memory. The share is convection's at 15 K of rise:
 * radiation at an emissivity of 0.9 makes about 6 W/m2K a face. */
static const struct {
    double loss_w_m2k, convection;
} air_loss[SF_AIR_COUNT] = {
    [SF_AIR_STILL] = {15, 0.35},
    [SF_AIR_ENCLOSED] = {12, 0.35},
    [SF_AIR_FORCED] = {45, 0},
};

stack_up stack_up_of(const sf_board *board)
{
    double copper_m = board->copper_layers * board->copper_thickness_um * 1e-6;
    /* Tracks with gaps conduct less than their cover says: the law of mixtures, linear in the
     * cover, is an upper bound, its square a fair middle for broken copper (a judgement). */
    double cover = board->copper_cover * board->copper_cover;
    double laminate_m = fmax(board->thickness_mm * 1e-3 - copper_m * board->copper_cover, 0);
    stack_up built = {
        .conductance_w_k =
            COPPER_W_MK * copper_m * cover + laminate_w_mk[board->laminate] * laminate_m,
        .loss_w_m2k = air_loss[board->air].loss_w_m2k,
        .convection = air_loss[board->air].convection,
    };
    built.length_mm = 1e3 * sqrt(built.conductance_w_k / built.loss_w_m2k);
    return built;
}

double stack_up_loss_at(const stack_up *built, const sf_board *board, double rise_k)
{
    if (board->air == SF_AIR_FORCED)
        return 1;
    double rise = fmax(rise_k, 0.5); /* the root is steep at zero, where no heat flows anyway */
    double convection = pow(rise / LOSS_REFERENCE_K, 0.25);
    double air_abs_k = board->ambient_c + KELVIN;
    double radiation = pow((air_abs_k + rise / 2) / (air_abs_k + LOSS_REFERENCE_K / 2.0), 3);
    return built->convection * convection + (1 - built->convection) * radiation;
}
