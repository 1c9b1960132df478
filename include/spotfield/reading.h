/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From what an instrument showed to the rise of the board over its air, with its uncertainty. */
#ifndef SPOTFIELD_READING_H
#define SPOTFIELD_READING_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/diagnostic.h"
#include "spotfield/job.h"
#include "spotfield/status.h"

SF_BEGIN_C

/* GSL's error handler must be off (gsl_set_error_handler_off) before any of these is called, as
 * the program does at its start: with it on, GSL ends the process instead of reporting. */

/* Electromotive force of a thermocouple with its reference junction at 0 C.
 * `method` is a thermocouple; temp_c in -20..760 (J), -20..400 (T), -20..1372 (K); *emf_mv in mV,
 * positive above 0 C. ITS-90 reference functions, NIST Monograph 175 and IEC 60584-1.
 * SF_ERROR_ARGUMENT outside the range or for another method; *emf_mv is then untouched. */
SF_API sf_status sf_thermocouple_emf(sf_method method, double temp_c, double *emf_mv);

/* Temperature of the measuring junction: E^-1(emf_mv + E(junction_c)), by bracketed root search
 * on the reference function, to 1e-9 K. emf_mv as the meter shows it; junction_c, the temperature
 * at the meter's terminals, in -20..60 C. Millivolts are added, never degrees: E is curved.
 * SF_ERROR_ARGUMENT for another method or where the sum lies outside the type's range,
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC; *temp_c is then not a result. */
SF_API sf_status sf_thermocouple_temp(sf_method method, double emf_mv, double junction_c,
                                      double *temp_c);

/* True temperature of an opaque grey surface from the radiance temperature `shown_c` that a
 * thermometer set to emissivity 1 shows: T = ((M^4 - (1 - e) R^4)/e)^(1/4) in kelvin, from the
 * Stefan-Boltzmann and Kirchhoff laws. emissivity in (0, 1]; reflected_c the temperature of what
 * the surface reflects; both temperatures above -273.15 and at most 1500 C.
 * *sd_per_emissivity is |dT/de| = |T^4 - R^4|/(4 e T^3), kelvin for a unit of emissivity; *gain is
 * dT/dM = M^3/(e T^3), kelvin for a kelvin; either may be NULL.
 * An instrument for 8 to 14 um follows it within 1.5 K up to 100 C from emissivity 0.8 up and
 * misses it by several below 0.6.
 * SF_ERROR_ARGUMENT outside a range or where the difference is not positive: nothing is written. */
SF_API sf_status sf_infrared_temp(double shown_c, double emissivity, double reflected_c,
                                  double *temp_c, double *sd_per_emissivity, double *gain);

/* Steady temperature that a warm-up (or a cooling) approaches, from count >= 3 readings temp_c at
 * rising minutes since switch-on, from 0 up, each with independent standard uncertainty sd_k > 0.
 * A slower body behind the board (cabinet, heat sink) is always allowed for: the answer is the mean
 * over boards of 2 to 90 min, lognormal about 10, with a body of 40 to 240 min that holds 20 +/- 20
 * % of the rise (none for one board in ten), each weighed by how well it fits the readings;
 * *steady_sd_k is the standard deviation over all of them. It stays some fifth of the rise until
 * the slower body has had time to show. Where the board began is taken as unknown here;
 * sf_readings_correct knows that a cold board begins at its air. What all readings share (the
 * instrument's tolerance) is not in it.
 * Not extrapolated, SF_ERROR_NUMERIC: readings without curvature (the board's own time constant
 * more likely than not exceeds twice their last minute); an uncertainty above a third of the whole
 * rise and 1 K; scatter that sd_k does not allow (chi-square, 0.1 %). SF_ERROR_ARGUMENT for fewer
 * than 3, minutes that do not rise, or numbers that are not finite. On any error nothing is
 * written. */
SF_API sf_status sf_warmup_fit(const double *minute, const double *temp_c, size_t count,
                               double sd_k, double *steady_c, double *steady_sd_k);

