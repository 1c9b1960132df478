/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Fits many readings by the sparse precision of the field: hyperparameters from a well-spread few,
 * then the posterior of all. */
#include "field/sparse_route.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/calibration.h"
#include "field/judge.h"
#include "field/length_average.h"
#include "field/posterior_summary.h"
#include "field/sparse.h"
#include "field/sparse_joint.h"
#include "field/sparse_seek.h"

#define FOUND_SHARE 0.8     /* of a body's rise that the board below has: judgement */
#define FOUND_SHARE_SD 0.4  /* of a single cell's rise */
#define FOUND_CAST_MM 3.0   /* of a body some 8 mm high, 20 degrees off the upright */
#define FOUND_SDS_LEAST 2.0 /* of a find's rise after the last fit */

/* Fits of all readings at the lengths that were learnt. */
typedef struct sparse_average {
    sparse_fit fits[LENGTHS_MOST];
    double weights[LENGTHS_MOST];
    size_t count, best;
    double *doubt_k2;        /* per node: variance at the likeliest length */
    sf_estimate *left_out_k; /* per reading: what all others predict */
} sparse_average;

static void sparse_average_clear(sparse_average *averaged)
{
    for (size_t i = 0; i < averaged->count; i++)
        sparse_fit_clear(&averaged->fits[i]);
    free(averaged->doubt_k2);
    free(averaged->left_out_k);
    *averaged = (sparse_average){0};
}

static void weigh(sparse_average *averaged)
{
    double log_posteriors[LENGTHS_MOST];
    for (size_t i = 0; i < averaged->count; i++)
        log_posteriors[i] = averaged->fits[i].log_posterior;
    averaged->best = lengths_weigh(log_posteriors, averaged->count, averaged->weights);
}

/* Losses and patchiness follow the rise, and no field tells that better than that of all. */
static sf_status take_field(fit_data *all, balance *matrix, const length_fit *learnt,
                            double position_sd_mm)
{
    sparse_fit first = {0};
    sf_status status =
        sparse_fit_make(all, matrix, learnt->green.length_mm, &learnt->fitted, NULL, 0, &first);
    if (status == SF_OK)
        fit_data_take_field(all, &first.mean, position_sd_mm);
    sparse_fit_clear(&first);
    return status;
}

/* The fit at the likeliest length, with what was found. */
static sf_status seek_at(const fit_data *all, balance *matrix, const length_fit *learnt,
                         const candidates *from, sparse_found *found, sparse_fit *best)
{
    sf_status status =
        sparse_fit_make(all, matrix, learnt->green.length_mm, &learnt->fitted, NULL, 0, best);
    if (status == SF_OK)
        status = sparse_seek(all, matrix, from, best, found);
    best->loss_sd_ln = learnt->loss_sd_ln;
    return status;
}

/* A found body hides the board below it, as listed ones do: its pixels tell where it is, and how
 * warm the board is no better than by the share that a board has of what heats it. Beside it
 * nothing is told: a cell that it covers in part shows some of it, and what stands is seen beside
 * its foot. */
static void look_at_body(fit_data *all, const candidates *from, size_t candidate)
{
    const sf_point *centre = &from->centres[candidate];
    double half_mm = from->sides_mm[candidate] / 2;
    for (size_t i = all->spots; i < all->readings; i++) {
        double off_mm = fmax(fabs(all->points[i].x_mm - centre->x_mm),
                             fabs(all->points[i].y_mm - centre->y_mm));
        if (off_mm < half_mm) {
            double uncertainty_k = FOUND_SHARE_SD * fabs(all->rise_k[i]);
            all->rise_k[i] *= FOUND_SHARE;
            all->position_k2[i] = uncertainty_k * uncertainty_k;
        } else if (off_mm < half_mm + all->laid->cell_mm + FOUND_CAST_MM) {
            all->position_k2[i] = UNREAD_K2;
        }
    }
}

typedef struct length_task {
    const fit_data *all;
    const length_fit *learnt;
    const sparse_found *found;
    sparse_fit *made;
} length_task;

static sf_status fit_one(void *task, balance *matrix)
{
    const length_task *of = task;
    sf_status status =
        sparse_fit_make(of->all, matrix, of->learnt->green.length_mm, &of->learnt->fitted,
                        of->found->heat, of->found->count, of->made);
    of->made->loss_sd_ln = of->learnt->loss_sd_ln;
    return status;
}

