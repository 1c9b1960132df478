/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field model of this project: Gaussian-process regression whose prior is the heat balance of a
 * fin, a screened Poisson equation. Sources have unknown strengths, heat that nobody listed is
 * white noise (a stochastic partial differential equation), and the spreading length is averaged
 * over. Few readings go by their covariance, many by the field's sparse precision. */
#include "field/balance.h"
#include "field/dense.h"
#include "field/expectation.h"
#include "field/length_average.h"
#include "field/model.h"
#include "field/room_needed.h"
#include "field/sparse_route.h"

#define SEARCHED_READINGS_MOST 80 /* above, a search for hyperparameters takes long */

static sf_status fit_dense(fit_data *data, balance *matrix, const sf_field_options *options,
                           model_result *result)
{
    candidates seek = {0};
    length_average averaged = {0};
    sf_status status = data->readings > SEARCHED_READINGS_MOST
                           ? length_average_hold(data, matrix, options->position_sd_mm, &seek,
                                                 &averaged, &result->mean)
                           : length_average_fit(data, matrix, options->position_sd_mm, &seek,
                                                &averaged, &result->mean);
    if (status == SF_OK && result->log_evidence_only)
        dense_log_evidence(data, &averaged, result);
    else if (status == SF_OK)
        status = dense_report(data, matrix, &seek, &averaged, result);
    length_average_clear(&averaged);
    candidates_clear(&seek);
    return status;
}

/* Before any reading: what construction and listed sources predict. */
static sf_status expect(fit_data *data, balance *matrix, model_result *result)
{
    length_average averaged;
    candidates seek = {0};
    sf_status status = candidates_make(data, &seek);
    if (status == SF_OK) {
        status = length_average_expect(data, matrix, &seek, &averaged);
        if (status == SF_OK)
            status = dense_report(data, matrix, &seek, &averaged, result);
        length_average_clear(&averaged);
    }
    candidates_clear(&seek);
    return status;
}

static bool takes_many(const fit_data *data)
{
    return data->readings > DENSE_READINGS_MOST || data->readings > data->spots || data->merged;
}

/* Refuses what would not fit in memory before any of it is taken. */
static sf_status check_room(const fit_data *data, const balance *analysed, model_result *result)
{
    double bytes = takes_many(data) ? sparse_bytes(data, analysed) : dense_bytes(data, analysed);
    if (bytes <= FIT_BYTES_MOST)
        return SF_OK;
    result->bytes_refused = bytes;
    return SF_ERROR_DATA;
}

static sf_status fit_heat_balance(const sf_field_input *input, const sf_field_options *options,
                                  const grid *laid, model_result *result, const char **why)
{
    fit_data data;
    balance *matrix = NULL;
    sf_status status = fit_data_gather(input, laid, &data);
    bool unread = status == SF_ERROR_DATA && result->joint;
    if (unread)
        status = SF_OK;
    else if (status == SF_ERROR_DATA)
        *why = "no reading is in the fit";
    if (status == SF_OK)
        status = balance_new(laid, &matrix);
    if (status == SF_OK)
        status = check_room(&data, matrix, result);
    if (status != SF_OK)
        ; /* nothing to fit */
    else if (unread)
        status = expect(&data, matrix, result);
    else if (takes_many(&data))
        status = fit_sparse(&data, matrix, options->position_sd_mm, result);
    else
        status = fit_dense(&data, matrix, options, result);
    balance_free(matrix);
    fit_data_clear(&data);
    return status;
}

const field_model heat_balance_model = {
    .called = {"heat-balance",
               "heat spreads along the board and leaves from its faces; unknown powers are fitted"},
    .fit = fit_heat_balance,
};
