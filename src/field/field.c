/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The public face of the field room: a fitted field. */
#include "spotfield/field.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/asked.h"
#include "field/can_share.h"
#include "field/fit_data.h"
#include "field/gaussian.h"
#include "field/joint.h"
#include "field/model.h"
#include "field/pieces.h"
#include "field/plausible.h"
#include "field/surface.h"
#include "field/warnings.h"

struct sf_field {
    grid *laid;
    double *rise_k, *rise_sd_k;              /* per cell, NAN outside */
    double *independent_k2, *common_shift_k; /* per node, as in model_result */
    sf_estimate *cans;                       /* per can of the input */
    surface *rise_surface, *sd_surface;      /* the first but for the peaks */
    source_peak *peaks;                      /* per listed source */
    double *peak_k;
    size_t peak_count;
    size_t *pieces; /* per node */
    size_t piece_count;
    sf_source_fit *sources;
    size_t source_count;
    sf_reading_fit *readings;
    double *slip_gains;
    size_t slip_count;
    sf_field_summary summary;
};

static double peaks_k(const sf_field *field, double x_mm, double y_mm)
{
    double sum_k = 0;
    for (size_t j = 0; j < field->peak_count; j++)
        sum_k += field->peak_k[j] * peak_at(&field->peaks[j], field->laid, x_mm, y_mm);
    return sum_k;
}

/* Room for what a model fills in; the readings know their observation from the start. */
static bool prepare(const sf_field_input *input, const field_model *model, const grid *laid,
                    model_result *result)
{
    size_t readings = 0;
    result->mean.rise_k = array_new(laid->nodes, sizeof(double));
    result->mean.peak_k = array_new(input->source_count, sizeof(double));
    result->mean.plain_k = array_new(laid->nodes, sizeof(double));
    result->variance_k2 = array_new(laid->nodes, sizeof(double));
    result->independent_k2 = array_new(laid->nodes, sizeof(double));
    result->common_shift_k = array_new(SF_COMMON_COUNT * laid->nodes, sizeof(double));
    result->readings = array_new(input->observation_count, sizeof *result->readings);
    result->sources = array_new(input->source_count + SF_UNLISTED_MOST, sizeof *result->sources);
    result->cans = array_new(input->can_count, sizeof *result->cans);
    result->slip_gains = array_new(input->slip_count, sizeof *result->slip_gains);
    if (!result->mean.rise_k || !result->mean.peak_k || !result->mean.plain_k ||
        !result->variance_k2 || !result->independent_k2 || !result->common_shift_k ||
        !result->readings || !result->sources || !result->cans || !result->slip_gains)
        return false;
    for (size_t s = 0; s < input->slip_count; s++)
        result->slip_gains[s] = -INFINITY;
    for (size_t i = 0; i < input->observation_count; i++)
        if (input->observations[i].in_fit)
            result->readings[readings++].observation = i;
    result->summary = (sf_field_summary){.model = model->called.name,
                                         .readings = readings,
                                         .cells = laid->nodes,
                                         .cell_mm = laid->cell_mm};
    return true;
}

/* Lays the surface of the rise without its peaks, which no cells can show. */
static sf_status lay_rise(const sf_field_input *input, const model_result *result, sf_field *made)
{
    const grid *laid = made->laid;
    double *smooth_k = array_new(laid->nodes, sizeof *smooth_k);
    made->peaks = array_new(input->source_count, sizeof *made->peaks);
    sf_status status = smooth_k && made->peaks ? SF_OK : SF_ERROR_MEMORY;
    for (size_t j = 0; status == SF_OK && j < input->source_count; j++)
        status = peak_make(laid, input->rings, input->ring_count, &input->sources[j], NULL,
                           &made->peaks[made->peak_count++]);
    for (size_t node = 0; status == SF_OK && node < laid->nodes; node++) {
        double sum_k = 0;
        for (size_t j = 0; j < made->peak_count; j++)
            sum_k += made->peak_k[j] * peak_at_node(&made->peaks[j], laid, (int)node);
        smooth_k[node] = result->mean.rise_k[node] - sum_k;
    }
    if (status == SF_OK)
        status = surface_new(laid, smooth_k, &made->rise_surface);
    free(smooth_k);
    return status;
}

static sf_status set_cells(const sf_field_input *input, const model_result *result, sf_field *made)
{
    const grid *laid = made->laid;
    size_t cells = laid->columns * laid->rows;
    made->rise_k = array_new(cells, sizeof(double));
    made->rise_sd_k = array_new(cells, sizeof(double));
    double *sd_k = array_new(laid->nodes, sizeof *sd_k);
    sf_status status = made->rise_k && made->rise_sd_k && sd_k ? SF_OK : SF_ERROR_MEMORY;
    for (size_t node = 0; status == SF_OK && node < laid->nodes; node++)
        sd_k[node] = sqrt(result->variance_k2[node]);
    for (size_t cell = 0; status == SF_OK && cell < cells; cell++) {
        int node = laid->node_of_cell[cell];
        made->rise_k[cell] = node == NO_NODE ? NAN : result->mean.rise_k[node];
        made->rise_sd_k[cell] = node == NO_NODE ? NAN : sd_k[node];
    }
    if (status == SF_OK)
        status = lay_rise(input, result, made);
    if (status == SF_OK)
        status = surface_new(laid, sd_k, &made->sd_surface);
    free(sd_k);
    return status;
}

