/* Two passes over spreading lengths, and the average of a pass. */
#include "field/sweep.h"

#include <math.h>

#define SURVEY_COUNT 4       /* lengths of the first pass, evenly over the prior */
#define SURVEY_REACH 1.6     /* in its standard deviations */
#define FINAL_COUNT 3        /* lengths of the second pass, about the first one's mode */
#define FINAL_SPACING 1.2    /* in standard deviations of the first pass's posterior */
#define LENGTH_SD_LEAST 0.08 /* of ln length: what the model itself cannot tell apart */
#define LENGTH_SD_MOST 0.4

_Static_assert(SURVEY_COUNT <= LENGTHS_MOST && FINAL_COUNT <= LENGTHS_MOST, "room in a sweep");

void sweep_clear(sweep *swept)
{
    for (size_t i = 0; i < swept->count; i++)
        length_fit_clear(&swept->fits[i]);
    swept->count = 0;
}

static void weigh(sweep *swept)
{
    double log_posteriors[LENGTHS_MOST];
    for (size_t i = 0; i < swept->count; i++)
        log_posteriors[i] = swept->fits[i].log_posterior;
    swept->best = lengths_weigh(log_posteriors, swept->count, swept->weights);
}

typedef struct length_task {
    const problem *data;
    double length_mm;
    const scales *start;
    const candidates *seek;
    length_fit *made;
} length_task;

static sf_status fit_one(void *task, balance *matrix)
{
    const length_task *of = task;
    return length_fit_make(of->data, matrix, of->length_mm, of->start, of->seek, of->made);
}

/* Fits at count lengths, spacing apart in ln about `centre_ln`, all at once. */
static sf_status sweep_lengths(const problem *data, const balance *pattern, double centre_ln,
                               double spacing, size_t count, const scales *start,
                               const candidates *seek, sweep *swept)
{
    length_task tasks[LENGTHS_MOST];
    *swept = (sweep){.count = count};
    for (size_t i = 0; i < count; i++) {
        double offset = (double)i - (double)(count - 1) / 2;
        tasks[i] = (length_task){.data = data,
                                 .length_mm = exp(centre_ln + spacing * offset),
                                 .start = start,
                                 .seek = seek,
                                 .made = &swept->fits[i]};
    }
    sf_status status = lengths_fit(pattern, fit_one, tasks, count, sizeof *tasks);
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
    const double *rises_k[LENGTHS_MOST];
    for (size_t i = 0; i < swept->count; i++)
        rises_k[i] = swept->fits[i].rise_k;
    lengths_average(rises_k, swept->weights, swept->count, nodes, rise_k, spread_k2);
}

sf_status sweep_fit(problem *data, const balance *pattern, double position_sd_mm, candidates *seek,
                    sweep *swept, double *rise_k)
{
    scales start = scales_prior(data);
    double mode_ln = 0, sd_ln = 0;
    sf_status status = sweep_lengths(data, pattern, log(data->built.length_mm),
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
    return status == SF_OK ? sweep_lengths(data, pattern, mode_ln, FINAL_SPACING * sd_ln,
                                           FINAL_COUNT, &start, seek, swept)
                           : status;
}
