/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Marks that tie a picture, a thermogram or a photo, to the board: the perspective map between
 * them. The pixels of a thermogram come to the board through it. */
#ifndef SPOTFIELD_READINGS_MARKS_H
#define SPOTFIELD_READINGS_MARKS_H

#include <stddef.h>

#include "spotfield/geometry.h"
#include "spotfield/status.h"

#define MARKS_LEAST 4

/* Fits the homography that takes pixel (column in x_mm, row in y_mm) to board_mm, count >= 4 of
 * each: exactly for 4, for more by least squares of the distances on the board. homography is
 * 3 x 3 by rows, of unit norm, its third coordinate positive at the marks; residual_mm holds count
 * distances between board_mm and where the map puts the mark, *rms_mm their root mean square.
 * Hartley, In defense of the eight-point algorithm, IEEE PAMI 19 (1997) 580: coordinates are moved
 * and scaled first, so that all unknowns are of one size.
 * SF_ERROR_ARGUMENT for fewer than 4 or coordinates that are not finite; SF_ERROR_NUMERIC where
 * the marks do not hold the map: three of four nearly on a line, or no perspective at all fits
 * their order; SF_ERROR_MEMORY. On error the results are not to be used. */
sf_status marks_fit(const sf_point *pixel, const sf_point *board_mm, size_t count,
                    double homography[9], double *residual_mm, double *rms_mm);

/* Where a pixel lies on the board; NAN for one at or beyond the horizon of the picture. */
sf_point marks_apply(const double homography[9], double column, double row);

/* The mark that agrees least. */
typedef struct mark_slip {
    size_t mark;
    double left_out_mm; /* from where the other marks put it; 0 where too few tell */
    double score;       /* how much better the others agree without it, in standard deviations */
} mark_slip;

/* Fits the map count times, each mark left out in turn, and compares what the others then miss by
 * with what all missed by, residual_mm. A mark that is left out cannot bend the map to itself, as a
 * corner of six marks does by four fifths of its slip. usual_mm > 0 is what a mark misses by along
 * each axis. Of fewer than 5 marks nothing can be told. SF_ERROR_MEMORY. */
sf_status marks_check(const sf_point *pixel, const sf_point *board_mm, size_t count,
                      const double *residual_mm, double usual_mm, mark_slip *worst);

#endif