/* Errors that readings have together, one standard deviation of each: the instrument of a method,
 * how much too little a bead shows, the emissivity of the board, the air that rises are counted
 * from. The first SF_METHOD_COUNT are the instruments, by sf_method. */
enum { SF_COMMON_BEAD = SF_METHOD_COUNT, SF_COMMON_EMISSIVITY, SF_COMMON_AIR, SF_COMMON_COUNT };

/* One reading after every correction. Texts belong to the array. */
typedef struct sf_observation {
    char *id;
    double x_mm, y_mm;
    sf_side side;  /* that it was read from; of a can, that of its part */
    double temp_c; /* corrected, at steady state, in the air it was read in */
    double rise_k; /* temp_c over that air: the reading's ambient_c, else the board's */
    double sd_k;   /* one standard uncertainty of rise_k, all but its place included */
    double common_k[SF_COMMON_COUNT]; /* of which readings have this together: what one standard
                                         deviation of each common error makes of rise_k */
    double own_k, own_sd_k; /* on a can: what its own heat is expected to add, and how sure */
    bool in_fit;            /* false: kept out of the board fit, `remark` says why */
    sf_method method;
    sf_spot spot;
    size_t part; /* index in the job's parts of the can it was taken on, sf_reading_part; SF_NO_PART
                    on another spot and on no part's can */
    char *remark;       /* corrections made and why, clauses split by "; "; "" where none */
    size_t line;        /* first row in readings.csv */
    size_t row_count;   /* rows behind it: a warm-up series where there are more than one */
    double steady_sd_k; /* standard error of the steady state of a series, from what its rows show
                           alone, part of sd_k; 0 where it was read once */
} sf_observation;

/* Corrects every reading of the job: millivolt, emissivity, warm-up series (rows of one id become
 * one observation, rows in any order), own ambient, and the bead's bias that the policy states,
 * rise = shown rise/(1 - bead_bias_pct/100).
 * Uncertainty, in quadrature: the reading's own sd_k of what the instrument shows, half of its
 * variance the instrument's (of a series: from one row to the next, and that half besides), else a
 * default by method and spot (one table in the source); emissivity +/- 0.03, more on bare metal,
 * and what it reflects; bead_bias_sd_pct of the rise; the air, 0.5 K. common_k gives the part
 * that readings share. A reading on a can holds the can's own heat: own_k of it is expected, from
 * its ripple. Readings on source bodies are corrected but not in the fit. Observations come in the
 * order of their first rows. Faults go to `diagnostics`, all of them, with file, line and column.
 * Errors: a number outside its range, millivolt without junction_c or from an infrared thermometer,
 * an id on rows that make no series, a series that has not settled. Warnings: emissivity below 0.6,
 * a single reading with a minute, a reading well below its air. On SF_OK *observations is a new
 * array of *count that the caller frees with sf_observations_free; on error it is NULL. Errors:
 * SF_ERROR_DATA, SF_ERROR_MEMORY. */
SF_API sf_status sf_readings_correct(const sf_job *job, sf_observation **observations,
                                     size_t *count, sf_diagnostics *diagnostics);

/* What a reading to come would be: rise, uncertainty and common errors as sf_readings_correct gives
 * them where the technician says nothing but the method, in the job's own air. rise_k is what it is
 * to come to; one below 0 counts as 0. part: whose can it is taken on, SF_NO_PART elsewhere. Place,
 * texts and line are left blank. */
SF_API sf_observation sf_reading_expect(const sf_job *job, sf_method method, sf_spot spot,
                                        size_t part, double rise_k);

/* By how much a capacitor's core is warmer at its rated ripple current, K: makers' lifetime guides,
 * by its grade, C. */
SF_API double sf_rated_core_rise_k(double rated_c);

/* Frees the array and its texts; NULL is fine. */
SF_API void sf_observations_free(sf_observation *observations, size_t count);

/* What a thermogram shows of a can or of a source's body whose own emissivity the job gives. */
typedef struct sf_body {
    const char *ref; /* the job's */
    bool is_part;    /* else a source */
    size_t pixels;   /* in the middle of its top */
    double temp_c;   /* their mean, corrected by its emissivity */
} sf_body;

