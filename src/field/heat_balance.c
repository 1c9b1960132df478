/* The field model of this project: a board is a fin, its sources have unknown strengths, its
 * spreading length is uncertain and averaged over. */
#include "field/balance.h"
#include "field/expectation.h"
#include "field/few.h"
#include "field/many_route.h"
#include "field/model.h"
#include "field/room_needed.h"
#include "field/sweep.h"

static sf_status fit_few(problem *data, balance *matrix, const sf_field_options *options,
                         model_result *result)
{
    candidates seek = {0};
    sweep swept = {0};
    sf_status status =
        sweep_fit(data, matrix, options->position_sd_mm, &seek, &swept, &result->mean);
    if (status == SF_OK && result->evidence_only)
        few_evidence(data, &swept, result);
    else if (status == SF_OK)
        status = few_report(data, matrix, &seek, &swept, result);
    sweep_clear(&swept);
    candidates_clear(&seek);
    return status;
}

/* Before any reading: what construction and listed sources predict. */
static sf_status expect(problem *data, balance *matrix, model_result *result)
{
    sweep swept;
    candidates seek = {0};
    sf_status status = candidates_make(data, &seek);
    if (status == SF_OK) {
        status = sweep_expect(data, matrix, &seek, &swept);
        if (status == SF_OK)
            status = few_report(data, matrix, &seek, &swept, result);
        sweep_clear(&swept);
    }
    candidates_clear(&seek);
    return status;
}

static bool takes_many(const problem *data)
{
    return data->readings > FEW_READINGS_MOST || data->readings > data->spots || data->merged;
}

/* Refuses what would not fit in memory before any of it is taken. */
static sf_status check_room(const problem *data, const balance *analysed, model_result *result)
{
    double bytes = takes_many(data) ? many_bytes(data, analysed) : few_bytes(data, analysed);
    if (bytes <= FIT_BYTES_MOST)
        return SF_OK;
    result->bytes_refused = bytes;
    return SF_ERROR_DATA;
}

static sf_status fit_heat_balance(const sf_field_input *input, const sf_field_options *options,
                                  const grid *laid, model_result *result, const char **why)
{
    problem data;
    balance *matrix = NULL;
    sf_status status = problem_gather(input, laid, &data);
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
        status = fit_many(&data, matrix, options->position_sd_mm, result);
    else
        status = fit_few(&data, matrix, options, result);
    balance_free(matrix);
    problem_clear(&data);
    return status;
}

const field_model heat_balance_model = {
    .called = {"heat-balance",
               "heat spreads along the board and leaves by its faces; sources of unknown power"},
    .fit = fit_heat_balance,
};
