/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Bayesian linear regression: a straight line of two unknowns through the differences of readings
 * and pixels. */
#include "field/calibration.h"

#include <math.h>

#define NEAR_CELLS 1.5 /* pixels of so many cells about a reading are compared with it */
#define SAME_SD 3.0    /* standard deviations that two views of one place may differ by */
#define CALIBRATION_SD_LEAST 1e-6 /* no camera is without fault */

/* Mean rise of the cells near a single reading, NAN where there are none. */
static double pixels_at(const fit_data *of, size_t spot)
{
    double sum = 0, cells = 0, reach_mm = NEAR_CELLS * of->laid->cell_mm;
    for (size_t i = of->spots; i < of->readings; i++)
        if (hypot(of->points[i].x_mm - of->points[spot].x_mm,
                  of->points[i].y_mm - of->points[spot].y_mm) <= reach_mm) {
            sum += of->rise_k[i];
            cells++;
        }
    return sum / cells;
}

/* Normal equations of difference = offset + gain * pixel: [a, b; b, c] and right-hand side. */
typedef struct line_sums {
    double a, b, c, difference, tilt;
} line_sums;

/* Where the two differ by more than reading and camera can be off, they did not see the same: a
 * body that nobody listed, say, and the board below it. */
static void add_reading(const fit_data *of, size_t spot, const calibration *prior, line_sums *sums)
{
    double pixel_k = pixels_at(of, spot);
    double variance_k2 = of->variance_k2[spot] + of->position_k2[spot];
    double weight = 1 / variance_k2, difference_k = pixel_k - of->rise_k[spot];
    double reach_k = SAME_SD * sqrt(variance_k2 + calibration_variance(prior, pixel_k));
    if (!(fabs(difference_k) <= reach_k))
        return;
    sums->a += weight;
    sums->b += weight * pixel_k;
    sums->c += weight * pixel_k * pixel_k;
    sums->difference += weight * difference_k;
    sums->tilt += weight * difference_k * pixel_k;
}

static calibration solve_line(const line_sums *sums)
{
    double determinant = sums->a * sums->c - sums->b * sums->b;
    calibration found = {.offset_k2 = sums->c / determinant,
                         .gain_k = -sums->b / determinant,
                         .gain2 = sums->a / determinant};
    found.offset_k = found.offset_k2 * sums->difference + found.gain_k * sums->tilt;
    found.gain = found.gain_k * sums->difference + found.gain2 * sums->tilt;
    return found;
}

calibration calibrate_pixels(fit_data *gathered)
{
    const sf_pixels *pixels = gathered->input->pixels;
    if (gathered->readings == gathered->spots)
        return (calibration){0};
    double offset_sd = fmax(pixels->offset_sd_k, CALIBRATION_SD_LEAST);
    double gain_sd = fmax(pixels->gain_sd, CALIBRATION_SD_LEAST);
    calibration prior = {.offset_k2 = offset_sd * offset_sd, .gain2 = gain_sd * gain_sd};
    line_sums sums = {.a = 1 / prior.offset_k2, .c = 1 / prior.gain2};
    for (size_t spot = 0; spot < gathered->spots; spot++)
        add_reading(gathered, spot, &prior, &sums);
    calibration found = solve_line(&sums);
    for (size_t i = gathered->spots; i < gathered->readings; i++)
        gathered->rise_k[i] -= found.offset_k + found.gain * gathered->rise_k[i];
    return found;
}

double calibration_covariance(const calibration *of, double one_k, double other_k)
{
    return of->offset_k2 + of->gain_k * (one_k + other_k) + of->gain2 * one_k * other_k;
}

double calibration_variance(const calibration *of, double rise_k)
{
    return calibration_covariance(of, rise_k, rise_k);
}

void calibration_report(const fit_data *all, const calibration *camera, sf_field_summary *summary)
{
    summary->pixel_cells = all->readings - all->spots;
    if (summary->pixel_cells == 0)
        return;
    summary->pixels = all->input->pixels->count;
    summary->pixel_offset_k = (sf_estimate){camera->offset_k, sqrt(camera->offset_k2)};
    summary->pixel_gain = (sf_estimate){camera->gain, sqrt(camera->gain2)};
}

void calibration_add_variance(const calibration *camera, model_result *result)
{
    for (size_t node = 0; node < result->summary.cells; node++)
        result->variance_k2[node] += calibration_variance(camera, result->mean.rise_k[node]);
}

void calibration_add_covariance(const calibration *camera, model_result *result)
{
    sf_joint_rise *joint = result->joint;
    for (size_t p = 0; joint && p < joint->count; p++)
        for (size_t q = 0; q < joint->count; q++)
            joint->covariance_k2[p * joint->count + q] +=
                calibration_covariance(camera, joint->rise_k[p], joint->rise_k[q]);
}
