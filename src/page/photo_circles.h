/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Circles of the photo that may be cans, for a person to accept. */
#ifndef SPOTFIELD_PAGE_PHOTO_CIRCLES_H
#define SPOTFIELD_PAGE_PHOTO_CIRCLES_H

#include <stdatomic.h>

#include <jansson.h>

#include "spotfield/status.h"

/* On SF_OK *made is new: {"camera": {"x_mm", "y_mm", "above_mm"}, "circles": [{"x_mm", "y_mm",
 * "diameter_mm", "seen"}]}. Each circle lies where the photo shows it against the board: the top of
 * a can leans away from the camera. `seen` is the share of its edge that shows; the surest come
 * first. At most CIRCLES_MOST, from 4 to 40 mm. SF_ERROR_MISSING where there is no photo or the
 * marks do not hold it, SF_ERROR_DATA where `left` (may be NULL) became true meanwhile,
 * SF_ERROR_MEMORY. */
sf_status photo_circles(const char *folder, double width_mm, double height_mm,
                        const atomic_bool *left, json_t **made);

#endif
