/* Two passes over spreading lengths, and the average of a pass. */
#include "field/sweep.h"

#include <math.h>

#define SURVEY_COUNT 5       /* lengths of the first pass, evenly over the prior */
#define SURVEY_REACH 1.6     /* in its standard deviations */
#define FINAL_COUNT 3        /* lengths of the second pass, about the first one's mode */
#define FINAL_SPACING 1.2    /* in standard deviations of the first pass's posterior */
#define LENGTH_SD_LEAST 0.08 /* of ln length: what the model itself cannot tell apart */
#define LENGTH_SD_MOST 0.4

_Static_assert(SURVEY_COUNT <= SWEEP_MOST && FINAL_COUNT <= SWEEP_MOST, "room in a sweep");

void sweep_clear(sweep *swept)
{
    for (size_t i = 0; i < swept->count; i++)
        length_fit_clear(&swept->fits[i]);
    swept->count = 0;
}

static void weigh(sweep *swept)
{
    double sum = 0;
    swept->best = 0;
    for (size_t i = 1; i < swept->count; i++)
        if (swept->fits[i].log_posterior > swept->fits[swept->best].log_posterior)
            swept->best = i;
    for (size_t i = 0; i < swept->count; i++)
        sum += swept->weights[i] =
            exp(swept->fits[i].log_posterior - swept->fits[swept->best].log_posterior);
    for (size_t i = 0; i < swept->count; i++)
        swept->weights[i] /= sum;
}

/* Fits at count lengths, spacing apart in ln about `centre_ln`. */
static sf_status sweep_lengths(const problem *data, balance *matrix, double centre_ln,
                               double spacing, size_t count, const scales *start,
                               const candidates *seek, sweep *swept)
{
    scales from = *start;
    sf_status status = SF_OK;
    *swept = (sweep){0};
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        double offset = (double)i - (double)(count - 1) / 2;
        double length_mm = exp(centre_ln + spacing * offset);
        status = length_fit_make(data, matrix, length_mm, &from, NULL, seek, &swept->fits[i]);
        swept->count++;
        from = swept->fits[i].fitted;
    }
    if (status == SF_OK)
        weigh(swept);
    return status;
}

/* Mode and standard deviation of ln length from a parabola through the best fit and its
 * neighbours; at the end of the range, the end itself and a wide doubt. */
static void find_mode(const sweep *swept, double *mode_ln, double *sd_ln)
{
    size_t best = swept->best;
    *mode_ln = log(swept->fits[best].answer.length_mm);
    *sd_ln = LENGTH_SD_MOST / 2;
    if (best == 0 || best + 1 == swept->count)
        return;
    double left = swept->fits[best - 1].log_posterior - swept->fits[best].log_posterior;
    double right = swept->fits[best + 1].log_posterior - swept->fits[best].log_posterior;
    double spacing = log(swept->fits[best + 1].answer.length_mm) - *mode_ln;
    double bend = left + right; /* below zero at a maximum */
    if (bend >= 0)
        return;
    *mode_ln += spacing * (left - right) / (2 * bend);
    *sd_ln = fmin(fmax(spacing / sqrt(-bend), LENGTH_SD_LEAST), LENGTH_SD_MOST);
}

void sweep_average(const sweep *swept, size_t nodes, double *rise_k, double *spread_k2)
{
    for (size_t node = 0; node < nodes; node++) {
        double mean = 0, square = 0;
        for (size_t i = 0; i < swept->count; i++)
            mean += swept->weights[i] * swept->fits[i].rise_k[node];
        for (size_t i = 0; i < swept->count; i++) {
            double off = swept->fits[i].rise_k[node] - mean;
            square += swept->weights[i] * off * off;
        }
        rise_k[node] = mean;
        if (spread_k2)
            spread_k2[node] += square;
    }
}

sf_status sweep_fit(problem *data, balance *matrix, double position_sd_mm, candidates *seek,
                    sweep *swept, double *rise_k)
{
    scales start = scales_prior(data);
    double mode_ln = 0, sd_ln = 0;
    sf_status status = sweep_lengths(data, matrix, log(data->built.length_mm),
                                     2 * SURVEY_REACH * LENGTH_SD_LN / (SURVEY_COUNT - 1),
                                     SURVEY_COUNT, &start, NULL, swept);
    if (status == SF_OK) {
        find_mode(swept, &mode_ln, &sd_ln);
        sweep_average(swept, data->laid->nodes, rise_k, NULL);
        problem_take_field(data, rise_k, position_sd_mm);
        start = swept->fits[swept->best].fitted;
        status = candidates_make(data, seek);
    }
    sweep_clear(swept);
    return status == SF_OK ? sweep_lengths(data, matrix, mode_ln, FINAL_SPACING * sd_ln,
                                           FINAL_COUNT, &start, seek, swept)
                           : status;
}