/* Takes over the fit at the likeliest length, where there is one. */
static sf_status fit_lengths(const fit_data *all, const balance *pattern,
                             const length_average *learnt, const sparse_found *found,
                             sparse_fit *likeliest, sparse_average *averaged)
{
    length_task tasks[LENGTHS_MOST];
    size_t left = 0;
    bool had = likeliest->seen;
    averaged->count = learnt->count;
    for (size_t i = 0; i < learnt->count; i++)
        if (had && i == learnt->best)
            averaged->fits[i] = *likeliest;
        else
            tasks[left++] = (length_task){all, &learnt->fits[i], found, &averaged->fits[i]};
    if (had)
        *likeliest = (sparse_fit){0};
    sf_status status = lengths_fit(pattern, fit_one, tasks, left, sizeof *tasks);
    if (status == SF_OK)
        weigh(averaged);
    return status;
}

static void average(const fit_data *all, const sparse_average *averaged, model_result *result)
{
    peaked_field fields[LENGTHS_MOST];
    for (size_t i = 0; i < averaged->count; i++)
        fields[i] = averaged->fits[i].mean;
    lengths_average(all, fields, averaged->weights, averaged->count, &result->mean,
                    result->variance_k2);
}

/* Returns what it is off by from what the others predict, K. */
static double report_reading(const fit_data *all, const sparse_fit *fit,
                             const sf_estimate *left_out_k, size_t spot, model_result *result)
{
    sf_reading_fit *into = &result->readings[spot];
    const sf_observation *seen = &all->input->observations[into->observation];
    size_t reading = all->reading_of[spot];
    /* what the knots leave out is not noise, and no mean makes it less */
    double white_k2 = reading_variance_k2(all, &fit->held, reading);
    double sound_k2 = white_k2 - all->gross_k2[reading];
    into->left_out_k = fit_data_leave_one_out(
        all, seen, spot, sound_k2, fit->variance_k2[reading] - white_k2, left_out_k[reading]);
    double off_k = seen->rise_k - into->left_out_k.value;
    into->score = off_k / into->left_out_k.sd;
    into->gross = judge_reading(all, reading, seen->rise_k, into->left_out_k);
    into->fitted_k = (sf_estimate){field_at(all, &result->mean, seen->x_mm, seen->y_mm),
                                   sqrt(sample_value(&all->samples[reading], result->variance_k2))};
    return off_k;
}

/* Left out are single readings where there are any, else cells of the thermogram. */
static void report_readings(const fit_data *all, const sparse_fit *fit,
                            const sf_estimate *left_out_k, model_result *result)
{
    double squares = 0, read = 0;
    size_t count = all->spots > 0 ? result->summary.readings : all->readings;
    for (size_t i = 0; i < count; i++) {
        if (all->spots == 0 && all->position_k2[i] >= UNREAD_K2)
            continue;
        double off_k = all->spots > 0 ? report_reading(all, fit, left_out_k, i, result)
                                      : all->rise_k[i] - left_out_k[i].value;
        squares += off_k * off_k;
        read++;
    }
    result->summary.left_out_rmse_k = sqrt(squares / read);
}

static sf_status posterior_summary_of(const sparse_fit *fit, double weight, posterior_summary *made)
{
    size_t listed = fit->unknowns.listed;
    sf_status status = posterior_summary_new(listed, made);
    if (status != SF_OK)
        return status;
    made->weight = weight;
    made->length_mm = fit->green.length_mm;
    made->fitted = fit->held;
    made->loss_sd_ln = fit->loss_sd_ln;
    made->log_posterior = fit->log_posterior;
    made->background_k = fit->unknown_mean[0];
    made->background_k2 = fit->unknown_variance[0];
    memcpy(made->strength_k_mm2, fit->unknown_mean + 1, listed * sizeof(double));
    memcpy(made->strength_k2, fit->unknown_variance + 1, listed * sizeof(double));
    memcpy(made->own, fit->green.own, listed * sizeof(double));
    return SF_OK;
}

static void report_found(const posterior_summary *told, const sparse_fit *best,
                         const candidates *from, const sparse_found *found, model_result *result)
{
    for (size_t k = 0; k < found->count; k++) {
        size_t candidate = found->candidate[k];
        result->sources[result->source_count++] =
            (sf_source_fit){.x_mm = from->centres[candidate].x_mm,
                            .y_mm = from->centres[candidate].y_mm,
                            .width_mm = from->sides_mm[candidate],
                            .height_mm = from->sides_mm[candidate],
                            .rise_k = sparse_found_rise_k(best, k, &from->covers[candidate]),
                            .power_w = strength_w(told, sparse_found_strength(best, k)),
                            .evidence = found->evidence[k],
                            .probability = sparse_found_probability(found->evidence[k])};
    }
    number_unlisted(result);
}