/* Cans by the prior of their share, for a model that does not know them. */
static void set_cans(const sf_field_input *input, const sf_field *made)
{
    const double with_k[CANS_SHARED] = {0};
    cans_told untold = cans_untold();
    for (size_t c = 0; c < input->can_count && isnan(made->summary.can_share.value); c++) {
        const sf_point *can = &input->cans[c];
        sf_estimate board_k = {surface_at(made->rise_surface, can->x_mm, can->y_mm),
                               fmax(surface_at(made->sd_surface, can->x_mm, can->y_mm), 0)};
        made->cans[c] = can_unread(board_k, 0, &untold, with_k);
    }
}

/* From the model's result to a field that can be asked; nothing where only an error is wanted. */
static sf_status make_field(const sf_field_input *input, const model_result *result, sf_field *made,
                            sf_diagnostics *diagnostics)
{
    made->source_count = result->source_count;
    made->summary = result->summary;
    if (result->left_out_only)
        return SF_OK;
    sf_status status = plausible_check(input, made->laid, result, diagnostics);
    if (status != SF_OK || result->log_evidence_only)
        return status;
    status = set_cells(input, result, made);
    if (status == SF_OK)
        status = pieces_find(made->laid, &made->pieces, &made->piece_count);
    if (status == SF_OK)
        set_cans(input, made);
    const judged_fit judged = {input, &made->summary, made->sources, made->source_count,
                               made->readings};
    judge_sources(&judged);
    if (status == SF_OK)
        status = warn_of_fit(&judged, diagnostics);
    return status == SF_OK ? warn_of_bodies(input, made, diagnostics) : status;
}

/* `asked` says what of the result is wanted: places and joint, or the left-out error
 * or the evidence alone. */
static sf_status fit(const sf_field_input *input, const sf_field_options *options,
                     const model_result *asked, sf_field *made, sf_diagnostics *diagnostics)
{
    const field_model *model = find_model(options->model);
    model_result result = *asked;
    const char *why = NULL;
    sf_status status =
        grid_lay(input->rings, input->ring_count, input->board->width_mm, input->board->height_mm,
                 options->cell_mm, options->cells_max, &made->laid);
    if (status == SF_ERROR_DATA)
        why = "no board is left inside the outline";
    if (status == SF_OK && !prepare(input, model, made->laid, &result))
        status = SF_ERROR_MEMORY;
    made->sources = result.sources;
    made->readings = result.readings;
    made->slip_gains = result.slip_gains;
    made->slip_count = input->slip_count;
    made->independent_k2 = result.independent_k2;
    made->common_shift_k = result.common_shift_k;
    made->cans = result.cans;
    made->peak_k = result.mean.peak_k;
    if (status == SF_OK)
        status = model->fit(input, options, made->laid, &result, &why);
    if (status == SF_OK)
        status = make_field(input, &result, made, diagnostics);
    if (result.bytes_refused > 0)
        diagnose_of_room(input, made->laid, result.bytes_refused, diagnostics);
    if (status == SF_ERROR_NUMERIC)
        why = "these readings give no finite field: two at one place may contradict each other";
    if (status == SF_ERROR_SOLVE)
        sf_diagnose(diagnostics, SF_ERROR, "", 0, "",
                    "the field equations were solved wrongly: the fault is in a library on this "
                    "system, not in the readings",
                    NULL);
    free(result.mean.rise_k);
    free(result.mean.plain_k);
    free(result.variance_k2);
    if (why)
        sf_diagnose(diagnostics, SF_ERROR, made->laid ? "readings.csv" : "outline.csv", 0, "", why,
                    NULL);
    return status;
}

