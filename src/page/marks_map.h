/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The map between board and photo that marks hold: points of the photo whose place on the board is
 * known, two or at least four of them. */
#ifndef SPOTFIELD_PAGE_MARKS_MAP_H
#define SPOTFIELD_PAGE_MARKS_MAP_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* How board and upright photo lie to one another. */
typedef struct marks_found {
    double to_pixel[9];  /* from the board, mm, to the photo, as marks_apply takes it */
    double *residual_mm; /* per mark: between its place and where the map puts it */
    size_t count;
    double rms_mm; /* NAN where as many marks were given as the map has unknowns */
} marks_found;

/* The same of the folder's photo-marks.csv; SF_ERROR_DATA where that is no table of marks:
 * session_live tells why. */
sf_status marks_file_fit(const char *folder, marks_found *found);

/* What marks lack that hold no photo, by the status of their fit; "" of any other status. */
const char *marks_lack(sf_status status);

void marks_found_clear(marks_found *discarded);

/* --- tried on marks that are not kept yet --- */

/* Fits the marks of {"marks": [{"column_px", "row_px", "x_mm", "y_mm"}, ...]}, all of them numbers.
 * On SF_OK *tried is new: {"fits", "why", "residuals_mm", "rms_mm"}. Where they fit, a residual for
 * each mark, and their root mean square, null where as many marks were given as the map has
 * unknowns, and `why` is ""; else no residual, and in `why` what they lack.
 * SF_ERROR_ARGUMENT where it is no such object, each fault told as mark and member;
 * SF_ERROR_MEMORY. */
sf_status marks_try(const json_t *asked, json_t **tried, sf_diagnostics *diagnostics);

#endif
