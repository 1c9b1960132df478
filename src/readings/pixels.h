/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The pixels of a thermogram on their way to the board. */
#ifndef SPOTFIELD_READINGS_PIXELS_H
#define SPOTFIELD_READINGS_PIXELS_H

#include <stdbool.h>

#include "readings/ground.h"
#include "spotfield/job.h"
#include "spotfield/reading.h"

/* Lays every pixel on the board by the map of marks_fit, corrects it, and keeps those on bare
 * board; fills the counts, arrays and range of *into. Its arrays are sf_pixels_free's also after
 * false, when memory is short. */
bool pixels_lay(const sf_job *job, const double homography[9], const ground *seen, sf_pixels *into);

/* What the board mirrors: the camera's, else the air. */
double pixels_reflected_c(const sf_job *job);

/* A pixel corrected; NAN where it shows no temperature that a board can have. emissivity NAN: the
 * camera has corrected it. */
double pixel_corrected_c(double shown_c, double emissivity, double reflected_c);

/* The side of a pixel at a place of the picture, mm on the board: geometric mean of both. */
double pixel_side_mm(const double homography[9], double column, double row);

/* The share of the board, told by the raster, that lies in the picture. */
double pixels_cover(const sf_thermogram *picture, const double homography[9], const ground *seen);

/* The standard uncertainties of the pixels laid. */
void pixels_doubt(const sf_job *job, sf_pixels *into);

#endif
