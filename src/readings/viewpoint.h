/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where the camera of a thermogram hung, and so what stands before which piece of board. */
#ifndef SPOTFIELD_READINGS_VIEWPOINT_H
#define SPOTFIELD_READINGS_VIEWPOINT_H

#include <stddef.h>

#include "spotfield/geometry.h"

/* A place over the board; above_mm is negative for a camera that sees the solder side. */
typedef struct viewpoint {
    double x_mm, y_mm, above_mm;
} viewpoint;

/* From the perspective map of marks_fit and the picture's size. Square pixels and a lens axis amid
 * the picture give the focal length where the board is seen aslant (Zhang, A flexible new technique
 * for camera calibration, IEEE PAMI 22 (2000) 1330, section 3.1); where it is seen from straight
 * above nothing does, and a lens of 45 degrees is taken. */
viewpoint viewpoint_find(const double homography[9], size_t columns, size_t rows);

/* The inverse of a perspective map: from the board to the picture. */
void viewpoint_invert(const double homography[9], double inverse[9]);

/* Where the camera sees, against the board, a point that lies above_mm over (x_mm, y_mm). */
sf_point viewpoint_cast(const viewpoint *from, sf_point place, double above_mm);

#endif
