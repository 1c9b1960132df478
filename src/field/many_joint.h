/* The field of many readings at several places taken together. */
#ifndef SPOTFIELD_FIELD_MANY_JOINT_H
#define SPOTFIELD_FIELD_MANY_JOINT_H

#include "field/many.h"
#include "field/model.h"

/* Fills result->joint from the averaged field in result->rise_k and the covariance that the fit
 * leaves; how estimates at several lengths differ is not in it: it is little where readings are
 * many. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status many_joint_fill(const problem *data, many_fit *fit, const model_result *result);

#endif
