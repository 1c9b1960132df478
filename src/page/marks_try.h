/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Marks that are tried before they are kept. */
#ifndef SPOTFIELD_PAGE_MARKS_TRY_H
#define SPOTFIELD_PAGE_MARKS_TRY_H

#include <jansson.h>

#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* Fits the marks of {"marks": [{"column_px", "row_px", "x_mm", "y_mm"}, ...]}, all of them numbers.
 * On SF_OK *tried is new: {"fits", "why", "residuals_mm", "rms_mm"}. Where they fit, a residual for
 * each mark, and their root mean square, null where as many marks were given as the map has
 * unknowns, and `why` is ""; else no residual, and in `why` what they lack.
 * SF_ERROR_ARGUMENT where it is no such object, each fault told as mark and member;
 * SF_ERROR_MEMORY. */
sf_status marks_try(const json_t *asked, json_t **tried, sf_diagnostics *diagnostics);

#endif
