/* A yardstick among the field models: a smoothing spline that knows nothing of heat. */
#include <math.h>

#include "field/model.h"
#include "field/thin_plate.h"
#include "field/yardstick.h"

#define LEAST_VARIANCE_K2 1e-8

static double at_place(const void *fitted, sf_point place, double *work, double *variance_k2)
{
    *variance_k2 = thin_plate_variance(fitted, place.x_mm, place.y_mm, work);
    return thin_plate_at(fitted, place.x_mm, place.y_mm);
}

/* Leave-one-out residuals of a linear smoother: read minus fitted over one minus its own weight. A
 * reading that was passed over in thinning is predicted from the others as it is. Left out are
 * single readings where there are any, else cells of the thermogram. */
static void report_readings(const thin_plate *spline, const yardstick_data *of,
                            model_result *result)
{
    const problem *all = &of->gathered;
    size_t next = 0, count = all->spots > 0 ? all->spots : of->count;
    double squares = 0, variance_k2;
    for (size_t i = 0; i < count; i++) {
        double off_k = 0;
        sf_estimate left_out = {NAN, NAN};
        bool within = all->spots == 0 || (next < of->count && of->reading[next] == i);
        if (within) {
            double own = spline->influence[next * spline->count + next]; /* (1 - weight) / lambda */
            off_k = spline->coefficients[next] / own;
            left_out = (sf_estimate){of->values[next++] - off_k,
                                     sqrt(spline->variance / (spline->lambda * own))};
        }
        if (i < all->spots) {
            sf_estimate fitted = {at_place(spline, all->points[i], of->work, &variance_k2), 0};
            fitted.sd = sqrt(variance_k2);
            if (!within)
                left_out = (sf_estimate){fitted.value, hypot(fitted.sd, sqrt(spline->variance))};
            off_k = yardstick_tell(of, i, fitted, left_out, result);
        }
        squares += off_k * off_k;
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)count);
}

static sf_status fit_thin_plate(const sf_field_input *input, const sf_field_options *options,
                                const grid *laid, model_result *result, const char **why)
{
    (void)options;
    yardstick_data of;
    thin_plate spline = {0};
    sf_status status = yardstick_gather(input, laid, SF_YARDSTICK_READINGS_MOST, &of);
    if (status == SF_OK)
        status = thin_plate_fit(of.points, of.values, of.count, NAN, &spline);
    if (status == SF_ERROR_DATA)
        *why = "a thin plate needs 4 readings or more that do not lie on one line";
    if (status == SF_OK) {
        /* readings that agree to the last digit are still no finer than a thermometer */
        spline.variance = fmax(spline.variance, LEAST_VARIANCE_K2);
        report_readings(&spline, &of, result);
        if (!result->left_out_only)
            status = yardstick_set_nodes(&of, at_place, &spline, result);
        yardstick_summarise(&of, &result->summary);
    }
    thin_plate_clear(&spline);
    yardstick_clear(&of);
    return status;
}

const field_model thin_plate_model = {
    .called = {"thin-plate",
               "yardstick: smoothing spline through the readings that knows nothing of heat"},
    .fit = fit_thin_plate,
};
