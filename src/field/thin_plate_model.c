/* The yardstick among the field models: a smoothing spline that knows nothing of heat. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/model.h"
#include "field/thin_plate.h"

#define LEAST_VARIANCE_K2 1e-8

/* Leave-one-out residuals of a linear smoother: read minus fitted over one minus its own weight. */
static void report_readings(const thin_plate *spline, const double *values, const sf_point *points,
                            double *work, model_result *result)
{
    double squares = 0;
    for (size_t i = 0; i < spline->count; i++) {
        sf_reading_fit *fit = &result->readings[i];
        double own = spline->influence[i * spline->count + i]; /* (1 - weight) / lambda */
        double off = spline->coefficients[i] / own;
        fit->fitted_k.value = thin_plate_at(spline, points[i].x_mm, points[i].y_mm);
        fit->fitted_k.sd = sqrt(thin_plate_variance(spline, points[i].x_mm, points[i].y_mm, work));
        fit->left_out_k.value = values[i] - off;
        fit->left_out_k.sd = sqrt(spline->variance / (spline->lambda * own));
        fit->score = off / fit->left_out_k.sd;
        squares += off * off;
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)spline->count);
}

static sf_status set_nodes(const thin_plate *spline, const grid *laid, double *work,
                           model_result *result)
{
    for (size_t node = 0; node < laid->nodes; node++) {
        double x_mm = cell_x_mm(laid, laid->cell_of_node[node]);
        double y_mm = cell_y_mm(laid, laid->cell_of_node[node]);
        result->rise_k[node] = thin_plate_at(spline, x_mm, y_mm);
        result->variance_k2[node] = thin_plate_variance(spline, x_mm, y_mm, work);
        if (!isfinite(result->rise_k[node]) || !isfinite(result->variance_k2[node]))
            return SF_ERROR_NUMERIC;
    }
    return SF_OK;
}

static sf_status fit_thin_plate(const sf_field_input *input, const sf_field_options *options,
                                const grid *laid, model_result *result, const char **why)
{
    (void)options;
    size_t count = 0;
    sf_point *points = array_new(input->observation_count, sizeof *points);
    double *values = array_new(input->observation_count, sizeof *values);
    double *work = array_new(2 * input->observation_count, sizeof *work);
    thin_plate spline = {0};
    sf_status status = points && values && work ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < input->observation_count; i++) {
        const sf_observation *seen = &input->observations[i];
        if (!seen->in_fit)
            continue;
        points[count] = (sf_point){seen->x_mm, seen->y_mm};
        values[count++] = seen->rise_k;
    }
    if (status == SF_OK)
        status = thin_plate_fit(points, values, count, NAN, &spline);
    if (status == SF_ERROR_DATA)
        *why = "a thin plate needs 4 to 1,000 readings that do not lie on one line";
    if (status == SF_OK) {
        /* readings that agree to the last digit are still no finer than a thermometer */
        spline.variance = fmax(spline.variance, LEAST_VARIANCE_K2);
        report_readings(&spline, values, points, work, result);
        status = set_nodes(&spline, laid, work, result);
    }
    sf_estimate unknown = {NAN, NAN};
    sf_field_summary *summary = &result->summary;
    summary->length_mm = summary->loss_w_m2k = summary->background_k = unknown;
    summary->prior_length_mm = summary->unlisted_sd_k = summary->log_evidence = NAN;
    summary->noise_factor = 1;
    thin_plate_clear(&spline);
    free(points);
    free(values);
    free(work);
    return status;
}

const field_model thin_plate_model = {
    .called = {"thin-plate",
               "yardstick: smoothing spline through the readings that knows nothing of heat"},
    .fit = fit_thin_plate,
};
