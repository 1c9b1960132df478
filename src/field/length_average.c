/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Bayesian model averaging over the spreading length: two passes over lengths, and the average of a
 * pass. */
#include "field/length_average.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/judge.h"

#define SURVEY_COUNT 4       /* lengths of the first pass, evenly over the prior */
#define SURVEY_REACH 1.6     /* in its standard deviations */
#define FINAL_COUNT 3        /* lengths of the second pass, about the first one's mode */
#define FINAL_SPACING 1.2    /* in standard deviations of the first pass's posterior */
#define LENGTH_SD_LEAST 0.08 /* of ln length: what the model itself cannot tell apart */
#define LENGTH_SD_MOST 0.4

#define HELD_FROM_READINGS 40 /* tell hyperparameters as well as more do */

#define WIDE_FROM_NODES 1500 /* from which the survey takes wider cells */
#define WIDE_AREA_OFF 0.05   /* by how much their area may differ */

_Static_assert(SURVEY_COUNT <= LENGTHS_MOST && FINAL_COUNT <= LENGTHS_MOST,
               "room in a length_average");

void length_average_clear(length_average *averaged)
{
    for (size_t i = 0; i < averaged->count; i++)
        length_fit_clear(&averaged->fits[i]);
    averaged->count = 0;
    free(averaged->left_out_k);
    free(averaged->alone);
    averaged->left_out_k = NULL;
    averaged->alone = NULL;
}

static void weigh(length_average *averaged)
{
    double log_posteriors[LENGTHS_MOST];
    for (size_t i = 0; i < averaged->count; i++)
        log_posteriors[i] = averaged->fits[i].log_posterior;
    averaged->best = lengths_weigh(log_posteriors, averaged->count, averaged->weights);
}

typedef struct length_task {
    const fit_data *data;
    double length_mm;
    const hyperparameters *start;
    const length_fit *learnt; /* held at its length; NULL: searched for, from `start` on */
    const candidates *seek;
    length_fit *made;
} length_task;

static sf_status fit_one(void *task, balance *matrix)
{
    const length_task *of = task;
    if (of->learnt)
        return length_fit_hold(of->data, matrix, of->learnt, of->seek, of->made);
    return length_fit_make(of->data, matrix, of->length_mm, of->start, of->seek, of->made);
}

/* Takes all tasks at once. */
static sf_status fit_all(const balance *pattern, length_task *tasks, size_t count,
                         length_average *averaged)
{
    *averaged = (length_average){.count = count};
    for (size_t i = 0; i < count; i++)
        tasks[i].made = &averaged->fits[i];
    sf_status status = lengths_fit(pattern, fit_one, tasks, count, sizeof *tasks);
    if (status == SF_OK)
        weigh(averaged);
    return status;
}

/* The same as a way that is judged. */
typedef struct dense_way {
    const fit_data *data;
    const balance *pattern;
    length_task *tasks;
    size_t count;
    length_average *averaged;
} dense_way;

static sf_status way_fit(void *of)
{
    const dense_way *way = of;
    length_average_clear(way->averaged);
    return fit_all(way->pattern, way->tasks, way->count, way->averaged);
}

static sf_status way_leave_out(void *of, const sf_estimate **left_out_k)
{
    const dense_way *way = of;
    sf_status status = judge_leave_one_out(way->data, way->averaged);
    *left_out_k = way->averaged->left_out_k;
    return status;
}

static void way_strength(const void *of, size_t source, double *mean, double *variance)
{
    const length_average *averaged = ((const dense_way *)of)->averaged;
    judge_strength(&averaged->fits[averaged->best], source, mean, variance);
}

static sf_status fit_judged(fit_data *data, const balance *pattern, length_task *tasks,
                            size_t count, length_average *averaged)
{
    static const judged_way way = {way_fit, way_leave_out, way_strength};
    return judge_fits(data, &way, &(dense_way){data, pattern, tasks, count, averaged});
}

/* Lengths spacing apart in ln about `centre_ln`. */
static void spread_lengths(double centre_ln, double spacing, size_t count, length_task shared,
                           length_task tasks[LENGTHS_MOST])
{
    for (size_t i = 0; i < count; i++) {
        double offset = (double)i - (double)(count - 1) / 2;
        shared.length_mm = exp(centre_ln + spacing * offset);
        tasks[i] = shared;
    }
}

