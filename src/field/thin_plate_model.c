/* The yardstick among the field models: a smoothing spline that knows nothing of heat. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/model.h"
#include "field/problem.h"
#include "field/thin_plate.h"

#define LEAST_VARIANCE_K2 1e-8
#define CELLS_MOST 300 /* of a thermogram: the work grows with their cube */

/* The points of a spline: every single reading, and of a thermogram well-spread cells. */
typedef struct plate_data {
    problem gathered;
    sf_point *points;
    double *values, *work;
    size_t *chosen; /* indices of the cells */
    size_t count;
} plate_data;

/* Leave-one-out residuals of a linear smoother: read minus fitted over one minus its own weight.
 * Left out are single readings where there are any, else cells of the thermogram. */
static void report_readings(const thin_plate *spline, const plate_data *of, model_result *result)
{
    double squares = 0;
    size_t spots = of->gathered.spots, count = spots > 0 ? spots : of->count;
    for (size_t i = 0; i < count; i++) {
        double own = spline->influence[i * spline->count + i]; /* (1 - weight) / lambda */
        double off = spline->coefficients[i] / own, x = of->points[i].x_mm, y = of->points[i].y_mm;
        squares += off * off;
        if (i >= spots)
            continue;
        sf_reading_fit *fit = &result->readings[i];
        fit->fitted_k = (sf_estimate){thin_plate_at(spline, x, y),
                                      sqrt(thin_plate_variance(spline, x, y, of->work))};
        fit->left_out_k =
            (sf_estimate){of->values[i] - off, sqrt(spline->variance / (spline->lambda * own))};
        fit->score = off / fit->left_out_k.sd;
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)count);
}

static sf_status set_nodes(const thin_plate *spline, const grid *laid, double *work,
                           model_result *result)
{
    for (size_t node = 0; node < laid->nodes; node++) {
        double x_mm = cell_x_mm(laid, laid->cell_of_node[node]);
        double y_mm = cell_y_mm(laid, laid->cell_of_node[node]);
        result->mean.rise_k[node] = thin_plate_at(spline, x_mm, y_mm);
        result->variance_k2[node] = thin_plate_variance(spline, x_mm, y_mm, work);
        if (!isfinite(result->mean.rise_k[node]) || !isfinite(result->variance_k2[node]))
            return SF_ERROR_NUMERIC;
    }
    return SF_OK;
}

static void add_point(plate_data *of, size_t reading)
{
    of->points[of->count] = of->gathered.points[reading];
    of->values[of->count++] = of->gathered.rise_k[reading] / of->gathered.share[reading];
}

static sf_status gather(const sf_field_input *input, const grid *laid, plate_data *of)
{
    sf_status status = problem_gather(input, laid, &of->gathered);
    size_t spots = of->gathered.spots, spread = 0, most = spots + CELLS_MOST;
    if (status != SF_OK)
        return status;
    of->points = array_new(most, sizeof *of->points);
    of->values = array_new(most, sizeof *of->values);
    of->work = array_new(2 * most, sizeof *of->work);
    of->chosen = array_new(CELLS_MOST, sizeof *of->chosen);
    if (!of->points || !of->values || !of->work || !of->chosen)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < spots; i++)
        add_point(of, i);
    if (of->gathered.readings > spots)
        status = problem_spread(&of->gathered, CELLS_MOST, of->chosen, &spread);
    for (size_t k = 0; k < spread; k++)
        if (of->chosen[k] >= spots)
            add_point(of, of->chosen[k]);
    return status;
}

static void plate_data_clear(plate_data *of)
{
    problem_clear(&of->gathered);
    free(of->points);
    free(of->values);
    free(of->work);
    free(of->chosen);
}

static void summarise(const plate_data *of, sf_field_summary *summary)
{
    sf_estimate unknown = {NAN, NAN};
    const problem *all = &of->gathered;
    summary->length_mm = summary->loss_w_m2k = summary->background_k = unknown;
    summary->can_share = unknown;
    summary->off_share = summary->off_mm = NAN;
    summary->prior_length_mm = summary->unlisted_sd_k = summary->log_evidence = NAN;
    summary->noise_factor = 1;
    summary->pixel_cells = of->count - all->spots;
    summary->pixels = summary->pixel_cells > 0 ? all->input->pixels->count : 0;
}

static sf_status fit_thin_plate(const sf_field_input *input, const sf_field_options *options,
                                const grid *laid, model_result *result, const char **why)
{
    (void)options;
    plate_data of = {0};
    thin_plate spline = {0};
    sf_status status = gather(input, laid, &of);
    if (status == SF_OK)
        status = thin_plate_fit(of.points, of.values, of.count, NAN, &spline);
    if (status == SF_ERROR_DATA)
        *why = "a thin plate needs 4 to 1,000 readings that do not lie on one line";
    if (status == SF_OK) {
        /* readings that agree to the last digit are still no finer than a thermometer */
        spline.variance = fmax(spline.variance, LEAST_VARIANCE_K2);
        report_readings(&spline, &of, result);
        if (!result->left_out_only)
            status = set_nodes(&spline, laid, of.work, result);
        summarise(&of, &result->summary);
    }
    thin_plate_clear(&spline);
    plate_data_clear(&of);
    return status;
}

const field_model thin_plate_model = {
    .called = {"thin-plate",
               "yardstick: smoothing spline through the readings that knows nothing of heat"},
    .fit = fit_thin_plate,
};
