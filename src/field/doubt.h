/* The posterior variance of the field at every node, at one spreading length. */
#ifndef SPOTFIELD_FIELD_DOUBT_H
#define SPOTFIELD_FIELD_DOUBT_H

#include "field/length_fit.h"

/* Adds the variance at every node to variance_k2, from heat everywhere, background, listed sources
 * and unlisted ones. The balance is factored anew for the fit's length.
 * own_k: per candidate, the mean rise a found source of 1 K mm2 makes on its own footprint, set
 * for those whose share in an effect is at least CANDIDATE_SHARE, else left alone.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status doubt_add(const problem *data, balance *matrix, const length_fit *fit,
                    double *variance_k2, double *own_k);

#define CANDIDATE_SHARE 0.02

#endif
