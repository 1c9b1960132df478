/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a count says about the proportion behind it: used where heat and meter are compared. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

#include "spotfield/compare.h"

sf_status sf_proportion_interval(size_t successes, size_t trials, double confidence, double *low,
                                 double *high)
{
    if (trials == 0 || successes > trials || !(confidence > 0 && confidence < 1))
        return SF_ERROR_ARGUMENT;
    double tail = (1 - confidence) / 2;
    double hits = (double)successes, misses = (double)(trials - successes);
    double from = hits > 0 ? gsl_cdf_beta_Pinv(tail, hits, misses + 1) : 0;
    double to = misses > 0 ? gsl_cdf_beta_Qinv(tail, hits + 1, misses) : 1;
    if (!gsl_finite(from) || !gsl_finite(to))
        return SF_ERROR_NUMERIC;
    *low = from;
    *high = to;
    return SF_OK;
}