/* The can that a reading was taken on, from all readings. */
static sf_estimate read_can(const fit_data *all, const sparse_fit *fit, size_t reading,
                            sf_estimate left_out_k, double *rows)
{
    told_error told = sparse_error(all, fit, reading, left_out_k, rows);
    return can_read(all->rise_k[reading], told.whole_k2, told.off_k, told.told_k2);
}

static sf_status report_cans(const fit_data *all, const sparse_fit *fit,
                             const sf_estimate *left_out_k, model_result *result)
{
    size_t count = fit->unknowns.count;
    double *columns = array_new(CANS_SHARED * count, sizeof *columns);
    double *row = array_new(2 * count, sizeof *row);
    sf_status status = columns && row ? SF_OK : SF_ERROR_MEMORY;
    cans_told told = status == SF_OK ? sparse_cans(fit, columns) : cans_untold();
    for (size_t c = 0; status == SF_OK && c < all->input->can_count; c++) {
        const sf_point *can = &all->input->cans[c];
        grid_sample at = grid_sample_at(all->laid, can->x_mm, can->y_mm);
        double with_k[CANS_SHARED];
        sparse_unknown_row(all, fit, &at, *can, row);
        for (size_t k = 0; k < CANS_SHARED; k++)
            with_k[k] = dot(row, columns + k * count, count);
        result->cans[c] =
            can_unread((sf_estimate){field_at(all, &result->mean, can->x_mm, can->y_mm),
                                     sqrt(sample_value(&at, result->variance_k2))},
                       all->cool_k, &told, with_k);
    }
    for (size_t i = 0; status == SF_OK && i < all->spots; i++)
        if (all->can[i] < all->input->can_count && all->gross_k2[i] <= 0)
            result->cans[all->can[i]] = read_can(all, fit, i, left_out_k[i], row);
    result->summary.can_share = can_share_told(&told);
    free(columns);
    free(row);
    return status;
}

static sf_status report_sources(const fit_data *all, const sparse_average *averaged,
                                const candidates *from, const sparse_found *found,
                                model_result *result)
{
    posterior_summary summaries[LENGTHS_MOST] = {0};
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < averaged->count; i++)
        status = posterior_summary_of(&averaged->fits[i], averaged->weights[i], &summaries[i]);
    if (status == SF_OK) {
        posterior_summaries_report(all, summaries, averaged->count, result);
        report_found(&summaries[averaged->best], &averaged->fits[averaged->best], from, found,
                     result);
    }
    for (size_t i = 0; i < averaged->count; i++)
        posterior_summary_clear(&summaries[i]);
    return status;
}

static sf_status report(const fit_data *all, sparse_average *averaged, const candidates *from,
                        const sparse_found *found, const calibration *camera, model_result *result)
{
    const sparse_fit *best = &averaged->fits[averaged->best];
    average(all, averaged, result);
    add_times(result->variance_k2, averaged->doubt_k2, 1, all->laid->nodes);
    calibration_add_variance(camera, result);
    sf_status status = report_sources(all, averaged, from, found, result);
    if (status == SF_OK)
        status = report_cans(all, best, averaged->left_out_k, result);
    if (status == SF_OK && result->joint)
        status = sparse_joint_fill(all, averaged->fits, averaged->weights, averaged->count,
                                   averaged->best, result);
    if (status == SF_OK) {
        calibration_add_covariance(camera, result);
        report_readings(all, best, averaged->left_out_k, result);
        calibration_report(all, camera, &result->summary);
    }
    return status;
}

/* The lattice of candidates alone: readings are everywhere. */
static sf_status lattice_candidates(const fit_data *all, candidates *made)
{
    fit_data unread = *all;
    unread.readings = 0;
    return candidates_make(&unread, made);
}

/* The find that the last fit bears out least; found->count where it bears out all. */
static size_t weakest_find(const sparse_fit *fit, const candidates *from, const sparse_found *found)
{
    size_t weakest = found->count;
    double least = FOUND_SDS_LEAST;
    for (size_t k = 0; k < found->count; k++) {
        sf_estimate rise_k = sparse_found_rise_k(fit, k, &from->covers[found->candidate[k]]);
        double sds = rise_k.value < FOUND_RISE_LEAST_K ? 0 : rise_k.value / rise_k.sd;
        if (sds < least) {
            least = sds;
            weakest = k;
        }
    }
    return weakest;
}

