/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is assumed about the uncertainty of a reading where the technician says nothing. */
#ifndef SPOTFIELD_READINGS_READING_UNCERTAINTY_H
#define SPOTFIELD_READINGS_READING_UNCERTAINTY_H

#include "spotfield/job.h"

/* A default: the instrument's part in kelvin, the contact's or spot's part as a share of the
 * rise; both standard uncertainties. */
typedef struct doubt {
    double instrument_sd_k;
    double rise_share;
} doubt;

/* The default for what an instrument shows, in degrees Celsius, by method and spot. */
doubt doubt_by_default(sf_method method, sf_spot spot, double shown_c);

/* Standard uncertainty of one reading of a series against the next on the same bead or spot:
 * last digit and draught, not the instrument's tolerance, which they share. Judgement. */
#define REPEAT_SD_K 0.5

/* Of an uncertainty that the technician states, the share of its variance that all readings of the
 * instrument have together. Judgement: of a meter's tolerance most, of its last digit nothing. */
#define STATED_SHARED 0.5

/* Standard uncertainty of the air that rises are counted from: a thermometer hung beside a running
 * board. Judgement. */
#define AIR_SD_K 0.5

/* Of what a can's ripple makes in its core the can shows most; standard deviation of that, as a
 * share of the core's rise, and of the heat of a can whose ripple is not known, K. Judgements. */
#define OWN_HEAT_SEEN 0.8
#define OWN_HEAT_SD 0.3
#define OWN_HEAT_SD_K 0.5

/* Below the first emissivity the fourth-power law leaves the band an instrument sees by more than
 * 2 K at 80 C, below the second bare metal shows more of the room than of itself. */
#define EMISSIVITY_LEAST 0.6
#define EMISSIVITY_MIRROR 0.5

/* Standard uncertainty of an emissivity taken from a table. */
double doubt_of_emissivity(double emissivity);

/* Emissivity taken for the doubt of a reading that the instrument has corrected by itself: solder
 * mask, 0.85 to 0.95 in handbook emissivity tables. */
#define EMISSIVITY_OF_MASK 0.90

/* What that makes of such a reading, K. */
double doubt_of_mask_k(double temp_c, double mirrored_c);

/* Standard uncertainty of the temperature of what the surface mirrors. Judgement: over a running
 * board it is neither all room nor all cabinet. */
#define REFLECTED_SD_K 2.0

#endif
