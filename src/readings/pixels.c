/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From what a camera showed to rises at places on the board. */
#include "readings/pixels.h"

#include <math.h>

#include "core/memory.h"
#include "readings/correction.h"
#include "readings/marks.h"

/* Noise equivalent temperature difference of cameras without cooling: 0.03 to 0.1 K at 30 C
 * (makers' usual figure: common practice, no source); the upper end, since neighbours differ a
 * little too. */
#define NOISE_SD_K 0.1

double pixels_reflected_c(const sf_job *job)
{
    double given_c = job->board.camera.reflected_c;
    return isnan(given_c) ? job->board.ambient_c : given_c;
}

double pixel_corrected_c(double shown_c, double emissivity, double mirrored_c)
{
    double temp_c = shown_c;
    if (!isnan(emissivity) &&
        sf_infrared_temp(shown_c, emissivity, mirrored_c, &temp_c, NULL, NULL) != SF_OK)
        return NAN;
    return range_holds(board_c, temp_c) ? temp_c : NAN;
}

/* A pixel on bare board, unless it is blank. */
static void keep_pixel(const sf_job *job, double shown_c, double x_mm, double y_mm, sf_pixels *into)
{
    double temp_c =
        pixel_corrected_c(shown_c, job->board.camera.emissivity, pixels_reflected_c(job));
    if (isnan(temp_c)) {
        into->blank++;
        return;
    }
    into->x_mm[into->count] = x_mm;
    into->y_mm[into->count] = y_mm;
    into->rise_k[into->count++] = temp_c - job->board.ambient_c;
    into->least_c = fmin(into->least_c, temp_c);
    into->most_c = fmax(into->most_c, temp_c);
}

static void lay_row(const sf_job *job, const double h[9], const ground *seen, size_t row,
                    sf_pixels *into)
{
    const sf_thermogram *picture = &job->thermogram;
    const float *shown_c = picture->shown_c + row * picture->columns;
    double x_start = h[1] * (double)row + h[2], y_start = h[4] * (double)row + h[5];
    double depth_start = h[7] * (double)row + h[8];
    for (size_t i = 0; i < picture->columns; i++) {
        double depth = h[6] * (double)i + depth_start;
        double x_mm = (h[0] * (double)i + x_start) / depth;
        double y_mm = (h[3] * (double)i + y_start) / depth;
        /* beyond the horizon lies no board */
        ground_kind kind = depth > 0 ? ground_at(seen, x_mm, y_mm) : GROUND_NONE;
        into->off_board += kind == GROUND_NONE;
        into->on_bodies += kind == GROUND_BODY;
        into->masked += kind == GROUND_MASKED;
        if (kind == GROUND_BARE)
            keep_pixel(job, (double)shown_c[i], x_mm, y_mm, into);
    }
}

bool pixels_lay(const sf_job *job, const double homography[9], const ground *seen, sf_pixels *into)
{
    size_t all = job->thermogram.columns * job->thermogram.rows;
    into->x_mm = array_new(all, sizeof *into->x_mm);
    into->y_mm = array_new(all, sizeof *into->y_mm);
    into->rise_k = array_new(all, sizeof *into->rise_k);
    if (!into->x_mm || !into->y_mm || !into->rise_k)
        return false;
    into->least_c = INFINITY;
    into->most_c = -INFINITY;
    for (size_t row = 0; row < job->thermogram.rows; row++)
        lay_row(job, homography, seen, row, into);
    into->left_out = all - into->count;
    return true;
}

double pixel_side_mm(const double homography[9], double column, double row)
{
    sf_point left = marks_apply(homography, column - 0.5, row);
    sf_point right = marks_apply(homography, column + 0.5, row);
    sf_point above = marks_apply(homography, column, row - 0.5);
    sf_point below = marks_apply(homography, column, row + 0.5);
    return sqrt(hypot(right.x_mm - left.x_mm, right.y_mm - left.y_mm) *
                hypot(below.x_mm - above.x_mm, below.y_mm - above.y_mm));
}

double pixels_cover(const sf_thermogram *picture, const double homography[9], const ground *seen)
{
    double map[9];
    size_t board = 0, covered = 0;
    viewpoint_invert(homography, map);
    for (size_t row = 0; row < seen->rows; row++)
        for (size_t i = 0; i < seen->columns; i++) {
            if (seen->kinds[row * seen->columns + i] == GROUND_NONE)
                continue;
            sf_point at = marks_apply(map, ((double)i + 0.5) * seen->cell_mm,
                                      ((double)row + 0.5) * seen->cell_mm);
            board++;
            covered += at.x_mm >= -0.5 && at.x_mm <= (double)picture->columns - 0.5 &&
                       at.y_mm >= -0.5 && at.y_mm <= (double)picture->rows - 0.5;
        }
    return board > 0 ? (double)covered / (double)board : 0;
}

static double mean_rise_k(const sf_pixels *of)
{
    double sum_k = 0;
    for (size_t i = 0; i < of->count; i++)
        sum_k += of->rise_k[i];
    return sum_k / (double)of->count;
}

/* What a camera shows of a surface, to which its calibration refers: M^4 = e T^4 + (1 - e) R^4. */
static double shown_for_c(double temp_c, double emissivity, double mirrored_c)
{
    double surface = pow(temp_c + 273.15, 4), mirrored = pow(mirrored_c + 273.15, 4);
    return pow(emissivity * surface + (1 - emissivity) * mirrored, 0.25) - 273.15;
}

void pixels_doubt(const sf_job *job, sf_pixels *into)
{
    const sf_camera *camera = &job->board.camera;
    bool is_corrected = isnan(camera->emissivity);
    double emissivity = is_corrected ? EMISSIVITY_OF_MASK : camera->emissivity;
    double mirrored_c = pixels_reflected_c(job), temp_c = job->board.ambient_c + mean_rise_k(into);
    double shown_c = shown_for_c(temp_c, emissivity, mirrored_c), same_c, gain = 1;
    if (!is_corrected)
        sf_infrared_temp(shown_c, emissivity, mirrored_c, &same_c, NULL, &gain);
    double camera_sd_k =
        isnan(camera->sd_k)
            ? doubt_by_default(SF_METHOD_INFRARED, SF_SPOT_BOARD, shown_c).instrument_sd_k
            : camera->sd_k;
    double mirrored_sd_k =
        infrared_k_per_reflected_k(temp_c, emissivity, mirrored_c) * REFLECTED_SD_K;
    double law_sd_k =
        is_corrected ? 0 : infrared_law_doubt_k(shown_c, emissivity, mirrored_c, temp_c);
    into->pixel_sd_k = NOISE_SD_K * gain;
    into->offset_sd_k = hypot(hypot(camera_sd_k * gain, mirrored_sd_k), law_sd_k);
    into->gain_sd = doubt_of_emissivity(emissivity) / emissivity;
}