/* Mode and standard deviation of ln length from a parabola through the best fit and its
 * neighbours; at the end of the range, the end itself and a wide doubt. */
static void find_mode(const length_average *averaged, double *mode_ln, double *sd_ln)
{
    size_t best = averaged->best;
    *mode_ln = log(averaged->fits[best].green.length_mm);
    *sd_ln = LENGTH_SD_MOST / 2;
    if (best == 0 || best + 1 == averaged->count)
        return;
    double left = averaged->fits[best - 1].log_posterior - averaged->fits[best].log_posterior;
    double right = averaged->fits[best + 1].log_posterior - averaged->fits[best].log_posterior;
    double spacing = log(averaged->fits[best + 1].green.length_mm) - *mode_ln;
    double bend = left + right; /* below zero at a maximum */
    if (bend >= 0)
        return;
    *mode_ln += spacing * (left - right) / (2 * bend);
    *sd_ln = fmin(fmax(spacing / sqrt(-bend), LENGTH_SD_LEAST), LENGTH_SD_MOST);
}

void length_average_field(const fit_data *data, const length_average *averaged,
                          const peaked_field *mean, double *spread_k2)
{
    peaked_field fields[LENGTHS_MOST];
    for (size_t i = 0; i < averaged->count; i++)
        fields[i] = averaged->fits[i].mean;
    lengths_average(data, fields, averaged->weights, averaged->count, mean, spread_k2);
}

/* What a first pass over the whole prior tells. */
typedef struct survey {
    double mode_ln, sd_ln; /* of ln length */
    hyperparameters likely;
} survey;

/* The survey on one grid, and the mean field on it. */
static sf_status survey_on(void *told, fit_data *data, const balance *pattern,
                           const peaked_field *mean)
{
    survey *into = told;
    length_average averaged;
    length_task tasks[LENGTHS_MOST];
    hyperparameters start = hyperparameters_prior(data);
    spread_lengths(log(data->built.length_mm), 2 * SURVEY_REACH * LENGTH_SD_LN / (SURVEY_COUNT - 1),
                   SURVEY_COUNT, (length_task){.data = data, .start = &start}, tasks);
    sf_status status = fit_all(pattern, tasks, SURVEY_COUNT, &averaged);
    if (status == SF_OK) {
        find_mode(&averaged, &into->mode_ln, &into->sd_ln);
        length_average_field(data, &averaged, mean, NULL);
        into->likely = averaged.fits[averaged.best].fitted;
    }
    length_average_clear(&averaged);
    return status;
}

/* --- wider cells, which hyperparameters are learnt on as well --- */

/* What is fitted on some grid, and the mean field on it. */
typedef sf_status fit_on(void *of, fit_data *data, const balance *pattern,
                         const peaked_field *mean);

/* Cells twice as wide, where they are as good: not on boards of few cells, nor where they would
 * lose what is narrow. NULL where they are not. SF_ERROR_MEMORY. */
static sf_status lay_wide(const fit_data *data, grid **wide)
{
    const sf_field_input *of = data->input;
    const grid *fine = data->laid;
    sf_status status = SF_OK;
    *wide = NULL;
    if (fine->nodes >= WIDE_FROM_NODES)
        status = grid_lay(of->rings, of->ring_count, of->board->width_mm, of->board->height_mm,
                          2 * fine->cell_mm, fine->nodes, wide);
    if (status == SF_OK && *wide) {
        double share = (double)(*wide)->nodes * (*wide)->cell_mm * (*wide)->cell_mm /
                       ((double)fine->nodes * fine->cell_mm * fine->cell_mm);
        if (!(fabs(share - 1) < WIDE_AREA_OFF)) {
            grid_free(*wide);
            *wide = NULL;
        }
    }
    return status == SF_ERROR_DATA ? SF_OK : status;
}

