/* The prior of the heat balance as a set of fields, in the form that fits take. */
#include "field/expectation.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

/* Judgements: what a board that somebody wants read has under a source, and all over where no
 * source is listed. */
#define TYPICAL_SOURCE_K 15.0
#define TYPICAL_BOARD_K 5.0
#define LEAST_BACKGROUND_K 2.0
#define BACKGROUND_SHARE 0.7 /* of the mean rise, as with readings */

/* A normal distribution in two dimensions by five points: exact to the third order. */
static const struct sigma_point {
    double length_sd, heat_sd, weight;
} sigma_points[LENGTHS_MOST] = {
    {0, 0, 1.0 / 3},
    {-1.7320508075688772, 0, 1.0 / 6},
    {1.7320508075688772, 0, 1.0 / 6},
    {0, -1.7320508075688772, 1.0 / 6},
    {0, 1.7320508075688772, 1.0 / 6},
};

/* A population of heat sources before any was read: the typical source counts as one, and each
 * source of known watts as one more. *sd_ln is what is left to doubt. */
static double expect_strength(const problem *data, const response *answer, double *sd_ln)
{
    double sum_ln = log(TYPICAL_SOURCE_K / answer->own_median), count = 1;
    for (size_t j = 0; j < answer->sources; j++) {
        double power_w = listed_power_w(&data->input->sources[j]).value;
        if (!(power_w > 0))
            continue;
        double alike = sqrt(answer->own_median / answer->own[j]);
        sum_ln += log(power_w * 1e6 / data->built.loss_w_m2k / alike);
        count++;
    }
    *sd_ln = STRENGTH_SD_LN / sqrt(count);
    return exp(sum_ln / count);
}

/* The energy balance ties the mean rise of the board to the heat of its sources. */
static void set_scales(problem *data, const response *answer, double *heat_sd_ln)
{
    double area_mm2 = (double)data->laid->nodes * data->laid->cell_mm * data->laid->cell_mm;
    double shares = (double)answer->sources + 1.5, board_k = TYPICAL_BOARD_K;
    *heat_sd_ln = STRENGTH_SD_LN;
    data->strength_k_mm2 = board_k * area_mm2 / shares;
    if (answer->sources > 0) {
        data->strength_k_mm2 = expect_strength(data, answer, heat_sd_ln);
        board_k = data->strength_k_mm2 * shares / area_mm2;
    }
    data->background_k = fmax(LEAST_BACKGROUND_K, BACKGROUND_SHARE * board_k);
}

/* Every effect as it is before a reading speaks. */
static void set_unlisted(unlisted *found, double strength_k_mm2)
{
    for (int k = 0; k < EFFECT_COUNT; k++) {
        effect *one = &found->effects[k];
        one->nothing = NOTHING_PRIOR;
        for (size_t c = 0; c < found->from->count; c++) {
            one->share[c] = (1 - NOTHING_PRIOR) * found->from->prior[c];
            one->mean[c] = strength_k_mm2;
            one->variance[c] = strength_k_mm2 * strength_k_mm2;
        }
    }
}

/* The expected field at one length under given scales, as a fit without readings. */
static sf_status expect_at(const problem *data, balance *matrix, double length_mm, const scales *at,
                           const candidates *seek, length_fit *made)
{
    *made = (length_fit){
        .fitted = *at, .weights = array_new(0, sizeof(double)), .loss_sd_ln = LOSS_SD_LN};
    bool room = peaked_field_new(data, &made->mean);
    sf_status status = made->weights && room ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = response_make(data, matrix, length_mm, &made->answer);
    if (status == SF_OK)
        status = gaussian_of(data, &made->answer, &made->under);
    if (status == SF_OK)
        status = gaussian_set(&made->under, data, &made->answer, at);
    if (status == SF_OK)
        status = unlisted_start(seek, &made->answer, &made->found);
    if (status == SF_OK) {
        set_unlisted(&made->found, at->strength_k_mm2);
        status = length_fit_set_mean(data, matrix, made);
    }
    return status;
}

/* A first look, with losses that do not yet know the rise, settles the scales. */
static sf_status expect_scales(problem *data, balance *matrix, const candidates *seek,
                               double *heat_sd_ln)
{
    response answer;
    length_fit first = {0};
    for (size_t node = 0; node < data->laid->nodes; node++)
        data->loss[node] = 1;
    sf_status status = response_make(data, matrix, data->built.length_mm, &answer);
    if (status == SF_OK) {
        set_scales(data, &answer, heat_sd_ln);
        scales median = scales_prior(data);
        status = expect_at(data, matrix, data->built.length_mm, &median, seek, &first);
    }
    if (status == SF_OK)
        problem_take_field(data, &first.mean, 0);
    length_fit_clear(&first);
    response_clear(&answer);
    return status;
}

sf_status sweep_expect(problem *data, balance *matrix, const candidates *seek, sweep *swept)
{
    double heat_sd_ln;
    *swept = (sweep){0};
    sf_status status = expect_scales(data, matrix, seek, &heat_sd_ln);
    for (size_t i = 0; status == SF_OK && i < LENGTHS_MOST; i++) {
        const struct sigma_point *point = &sigma_points[i];
        double length_mm = data->built.length_mm * exp(point->length_sd * LENGTH_SD_LN);
        scales at = scales_prior(data);
        at.strength_k_mm2 *= exp(point->heat_sd * heat_sd_ln);
        at.loss_w_m2k *= exp(-point->heat_sd * LOSS_SD_LN);
        status = expect_at(data, matrix, length_mm, &at, seek, &swept->fits[i]);
        swept->weights[i] = point->weight;
        swept->count++;
    }
    return status;
}