/* A patch of a thermogram that is colder than a board beside its surroundings can be: bare metal
 * reflects the room. */
typedef struct sf_cold_patch {
    sf_point corners[4]; /* of a rectangle around it, on the board, as a ring of mask.csv */
    double below_k;      /* than the board around it */
    size_t pixels;
} sf_cold_patch;

/* A thermogram laid on the board: its pixels after every correction, those on bare board only. */
typedef struct sf_pixels {
    size_t count;
    double *x_mm, *y_mm; /* on the board */
    double *rise_k;      /* over the board's air */
    double pixel_sd_k;   /* noise of one pixel, apart from its neighbours' */
    double offset_sd_k;  /* what all pixels share: calibration and what the board reflects */
    double gain_sd;      /* what all share in proportion to their rise: emissivity */
    double marks_rms_mm; /* root mean square distance of the marks from where the map puts them */
    size_t left_out;     /* pixels off the board, on parts and on bodies of sources */
    size_t blank;        /* of those left out: blank cells, or no temperature a board can have */
    size_t off_board;    /* of those left out: beside the board, or in a cut-out */
    size_t masked;       /* of those left out: in a ring of mask.csv */
    size_t on_bodies;    /* of those left out: on parts and sources, hidden by them, or so near to
                            them or to the edge that a pixel would show some of both */
    double least_c, most_c;   /* of the pixels kept */
    double pixel_mm;          /* side of a pixel on the board, in the middle of the marks */
    double covered;           /* share of the board that lies in the picture, 0 to 1 */
    bool from_below;          /* the marks turn the board over: its solder side is seen */
    double *mark_residual_mm; /* per mark of the job: distance as above; all 0 for four marks,
                                 which always fit */
    size_t mark_count;
    size_t cold;            /* of those left out: on cold patches and at their edges */
    sf_cold_patch *patches; /* the largest first */
    size_t patch_count;
    const char *turned; /* "turned by 180 degrees": how the picture fits the listed sources far
                           better than by its marks; NULL: as it is. Not to be freed */
    sf_body *bodies;    /* for information; they say nothing about the board */
    size_t body_count;
} sf_pixels;

/* Lays the thermogram of the job on its board: perspective by the marks, emissivity where the
 * job gives one (else the picture counts as corrected). Left out are pixels that do not show bare
 * board: those in a ring of mask.csv, and, since where the camera hangs is taken from the
 * perspective, so that also the board hidden behind a can of known height is known; a part without
 * height_mm counts 1.5 times as high as wide, a source as high as the shorter side of its
 * footprint, but 15 to 25 mm (judgements). Left out as well are cold patches: without a heat sink a
 * board is warmer than any circle around it leads one to expect, I0(r / L) of their mean. Then the
 * picture is tried in the other seven ways that a file may be turned and mirrored, by the heat of
 * the listed sources. Bodies with an emissivity of their own are read in the middle of their tops,
 * where the camera's picture is not corrected already; else that emissivity is passed over with a
 * warning. Uncertainty: pixel_sd_k by noise equivalent temperature difference, offset_sd_k by the
 * camera's own camera_u or 2 K or 2 % as the half width of a rectangular distribution, and what the
 * board reflects; gain_sd by emissivity +/- 0.03 over itself, an upper bound of what the fourth
 * power gives. Faults go to `diagnostics`. Errors: marks that fix no map (marks.csv), no pixel on
 * bare board (thermogram.csv), no usable ambient. Warnings: emissivity below 0.6; marks that miss
 * by more than ruler and pixel explain, or that span little of the board; a picture that shows
 * little of it, its solder side, or a board far off its air. On SF_OK *pixels is new, freed with
 * sf_pixels_free; NULL where the job has no thermogram. On error NULL: SF_ERROR_DATA,
 * SF_ERROR_MEMORY. */
SF_API sf_status sf_thermogram_correct(const sf_job *job, sf_pixels **pixels,
                                       sf_diagnostics *diagnostics);

/* Frees the pixels and all they own; NULL is fine. */
SF_API void sf_pixels_free(sf_pixels *pixels);

SF_END_C

#endif
