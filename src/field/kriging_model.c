/* A yardstick among the field models: ordinary kriging, which knows nothing of heat. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/kriging.h"
#include "field/model.h"
#include "field/yardstick.h"

static double at_place(const void *fitted, sf_point place, double *work, double *variance_k2)
{
    return kriging_at(fitted, place, work, variance_k2);
}

/* Covariance of the stated errors of two points, as of the board. */
static double stated_between(const yardstick_data *of, size_t i, size_t k)
{
    const problem *all = &of->gathered;
    size_t reading = of->reading[i], other = of->reading[k];
    return (common_between_k2(all, reading, other) +
            (reading == other ? all->variance_k2[reading] : 0)) /
           (all->share[reading] * all->share[other]);
}

/* A reading that was passed over in thinning is predicted from the others as it is. */
static sf_estimate passed_over(const problem *all, size_t spot, sf_estimate fitted)
{
    double noise_k2 = all->variance_k2[spot] + common_between_k2(all, spot, spot);
    return (sf_estimate){fitted.value, hypot(fitted.sd, sqrt(noise_k2) / all->share[spot])};
}

/* Left out are single readings where there are any, else cells of the thermogram. */
static void report_readings(const kriging *fit, const yardstick_data *of, model_result *result)
{
    const problem *all = &of->gathered;
    size_t next = 0, count = all->spots > 0 ? all->spots : of->count;
    double squares = 0, variance_k2;
    for (size_t i = 0; i < count; i++) {
        double off_k = 0;
        sf_estimate left_out = {NAN, NAN};
        bool within = all->spots == 0 || (next < of->count && of->reading[next] == i);
        if (within) {
            off_k = kriging_left_out(fit, next, &variance_k2);
            left_out = (sf_estimate){of->values[next++] - off_k, sqrt(variance_k2)};
        }
        if (i < all->spots) {
            sf_estimate fitted = {kriging_at(fit, all->points[i], of->work, &variance_k2), 0};
            fitted.sd = sqrt(variance_k2);
            off_k = yardstick_tell(of, i, fitted, within ? left_out : passed_over(all, i, fitted),
                                   result);
        }
        squares += off_k * off_k;
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)count);
}

static sf_status fit_points(const yardstick_data *of, kriging *made)
{
    size_t count = of->count;
    double *noise_k2 = array_new(count * count, sizeof *noise_k2);
    const kriging_data data = {count, of->points, of->values, noise_k2};
    kriging_scales likely;
    if (!noise_k2)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            noise_k2[i * count + k] = stated_between(of, i, k);
    sf_status status = kriging_likely(&data, &likely);
    if (status == SF_OK)
        status = kriging_solve(&data, &likely, made);
    free(noise_k2);
    return status;
}

static sf_status fit_kriging(const sf_field_input *input, const sf_field_options *options,
                             const grid *laid, model_result *result, const char **why)
{
    (void)options;
    yardstick_data of;
    kriging made = {0};
    sf_status status = yardstick_gather(input, laid, SF_YARDSTICK_READINGS_MOST, &of);
    if (status == SF_OK)
        status = fit_points(&of, &made);
    if (status == SF_ERROR_DATA)
        *why = "kriging needs 4 readings or more that were not all taken at one place";
    if (status == SF_OK) {
        report_readings(&made, &of, result);
        if (!result->left_out_only)
            status = yardstick_set_nodes(&of, at_place, &made, result);
        yardstick_summarise(&of, &result->summary);
    }
    kriging_clear(&made);
    yardstick_clear(&of);
    return status;
}

const field_model kriging_model = {
    .called = {"kriging",
               "yardstick: likely mean and spread of a random surface that knows nothing of heat"},
    .fit = fit_kriging,
};