static void take_over(const fit_data *wide, const peaked_field *wide_k, const fit_data *data,
                      const peaked_field *mean)
{
    const peaked_field plain = {wide_k->plain_k, wide_k->peak_k, NULL};
    for (size_t node = 0; node < data->laid->nodes; node++) {
        size_t cell = data->laid->cell_of_node[node];
        double x_mm = cell_x_mm(data->laid, cell), y_mm = cell_y_mm(data->laid, cell);
        mean->rise_k[node] = field_at(wide, wide_k, x_mm, y_mm);
        mean->plain_k[node] = field_at(wide, &plain, x_mm, y_mm);
    }
    memcpy(mean->peak_k, wide_k->peak_k, data->input->source_count * sizeof *mean->peak_k);
}

static sf_status fit_wide(const fit_data *data, const grid *wide, fit_on *fit, void *of,
                          const peaked_field *mean)
{
    fit_data same;
    balance *pattern = NULL;
    peaked_field wide_k = {0};
    sf_status status = fit_data_on(data, wide, &same);
    if (status == SF_OK && !peaked_field_new(&same, &wide_k))
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = balance_new(wide, &pattern);
    if (status == SF_OK)
        status = fit(of, &same, pattern, &wide_k);
    if (status == SF_OK)
        take_over(&same, &wide_k, data, mean);
    balance_free(pattern);
    fit_data_clear(&same);
    peaked_field_clear(&wide_k);
    return status;
}

/* Before any field is known to `data`, which then knows none still. */
static sf_status fit_where_wide(fit_data *data, const balance *pattern, fit_on *fit, void *of,
                                const peaked_field *mean)
{
    grid *wide;
    sf_status status = lay_wide(data, &wide);
    if (status == SF_OK)
        status = wide ? fit_wide(data, wide, fit, of, mean) : fit(of, data, pattern, mean);
    grid_free(wide);
    return status;
}

sf_status length_average_fit(fit_data *data, const balance *pattern, double position_sd_mm,
                             candidates *seek, length_average *averaged, const peaked_field *mean)
{
    survey told;
    *averaged = (length_average){0};
    sf_status status = fit_where_wide(data, pattern, survey_on, &told, mean);
    if (status == SF_OK) {
        fit_data_take_field(data, mean, position_sd_mm);
        status = candidates_make(data, seek);
    }
    if (status == SF_OK) {
        length_task tasks[LENGTHS_MOST];
        spread_lengths(told.mode_ln, FINAL_SPACING * told.sd_ln, FINAL_COUNT,
                       (length_task){.data = data, .start = &told.likely, .seek = seek}, tasks);
        status = fit_judged(data, pattern, tasks, FINAL_COUNT, averaged);
    }
    return status;
}

typedef struct lesson {
    double position_sd_mm;
    length_average *learnt;
} lesson;

static sf_status learn_on(void *of, fit_data *data, const balance *pattern,
                          const peaked_field *mean)
{
    const lesson *from = of;
    candidates seek = {0};
    sf_status status =
        length_average_fit(data, pattern, from->position_sd_mm, &seek, from->learnt, mean);
    if (status == SF_OK)
        length_average_field(data, from->learnt, mean, NULL);
    candidates_clear(&seek);
    return status;
}

sf_status length_average_learn(fit_data *data, const balance *pattern, size_t most,
                               double position_sd_mm, length_average *learnt,
                               const peaked_field *mean)
{
    fit_data few;
    *learnt = (length_average){0};
    sf_status status = fit_data_thin(data, most, &few);
    if (status == SF_OK)
        status = fit_where_wide(&few, pattern, learn_on, &(lesson){position_sd_mm, learnt}, mean);
    if (status == SF_OK)
        fit_data_take_field(data, mean, position_sd_mm);
    fit_data_clear(&few);
    return status;
}

sf_status length_average_hold(fit_data *data, const balance *pattern, double position_sd_mm,
                              candidates *seek, length_average *averaged, const peaked_field *mean)
{
    length_average learnt;
    *averaged = (length_average){0};
    sf_status status =
        length_average_learn(data, pattern, HELD_FROM_READINGS, position_sd_mm, &learnt, mean);
    if (status == SF_OK)
        status = candidates_make(data, seek);
    if (status == SF_OK) {
        length_task tasks[LENGTHS_MOST];
        for (size_t i = 0; i < learnt.count; i++)
            tasks[i] = (length_task){.data = data, .learnt = &learnt.fits[i], .seek = seek};
        status = fit_judged(data, pattern, tasks, learnt.count, averaged);
    }
    length_average_clear(&learnt);
    return status;
}
