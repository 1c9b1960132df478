/* The result of few readings, from their fits at several spreading lengths. */
#ifndef SPOTFIELD_FIELD_FEW_H
#define SPOTFIELD_FIELD_FEW_H

#include "field/model.h"
#include "field/sweep.h"

/* Fills the result, joint included where it is asked for. The balance is factored anew.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status few_report(const problem *data, balance *matrix, const candidates *seek,
                     const sweep *swept, model_result *result);

/* Fills mean and log_evidence alone. */
void few_evidence(const problem *data, const sweep *swept, model_result *result);

#endif
