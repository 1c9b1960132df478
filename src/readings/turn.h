/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether the picture lies as its marks say, by the heat of the listed sources. */
#ifndef SPOTFIELD_READINGS_TURN_H
#define SPOTFIELD_READINGS_TURN_H

#include <stdbool.h>

#include "readings/ground.h"
#include "spotfield/job.h"

/* Fits the listed sources to the picture as it is and in the seven other ways that a file may be
 * turned and mirrored; *turned is the words for the one that fits far better, "turned by 180
 * degrees", NULL where none does. Cold squares of bare metal count little, since the fit is one of
 * least distances. False when memory is short. */
bool turn_seek(const sf_job *job, const double homography[9], const ground *seen,
               const char **turned);

#endif
