/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Places, nodes and readings of the models that know nothing of heat. */
#include "field/reference_model.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

static void add_point(reference_data *of, size_t reading)
{
    of->points[of->count] = of->gathered.points[reading];
    of->values[of->count] = of->gathered.rise_k[reading] / of->gathered.share[reading];
    of->point_of[reading] = of->count;
    of->reading[of->count++] = reading;
}

sf_status reference_gather(const sf_field_input *input, const grid *laid, reference_data *of)
{
    *of = (reference_data){0};
    sf_status status = fit_data_gather(input, laid, &of->gathered);
    if (status != SF_OK)
        return status;
    size_t spots = of->gathered.spots, spread = 0;
    size_t whole = spots <= SF_REFERENCE_READINGS_MOST ? spots : 0,
           most = whole + SF_REFERENCE_READINGS_MOST;
    size_t *chosen = array_new(SF_REFERENCE_READINGS_MOST, sizeof *chosen);
    of->points = array_new(most, sizeof *of->points);
    of->values = array_new(most, sizeof *of->values);
    of->reading = array_new(most, sizeof *of->reading);
    of->point_of = array_new(of->gathered.readings, sizeof *of->point_of);
    of->work = array_new(2 * most, sizeof *of->work);
    if (!chosen || !of->points || !of->values || !of->reading || !of->point_of || !of->work)
        status = SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < of->gathered.readings; i++)
        of->point_of[i] = NO_POINT;
    for (size_t i = 0; status == SF_OK && i < whole; i++)
        add_point(of, i);
    if (status == SF_OK && of->gathered.readings > whole)
        status = fit_data_spread(&of->gathered, SF_REFERENCE_READINGS_MOST, chosen, &spread);
    for (size_t k = 0; k < spread; k++)
        if (chosen[k] >= whole)
            add_point(of, chosen[k]);
    free(chosen);
    return status;
}

void reference_clear(reference_data *of)
{
    fit_data_clear(&of->gathered);
    free(of->points);
    free(of->values);
    free(of->reading);
    free(of->point_of);
    free(of->work);
    *of = (reference_data){0};
}

static sf_status set_nodes(const reference_data *of, const reference_fit *fit, model_result *result)
{
    const grid *laid = of->gathered.laid;
    for (size_t node = 0; node < laid->nodes; node++) {
        size_t cell = laid->cell_of_node[node];
        sf_point place = {cell_x_mm(laid, cell), cell_y_mm(laid, cell)};
        result->mean.rise_k[node] =
            fit->at(fit->fitted, place, of->work, &result->variance_k2[node]);
        if (!isfinite(result->mean.rise_k[node]) || !isfinite(result->variance_k2[node]))
            return SF_ERROR_NUMERIC;
    }
    return SF_OK;
}

/* What the others predict of a reading: of one that was passed over in thinning, what is fitted
 * there. */
static sf_estimate without(const reference_data *of, const reference_fit *fit,
                           const sf_observation *seen, size_t spot, sf_estimate fitted)
{
    const fit_data *all = &of->gathered;
    size_t reading = all->reading_of[spot], point = of->point_of[reading];
    double share = all->share[reading];
    double white_k2 = fit->noise_k2;
    if (point == NO_POINT) {
        double error_k = fit->stated ? seen->sd_k / share : sqrt(white_k2);
        return (sf_estimate){share * fitted.value, share * hypot(fitted.sd, error_k)};
    }
    sf_estimate left = fit->without[point];
    left = (sf_estimate){share * left.value, share * left.sd};
    return fit->stated
               ? fit_data_leave_one_out(all, seen, spot, all->variance_k2[reading], white_k2, left)
               : fit_data_leave_one_out(all, seen, spot, white_k2, 0, left);
}

/* What a reading is off by from what the others predict, K. Where the reading is wanted, it is
 * filled in: both estimates are those of the can where it was taken on one. */
static double report_reading(const reference_data *of, const reference_fit *fit, size_t spot,
                             bool wanted, sf_reading_fit *into)
{
    const fit_data *all = &of->gathered;
    const sf_observation *seen = &all->input->observations[into->observation];
    double share = all->share[all->reading_of[spot]], variance_k2 = 0;
    sf_estimate fitted = {fit->at(fit->fitted, (sf_point){seen->x_mm, seen->y_mm}, of->work,
                                  wanted ? &variance_k2 : NULL),
                          0};
    fitted.sd = sqrt(variance_k2);
    sf_estimate left_out_k = without(of, fit, seen, spot, fitted);
    double off_k = seen->rise_k - left_out_k.value;
    if (wanted) {
        into->fitted_k = (sf_estimate){share * fitted.value, share * fitted.sd};
        into->left_out_k = left_out_k;
        into->score = off_k / left_out_k.sd;
    }
    return off_k;
}

static void report_readings(const reference_data *of, const reference_fit *fit,
                            model_result *result)
{
    bool single = of->gathered.spots > 0, wanted = !result->left_out_only;
    size_t count = single ? result->summary.readings : of->count, taken = 0;
    size_t step = wanted ? 1 : 1 + count / (LEFT_OUT_READINGS_MOST + 1);
    double squares = 0;
    for (size_t i = 0; i < count; i += step) {
        double off_k = single ? report_reading(of, fit, i, wanted, &result->readings[i])
                              : of->values[i] - fit->without[i].value;
        squares += off_k * off_k;
        taken++;
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)taken);
}

static void summarise(const reference_data *of, sf_field_summary *summary)
{
    sf_estimate unknown = {NAN, NAN};
    size_t used = 0;
    while (used < of->count && of->reading[used] < of->gathered.spots)
        used++;
    summary->length_mm = summary->loss_w_m2k = summary->background_k = unknown;
    summary->can_share = summary->can_air_k = unknown;
    summary->can_air_at_k = NAN;
    summary->off_share = summary->off_mm = NAN;
    summary->prior_length_mm = summary->unlisted_sd_k = summary->log_evidence = NAN;
    summary->noise_factor = 1;
    summary->pixel_cells = of->count - used;
    summary->pixels = summary->pixel_cells > 0 ? of->gathered.input->pixels->count : 0;
}

sf_status reference_report(const reference_data *of, const reference_fit *fit, model_result *result)
{
    report_readings(of, fit, result);
    summarise(of, &result->summary);
    return result->left_out_only ? SF_OK : set_nodes(of, fit, result);
}
