/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One run over the readings of a job: what every step of it needs to tell a fault. */
#ifndef SPOTFIELD_READINGS_CORRECTION_H
#define SPOTFIELD_READINGS_CORRECTION_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/diagnostic.h"
#include "spotfield/job.h"
#include "spotfield/status.h"

/* A range of a number and its unit, "" where it has none; both ends belong to it. */
typedef struct range {
    double least, most;
    const char *unit;
} range;

/* Where temperatures on a board in service can lie; laminate chars well below the upper end, a
 * wire-wound resistor may reach it. */
extern const range board_c;

extern const range air_c, emissivities;

/* False for NAN. */
static inline bool range_holds(range in, double value)
{
    return value >= in.least && value <= in.most;
}

/* Steps go on after a fault, so that all are told; the status remembers the gravest. */
typedef struct correction {
    const sf_job *job;
    sf_diagnostics *diagnostics;
    sf_status status; /* SF_OK, SF_ERROR_DATA after an error, SF_ERROR_MEMORY whatever else */
} correction;

/* Tells a fault of any file. `what` is new text and is freed, NULL where memory was short. */
void correction_tell(correction *run, sf_severity severity, const char *file, size_t line,
                     const char *column, char *what, const char *expected);

/* The same for an error: a number outside its range, which is told as what is expected. */
void correction_refuse_range(correction *run, const char *file, size_t line, const char *column,
                             char *what, range in);

/* The same for an error of readings.csv. */
void correction_refuse(correction *run, size_t line, const char *column, char *what,
                       const char *expected);

/* The same for a warning, which leaves the status. */
void correction_warn(correction *run, size_t line, const char *column, char *what,
                     const char *expected);

/* --- uncertainty of what an instrument showed --- */

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

/* --- infrared --- */

/* |dT/de|, kelvin for a unit of emissivity, at a surface of temp_c that mirrors reflected_c. */
double infrared_k_per_emissivity(double temp_c, double emissivity, double reflected_c);

/* |dT/dR|, kelvin for a kelvin of the mirrored temperature. */
double infrared_k_per_reflected_k(double temp_c, double emissivity, double reflected_c);

/* How far the fourth-power law, which counts all wavelengths, may be off for an instrument that
 * sees 8 to 14 um: against the same balance by Planck's law at 10.4 um. That wavelength is chosen
 * to exceed the integral over the band by 10 to 12 %, at 40 to 100 C shown and any emissivity from
 * 0.1 up. Kelvin, not negative; arguments as sf_infrared_temp takes and gave them. */
double infrared_law_doubt_k(double shown_c, double emissivity, double reflected_c, double temp_c);

#endif