/* What the fits of all readings are made from, as a way that is judged. */
typedef struct sparse_way {
    fit_data *all;
    balance *matrix;
    const length_average *learnt;
    const candidates *from;
    double *open_k2, *seen_k; /* per reading: position_k2 and rise_k, were no body found */
    sparse_found found;
    sparse_fit likeliest;
    sparse_average averaged;
} sparse_way;

/* Fits with what was found; what the fit does not bear out is dropped, and its pixels tell of the
 * board again. */
static sf_status way_fit(void *of)
{
    sparse_way *way = of;
    size_t bytes = way->all->readings * sizeof(double);
    sf_status status = SF_OK;
    bool settled = false;
    while (status == SF_OK && !settled) {
        memcpy(way->all->position_k2, way->open_k2, bytes);
        memcpy(way->all->rise_k, way->seen_k, bytes);
        for (size_t k = 0; k < way->found.count; k++)
            look_at_body(way->all, way->from, way->found.candidate[k]);
        sparse_average_clear(&way->averaged);
        status = fit_lengths(way->all, way->matrix, way->learnt, &way->found, &way->likeliest,
                             &way->averaged);
        if (status != SF_OK)
            break;
        size_t drop = weakest_find(&way->averaged.fits[way->averaged.best], way->from, &way->found);
        settled = drop >= way->found.count;
        if (!settled)
            sparse_found_drop(&way->found, drop, way->all->laid->nodes);
    }
    return status;
}

static sf_status way_leave_out(void *of, const sf_estimate **left_out_k)
{
    sparse_way *way = of;
    sparse_average *averaged = &way->averaged;
    averaged->doubt_k2 = array_new(way->all->laid->nodes, sizeof *averaged->doubt_k2);
    *left_out_k = averaged->left_out_k =
        array_new(way->all->readings, sizeof *averaged->left_out_k);
    if (!averaged->doubt_k2 || !averaged->left_out_k)
        return SF_ERROR_MEMORY;
    return sparse_fit_doubt(way->all, &averaged->fits[averaged->best], averaged->doubt_k2,
                            averaged->left_out_k);
}

static void way_strength(const void *of, size_t source, double *mean, double *variance)
{
    const sparse_average *averaged = &((const sparse_way *)of)->averaged;
    *mean = averaged->fits[averaged->best].unknown_mean[1 + source];
    *variance = averaged->fits[averaged->best].unknown_variance[1 + source];
}

static sf_status see_found(sparse_way *way)
{
    static const judged_way judged = {way_fit, way_leave_out, way_strength};
    size_t bytes = way->all->readings * sizeof(double);
    way->open_k2 = array_new(way->all->readings, sizeof(double));
    way->seen_k = array_new(way->all->readings, sizeof(double));
    if (!way->open_k2 || !way->seen_k)
        return SF_ERROR_MEMORY;
    memcpy(way->open_k2, way->all->position_k2, bytes);
    memcpy(way->seen_k, way->all->rise_k, bytes);
    return judge_fits(way->all, &judged, way);
}

static sf_status see_all(fit_data *all, balance *matrix, const length_average *learnt,
                         double position_sd_mm, const calibration *camera, model_result *result)
{
    candidates from = {0};
    sparse_way way = {.all = all, .matrix = matrix, .learnt = learnt, .from = &from};
    const length_fit *best = &learnt->fits[learnt->best];
    sf_status status = take_field(all, matrix, best, position_sd_mm);
    if (status == SF_OK)
        status = lattice_candidates(all, &from);
    if (status == SF_OK)
        status = seek_at(all, matrix, best, &from, &way.found, &way.likeliest);
    if (way.found.count > 0 && all->readings > all->spots) /* pixels will be seen otherwise */
        sparse_fit_clear(&way.likeliest);
    if (status == SF_OK)
        status = see_found(&way);
    if (status == SF_OK)
        status = report(all, &way.averaged, &from, &way.found, camera, result);
    free(way.open_k2);
    free(way.seen_k);
    sparse_fit_clear(&way.likeliest);
    sparse_average_clear(&way.averaged);
    sparse_found_clear(&way.found);
    candidates_clear(&from);
    return status;
}

sf_status fit_sparse(fit_data *all, balance *matrix, double position_sd_mm, model_result *result)
{
    length_average learnt;
    sf_status status = length_average_learn(all, matrix, LEARNING_READINGS, position_sd_mm, &learnt,
                                            &result->mean);
    if (status == SF_OK) {
        calibration camera = calibrate_pixels(all);
        status = see_all(all, matrix, &learnt, position_sd_mm, &camera, result);
    }
    length_average_clear(&learnt);
    return status;
}
