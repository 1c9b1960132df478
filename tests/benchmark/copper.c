/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Copper as boards have it: laid layer by layer, so that no two places conduct alike. */
#include "benchmark/copper.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>

static const double copper_wmk = 390; /* electrolytic copper foil, heat-transfer handbooks */
enum { WAVES = 32, AREAS_MOST = 8 };

/* Smooth noise of unit variance: a sum of plane waves of random direction and phase. */
typedef struct patches {
    double along_x[WAVES], along_y[WAVES], phase[WAVES];
} patches;

/* A hard-edged rectangle of the layer. */
typedef struct area {
    double left_mm, low_mm, right_mm, high_mm;
    enum { POUR, TRACKS_X, TRACKS_Y } kind;
} area;

typedef struct layer {
    patches noise;
    area areas[AREAS_MOST];
    int area_count;
    double cover;
    double unevenness; /* standard deviation of the cover over its mean */
    double broken;     /* exponent: gaps make tracks conduct less than their cover says */
} layer;

static double between(gsl_rng *chance, double least, double most)
{
    return least + (most - least) * gsl_rng_uniform(chance);
}

static patches patches_draw(gsl_rng *chance)
{
    patches drawn;
    double length_mm = between(chance, 12, 30);
    for (int i = 0; i < WAVES; i++) {
        drawn.along_x[i] = gsl_ran_gaussian_ziggurat(chance, 1 / length_mm);
        drawn.along_y[i] = gsl_ran_gaussian_ziggurat(chance, 1 / length_mm);
        drawn.phase[i] = between(chance, 0, 2 * M_PI);
    }
    return drawn;
}

static double patches_at(const patches *noise, double x_mm, double y_mm)
{
    double sum = 0;
    for (int i = 0; i < WAVES; i++)
        sum += cos(noise->along_x[i] * x_mm + noise->along_y[i] * y_mm + noise->phase[i]);
    return sum * sqrt(2.0 / WAVES);
}

static layer layer_draw(const plate *laid, double cover, gsl_rng *chance)
{
    layer drawn = {.noise = patches_draw(chance), .cover = cover};
    drawn.broken = between(chance, 1.3, 2.0);
    drawn.area_count = (int)gsl_rng_uniform_int(chance, AREAS_MOST + 1);
    drawn.unevenness = between(chance, 0.05, 0.35);
    for (int i = 0; i < drawn.area_count; i++) {
        double width_mm = between(chance, 0.12, 0.4) * (double)laid->columns;
        double height_mm = between(chance, 0.12, 0.4) * (double)laid->rows;
        double left_mm = between(chance, 0, (double)laid->columns - width_mm);
        double low_mm = between(chance, 0, (double)laid->rows - height_mm);
        drawn.areas[i] = (area){left_mm, low_mm, left_mm + width_mm, low_mm + height_mm,
                                (int)gsl_rng_uniform_int(chance, 3)};
    }
    return drawn;
}

static const area *area_at(const layer *laid, double x_mm, double y_mm)
{
    for (int i = 0; i < laid->area_count; i++) {
        const area *tried = &laid->areas[i];
        if (x_mm >= tried->left_mm && x_mm < tried->right_mm && y_mm >= tried->low_mm &&
            y_mm < tried->high_mm)
            return tried;
    }
    return NULL;
}

/* Share of copper at a place and how much of a full sheet it conducts along each axis. A pour is
 * all but whole; parallel tracks conduct along by the parallel law and hardly across, where the
 * gaps interrupt them. */
static double layer_at(const layer *laid, double x_mm, double y_mm, double *full_x, double *full_y)
{
    double cover = fmin(
        fmax(laid->cover * (1 + laid->unevenness * patches_at(&laid->noise, x_mm, y_mm)), 0.03),
        0.97);
    const area *within = area_at(laid, x_mm, y_mm);
    *full_x = *full_y = pow(cover, laid->broken);
    if (!within)
        return cover;
    if (within->kind == POUR) {
        *full_x = *full_y = 0.92;
        return 0.94;
    }
    *full_x = within->kind == TRACKS_X ? 0.9 * cover : 0.2 * cover * cover;
    *full_y = within->kind == TRACKS_Y ? 0.9 * cover : 0.2 * cover * cover;
    return cover;
}

void copper_lay(plate *laid, const copper *how, gsl_rng *chance, double *cover_laid)
{
    double sheet_wk = copper_wmk * how->thickness_um * 1e-6, cover_sum = 0;
    size_t counted = 0;
    for (size_t i = 0; i < laid->cells; i++)
        laid->sheet_x[i] = laid->sheet_y[i] = how->laminate_wmk * how->thickness_mm * 1e-3;
    for (int number = 0; number < how->layers; number++) {
        layer drawn = layer_draw(laid, how->cover, chance);
        for (size_t i = 0; i < laid->cells; i++) {
            if (!laid->inside[i])
                continue;
            double full_x, full_y;
            cover_sum += layer_at(&drawn, (double)(i % laid->columns) + 0.5,
                                  (double)(i / laid->columns) + 0.5, &full_x, &full_y);
            laid->sheet_x[i] += sheet_wk * full_x;
            laid->sheet_y[i] += sheet_wk * full_y;
            counted++;
        }
    }
    *cover_laid = cover_sum / (double)counted;
}