static sf_status fit_new(const sf_field_input *input, const sf_field_options *options,
                         const model_result *asked, sf_field **field, sf_diagnostics *diagnostics)
{
    sf_field *made = array_new(1, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    sf_status status = fit(input, options, asked, made, diagnostics);
    if (status != SF_OK) {
        sf_field_free(made);
        return status;
    }
    *field = made;
    return SF_OK;
}

sf_status sf_field_fit(const sf_field_input *input, const sf_field_options *options,
                       sf_field **field, sf_diagnostics *diagnostics)
{
    *field = NULL;
    if (!options_hold(options))
        return SF_ERROR_ARGUMENT;
    return fit_new(input, options, &(model_result){0}, field, diagnostics);
}

sf_status sf_field_leave_one_out(const sf_field_input *input, const sf_field_options *options,
                                 double *left_out_rmse_k, sf_diagnostics *diagnostics)
{
    sf_field *field;
    *left_out_rmse_k = NAN;
    if (!options_hold(options))
        return SF_ERROR_ARGUMENT;
    sf_status status =
        fit_new(input, options, &(model_result){.left_out_only = true}, &field, diagnostics);
    if (status == SF_OK) {
        *left_out_rmse_k = field->summary.left_out_rmse_k;
        sf_field_free(field);
    }
    return status;
}

sf_status sf_field_log_evidence(const sf_field_input *input, const sf_field_options *options,
                                double *log_evidence, sf_diagnostics *diagnostics)
{
    sf_field *field;
    *log_evidence = NAN;
    if (!options_hold(options) || find_model(options->model) != &heat_balance_model)
        return SF_ERROR_ARGUMENT;
    sf_status status =
        fit_new(input, options, &(model_result){.log_evidence_only = true}, &field, diagnostics);
    if (status == SF_OK) {
        *log_evidence = field->summary.log_evidence;
        sf_field_free(field);
    }
    return status;
}

static bool places_hold(const sf_field_input *input, const sf_place *places, size_t count)
{
    for (size_t i = 0; i < count && count <= SF_JOINT_PLACES_MAX; i++)
        if (!isfinite(places[i].x_mm) || !isfinite(places[i].y_mm) ||
            (places[i].on_can && places[i].can >= input->can_count))
            return false;
    return count <= SF_JOINT_PLACES_MAX;
}

sf_status sf_field_fit_joint(const sf_field_input *input, const sf_field_options *options,
                             const sf_place *places, size_t count, sf_field **field,
                             sf_joint_rise **joint, sf_diagnostics *diagnostics)
{
    *field = NULL;
    *joint = NULL;
    if (!options_hold(options) || find_model(options->model) != &heat_balance_model ||
        !places_hold(input, places, count))
        return SF_ERROR_ARGUMENT;
    sf_joint_rise *told = joint_new(count);
    if (!told)
        return SF_ERROR_MEMORY;
    model_result asked = {.places = places, .joint = told};
    sf_status status = fit_new(input, options, &asked, field, diagnostics);
    if (status != SF_OK) {
        sf_joint_rise_free(told);
        return status;
    }
    *joint = told;
    return SF_OK;
}

sf_status sf_field_at(const sf_field *field, double x_mm, double y_mm, sf_estimate *rise_k)
{
    if (!isfinite(x_mm) || !isfinite(y_mm))
        return SF_ERROR_ARGUMENT;
    *rise_k =
        (sf_estimate){surface_at(field->rise_surface, x_mm, y_mm) + peaks_k(field, x_mm, y_mm),
                      fmax(surface_at(field->sd_surface, x_mm, y_mm), 0)};
    return SF_OK;
}

sf_reading_share sf_field_reading_share(const sf_field *field, double x_mm, double y_mm)
{
    grid_sample at = grid_sample_at(field->laid, x_mm, y_mm);
    sf_reading_share told = {.independent_k2 = sample_value(&at, field->independent_k2)};
    for (int common = 0; common < SF_COMMON_COUNT; common++)
        told.common_shift_k[common] =
            sample_value(&at, field->common_shift_k + (size_t)common * field->laid->nodes);
    return told;
}

size_t sf_field_piece(const sf_field *field, double x_mm, double y_mm)
{
    return field->pieces[grid_nearest_node(field->laid, x_mm, y_mm)];
}

size_t sf_field_piece_count(const sf_field *field)
{
    return field->piece_count;
}

sf_estimate sf_field_can(const sf_field *field, size_t can)
{
    return field->cans[can];
}

sf_grid sf_field_grid(const sf_field *field)
{
    const grid *laid = field->laid;
    return (sf_grid){laid->cell_mm, laid->columns, laid->rows, laid->inside};
}

const double *sf_field_rise_k(const sf_field *field)
{
    return field->rise_k;
}

const double *sf_field_rise_sd_k(const sf_field *field)
{
    return field->rise_sd_k;
}

sf_field_summary sf_field_summarize(const sf_field *field)
{
    return field->summary;
}

const sf_source_fit *sf_field_sources(const sf_field *field, size_t *count)
{
    *count = field->source_count;
    return field->sources;
}

const double *sf_field_slip_gains(const sf_field *field, size_t *count)
{
    *count = field->slip_count;
    return field->slip_gains;
}

const sf_reading_fit *sf_field_readings(const sf_field *field, size_t *count)
{
    *count = field->summary.readings;
    return field->readings;
}

void sf_field_free(sf_field *field)
{
    if (!field)
        return;
    surface_free(field->rise_surface);
    surface_free(field->sd_surface);
    for (size_t j = 0; j < field->peak_count; j++)
        peak_clear(&field->peaks[j]);
    free(field->peaks);
    free(field->peak_k);
    free(field->pieces);
    grid_free(field->laid);
    free(field->rise_k);
    free(field->rise_sd_k);
    free(field->independent_k2);
    free(field->common_shift_k);
    free(field->cans);
    free(field->sources);
    free(field->readings);
    free(field->slip_gains);
    free(field);
}
