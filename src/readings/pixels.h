/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The pixels of a thermogram on their way to the board. */
#ifndef SPOTFIELD_READINGS_PIXELS_H
#define SPOTFIELD_READINGS_PIXELS_H

#include <stdbool.h>
#include <stddef.h>

#include "readings/ground.h"
#include "readings/viewpoint.h"
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

/* Bodies of the job that have an emissivity of their own. */
size_t bodies_count(const sf_job *job);

/* Reads them where the camera sees their tops; those that show no pixel are left out. Fills
 * into->bodies, which sf_pixels_free frees; false when memory is short. */
bool bodies_read(const sf_job *job, const double homography[9], const viewpoint *from,
                 sf_pixels *into);

/* Fits the listed sources to the picture as it is and in the seven other ways that a file may be
 * turned and mirrored; *turned is the words for the one that fits far better, "turned by 180
 * degrees", NULL where none does. Where the marks lie sideways, one quarter turn must fit better
 * than the others. Cold squares of bare metal count little, since the fit is one of least
 * distances. False when memory is short. */
bool turn_seek(const sf_job *job, const double homography[9], const ground *seen,
               const char **turned);

#endif
