/* Two passes over spreading lengths, and the average of a pass. */
#include "field/sweep.h"

#include <math.h>
#include <pthread.h>
#include <stdbool.h>

#define SURVEY_COUNT 5       /* lengths of the first pass, evenly over the prior */
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

/* The fit at one length, in a thread of its own with a balance of its own. */
typedef struct length_task {
    const problem *data;
    double length_mm;
    const scales *start;
    const candidates *seek;
    length_fit *made;
    pthread_t thread;
    bool apart;
    sf_status status;
} length_task;

static void *fit_apart(void *task)
{
    length_task *of = task;
    balance *matrix;
    of->status = balance_new(of->data->laid, &matrix);
    if (of->status == SF_OK)
        of->status =
            length_fit_make(of->data, matrix, of->length_mm, of->start, of->seek, of->made);
    balance_free(matrix);
    return NULL;
}

/* Fits at count lengths, spacing apart in ln about `centre_ln`, all at once: the first here, and
 * the others with it where threads are to be had, after it where not. */
static sf_status sweep_lengths(const problem *data, balance *matrix, double centre_ln,
                               double spacing, size_t count, const scales *start,
                               const candidates *seek, sweep *swept)
{
    length_task tasks[LENGTHS_MOST];
    sf_status status = SF_OK;
    *swept = (sweep){.count = count};
    for (size_t i = 0; i < count; i++) {
        double offset = (double)i - (double)(count - 1) / 2;
        tasks[i] = (length_task){.data = data,
                                 .length_mm = exp(centre_ln + spacing * offset),
                                 .start = start,
                                 .seek = seek,
                                 .made = &swept->fits[i]};
        tasks[i].apart = i > 0 && !pthread_create(&tasks[i].thread, NULL, fit_apart, &tasks[i]);
    }
    for (size_t i = 0; i < count; i++) {
        length_task *one = &tasks[i];
        if (one->apart)
            pthread_join(one->thread, NULL);
        else
            one->status = length_fit_make(data, matrix, one->length_mm, start, seek, one->made);
        if (status == SF_OK)
            status = one->status;
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
    const double *rises_k[LENGTHS_MOST];
    for (size_t i = 0; i < swept->count; i++)
        rises_k[i] = swept->fits[i].rise_k;
    lengths_average(rises_k, swept->weights, swept->count, nodes, rise_k, spread_k2);
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
