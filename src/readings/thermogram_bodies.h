/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cans and bodies in a thermogram, for what they tell of themselves. */
#ifndef SPOTFIELD_READINGS_THERMOGRAM_BODIES_H
#define SPOTFIELD_READINGS_THERMOGRAM_BODIES_H

#include <stdbool.h>
#include <stddef.h>

#include "readings/viewpoint.h"
#include "spotfield/job.h"
#include "spotfield/reading.h"

/* Bodies of the job that have an emissivity of their own. */
size_t bodies_count(const sf_job *job);

/* Reads them where the camera sees their tops; those that show no pixel are left out. Fills
 * into->bodies, which sf_pixels_free frees; false when memory is short. */
bool bodies_read(const sf_job *job, const double homography[9], const viewpoint *from,
                 sf_pixels *into);

#endif
