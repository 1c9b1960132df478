/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A field with its peaks: what it is at a place, and what the data of a fit take from that of the
 * pass before. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/can_share.h"
#include "field/fit_data.h"

#define COMMON_LEAST_K 0.2 /* of a colder reading nothing grows that counts */

#define GRADIENT_STEP_MM 1.0

bool peaked_field_new(const fit_data *data, peaked_field *made)
{
    made->rise_k = array_new(data->laid->nodes, sizeof(double));
    made->peak_k = array_new(data->input->source_count, sizeof(double));
    made->plain_k = array_new(data->laid->nodes, sizeof(double));
    return made->rise_k && made->peak_k && made->plain_k;
}

void peaked_field_clear(peaked_field *made)
{
    free(made->rise_k);
    free(made->peak_k);
    free(made->plain_k);
    *made = (peaked_field){0};
}

double field_at(const fit_data *data, const peaked_field *field, double x_mm, double y_mm)
{
    grid_sample sample = grid_sample_at(data->laid, x_mm, y_mm);
    double value = sample_value(&sample, field->rise_k);
    for (size_t j = 0; j < data->input->source_count; j++)
        value += field->peak_k[j] *
                 peak_between(&data->peaks[j], data->laid, &sample, (sf_point){x_mm, y_mm});
    return value;
}

double field_slope_k_mm(const fit_data *data, const peaked_field *field, double x_mm, double y_mm)
{
    double slope_k_mm[2];
    for (int axis = 0; axis < 2; axis++) {
        double dx = axis == 0 ? GRADIENT_STEP_MM : 0, dy = GRADIENT_STEP_MM - dx;
        slope_k_mm[axis] = (field_at(data, field, x_mm + dx, y_mm + dy) -
                            field_at(data, field, x_mm - dx, y_mm - dy)) /
                           (2 * GRADIENT_STEP_MM);
    }
    return hypot(slope_k_mm[0], slope_k_mm[1]);
}

/* Four marks always fit: they are known no better than to half a pixel all the same. */
static double pixel_sd_mm(const sf_pixels *pixels)
{
    return fmax(pixels->marks_rms_mm, pixels->pixel_mm / 2);
}

/* Losses and patchiness are those of a cell, not of its centre, which may lie on a peak. */
static void set_cell_means(const fit_data *data, const peaked_field *field, double *mean_k)
{
    memcpy(mean_k, field->rise_k, data->laid->nodes * sizeof *mean_k);
    for (size_t j = 0; j < data->input->source_count; j++)
        peak_smooth(&data->peaks[j], data->laid, field->peak_k[j], mean_k);
}

/* Shares of the rise are taken of what background and listed sources make of it: what the readings
 * want besides would explain itself. Peaks do not count, a share of which would depend on where in
 * its cell a source falls. */
static void set_smooth(fit_data *gathered, const peaked_field *field)
{
    const grid *laid = gathered->laid;
    double *smooth_k = gathered->rise_guess_k;
    for (size_t node = 0; node < laid->nodes; node++) {
        smooth_k[node] = field->plain_k[node];
        for (size_t j = 0; j < gathered->input->source_count; j++)
            smooth_k[node] -= field->peak_k[j] * peak_at_node(&gathered->peaks[j], laid, (int)node);
        smooth_k[node] = fmax(smooth_k[node], gathered->least_k);
    }
    for (size_t i = 0; i < gathered->readings; i++) {
        gathered->own_k[i] -= can_reading_air_k(gathered, i);
        gathered->at_k[i] = sample_value(&gathered->samples[i], smooth_k) / gathered->share[i];
        gathered->own_k[i] += can_reading_air_k(gathered, i);
    }
}

/* A common error that grows with the rise is a share of the true rise. Taken of the reading it
 * would go with the reading's own error, and many readings would agree on a scale that is too low
 * (R. W. Peelle's puzzle; G. D'Agostini, Nucl. Instrum. Methods A 346 (1994) 306, from memory). */
static void set_common(fit_data *gathered, size_t reading, double board_k)
{
    double rise_k = gathered->share[reading] * board_k + gathered->own_k[reading];
    double *of_k = &gathered->common_of_k[reading];
    double *common_k = gathered->common_k + reading * SF_COMMON_COUNT;
    if (*of_k < COMMON_LEAST_K || rise_k < COMMON_LEAST_K)
        return;
    common_k[SF_COMMON_BEAD] *= rise_k / *of_k;
    common_k[SF_COMMON_EMISSIVITY] *= rise_k / *of_k;
    *of_k = rise_k;
}

void fit_data_take_field(fit_data *gathered, const peaked_field *field, double position_sd_mm)
{
    double *mean_k = gathered->rise_guess_k;
    set_cell_means(gathered, field, mean_k);
    copper_take_field(&gathered->copper, mean_k);
    for (size_t node = 0; node < gathered->laid->nodes; node++) {
        gathered->loss[node] =
            stack_up_loss_at(&gathered->built, gathered->input->board, mean_k[node]);
    }
    set_smooth(gathered, field);
    for (size_t i = 0; i < gathered->readings; i++) {
        const sf_point *at = &gathered->points[i];
        set_common(gathered, i, field_at(gathered, field, at->x_mm, at->y_mm));
        double sd_mm = i < gathered->spots ? position_sd_mm : pixel_sd_mm(gathered->input->pixels);
        double off_k = sd_mm * field_slope_k_mm(gathered, field, at->x_mm, at->y_mm);
        gathered->position_k2[i] =
            gathered->on_can[i] ? 0 : off_k * off_k / (double)gathered->members[i];
    }
}
