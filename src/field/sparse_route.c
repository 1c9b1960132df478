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
#include "field/posterior.h"
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
    calibration camera;
    double *columns, *rows; /* as sparse_cans and sparse_error want them */
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

/* --- what is told --- */

static const peaked_field *mean_at(const void *of, size_t length)
{
    return &((const sparse_way *)of)->averaged.fits[length].mean;
}

static const sparse_fit *best_of(const sparse_way *way)
{
    return &way->averaged.fits[way->averaged.best];
}

static sf_status summarise(const void *of, size_t length, posterior_summary *made)
{
    const sparse_fit *fit = &((const sparse_way *)of)->averaged.fits[length];
    size_t listed = fit->unknowns.listed;
    sf_status status = posterior_summary_new(&fit->green, &fit->held, made);
    if (status != SF_OK)
        return status;
    made->loss_sd_ln = fit->loss_sd_ln;
    made->log_posterior = fit->log_posterior;
    made->background_k = fit->unknown_mean[0];
    made->background_k2 = fit->unknown_variance[0];
    memcpy(made->strength_k_mm2, fit->unknown_mean + 1, listed * sizeof(double));
    memcpy(made->strength_k2, fit->unknown_variance + 1, listed * sizeof(double));
    return SF_OK;
}

static sf_status add_doubt(void *of, model_result *result)
{
    const sparse_way *way = of;
    add_times(result->variance_k2, way->averaged.doubt_k2, 1, way->all->laid->nodes);
    calibration_add_variance(&way->camera, result);
    return SF_OK;
}

static cans_told tell_cans(void *of)
{
    const sparse_way *way = of;
    return sparse_cans(best_of(way), way->columns);
}

static void tell_with_cans(void *of, const grid_sample *at, sf_point place,
                           double with_k[CANS_SHARED])
{
    const sparse_way *way = of;
    size_t count = best_of(way)->unknowns.count;
    sparse_unknown_row(way->all, best_of(way), at, place, way->rows);
    for (size_t k = 0; k < CANS_SHARED; k++)
        with_k[k] = dot(way->rows, way->columns + k * count, count);
}

static told_error tell_error(void *of, size_t reading)
{
    const sparse_way *way = of;
    return sparse_error(way->all, best_of(way), reading, way->averaged.left_out_k[reading],
                        way->rows);
}

static void add_found(const void *of, const posterior_summary *told, model_result *result)
{
    const sparse_way *way = of;
    const candidates *from = way->from;
    for (size_t k = 0; k < way->found.count; k++) {
        size_t candidate = way->found.candidate[k];
        result->sources[result->source_count++] = (sf_source_fit){
            .x_mm = from->centres[candidate].x_mm,
            .y_mm = from->centres[candidate].y_mm,
            .width_mm = from->sides_mm[candidate],
            .height_mm = from->sides_mm[candidate],
            .rise_k = sparse_found_rise_k(best_of(way), k, &from->covers[candidate]),
            .power_w = strength_w(told, sparse_found_strength(best_of(way), k)),
            .evidence = way->found.evidence[k],
            .probability = sparse_found_probability(way->found.evidence[k])};
    }
}

static sf_status fill_joint(void *of, model_result *result)
{
    sparse_way *way = of;
    sparse_average *averaged = &way->averaged;
    sf_status status = sparse_joint_fill(way->all, averaged->fits, averaged->weights,
                                         averaged->count, averaged->best, result);
    calibration_add_covariance(&way->camera, result);
    return status;
}

static sf_status report(sparse_way *way, model_result *result)
{
    static const posterior_way told = {mean_at,        summarise,  add_doubt, tell_cans,
                                       tell_with_cans, tell_error, add_found, fill_joint};
    const sparse_fit *best = best_of(way);
    const fit_data *all = way->all;
    double *place_k2 = array_new(all->readings, sizeof *place_k2);
    way->columns = array_new(CANS_SHARED * best->unknowns.count, sizeof(double));
    way->rows = array_new(2 * best->unknowns.count, sizeof(double));
    if (!place_k2 || !way->columns || !way->rows) {
        free(place_k2);
        return SF_ERROR_MEMORY;
    }
    /* what the knots leave out is not noise, and no mean makes it less */
    for (size_t i = 0; i < all->readings; i++)
        place_k2[i] = best->variance_k2[i] - reading_variance_k2(all, &best->held, i);
    const posterior of = {.way = &told,
                          .of = way,
                          .data = all,
                          .count = way->averaged.count,
                          .best = way->averaged.best,
                          .weights = way->averaged.weights,
                          .left_out_k = way->averaged.left_out_k,
                          .place_k2 = place_k2,
                          .at = &best->held};
    sf_status status = posterior_report(&of, result);
    calibration_report(all, &way->camera, &result->summary);
    free(place_k2);
    return status;
}

static sf_status see_all(fit_data *all, balance *matrix, const length_average *learnt,
                         double position_sd_mm, model_result *result)
{
    candidates from = {0};
    sparse_way way = {.all = all,
                      .matrix = matrix,
                      .learnt = learnt,
                      .from = &from,
                      .camera = calibrate_pixels(all)};
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
        status = report(&way, result);
    free(way.columns);
    free(way.rows);
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
    if (status == SF_OK)
        status = see_all(all, matrix, &learnt, position_sd_mm, result);
    length_average_clear(&learnt);
    return status;
}
