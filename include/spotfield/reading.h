/* From what an instrument showed to the rise of the board over its air, with its uncertainty. */
#ifndef SPOTFIELD_READING_H
#define SPOTFIELD_READING_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/complaint.h"
#include "spotfield/job.h"
#include "spotfield/status.h"

/* Electromotive force of a thermocouple with its reference junction at 0 C.
 * `method` is a thermocouple; temp_c in -20..760 (J), -20..400 (T), -20..1372 (K); *emf_mv in mV.
 * ITS-90 reference functions, NIST Monograph 175 and IEC 60584-1.
 * SF_ERROR_ARGUMENT outside the range or for another method. */
SF_API sf_status sf_thermocouple_emf(sf_method method, double temp_c, double *emf_mv);

/* Temperature of the measuring junction: E^-1(emf_mv + E(junction_c)), by bracketed root search
 * on the reference function. junction_c in -20..60 C. SF_ERROR_ARGUMENT where the sum lies
 * outside the type's range. */
SF_API sf_status sf_thermocouple_temp(sf_method method, double emf_mv, double junction_c,
                                      double *temp_c);

/* True temperature of an opaque grey surface from the radiance temperature `shown_c` that a
 * thermometer set to emissivity 1 shows: T = ((M^4 - (1 - e) R^4)/e)^(1/4) in kelvin.
 * emissivity in (0, 1]; reflected_c the temperature of what it mirrors. *sd_per_emissivity is
 * |dT/de| in kelvin for a unit of emissivity, *gain is dT/dM; either may be NULL.
 * SF_ERROR_ARGUMENT outside the range or where the difference is not positive. */
SF_API sf_status sf_infrared_temp(double shown_c, double emissivity, double reflected_c,
                                  double *temp_c, double *sd_per_emissivity, double *gain);

/* Steady temperature that a warm-up approaches, T(t) = T_inf - (T_inf - T_0) exp(-t/tau), by
 * least squares over count >= 3 readings at rising minutes, each with standard uncertainty sd_k.
 * *steady_sd_k is the asymptote's standard error, at least sd_k/sqrt(count).
 * SF_ERROR_ARGUMENT for fewer than 3 or minutes that do not rise; SF_ERROR_NUMERIC where the
 * readings do not settle (no curvature, or the asymptote's error exceeds the whole rise). */
SF_API sf_status sf_warmup_fit(const double *minute, const double *temp_c, size_t count,
                               double sd_k, double *steady_c, double *steady_sd_k);

/* One reading after every correction. Texts belong to the array. */
typedef struct sf_observation {
    char *id;
    double x_mm, y_mm;
    double temp_c; /* corrected, at steady state, in the air of the bench */
    double rise_k; /* temp_c over the air it was read in */
    double sd_k;   /* one standard uncertainty of rise_k, position not included */
    bool in_fit;   /* false: kept out of the board fit, `remark` says why */
    sf_method method;
    sf_spot spot;
    char *remark; /* corrections made and why, in words; "" where none */
    size_t line;  /* first row in readings.csv */
} sf_observation;

/* Corrects every reading of the job: millivolt, emissivity, warm-up series (rows of one id become
 * one observation), own ambient, default uncertainty by method and spot (table in the source).
 * Readings on source bodies are corrected but not in the fit. Faults go to `complaints`, all of
 * them. On SF_OK *observations is a new array of *count that the caller frees with
 * sf_observations_free; on error it is NULL. Errors: SF_ERROR_DATA, SF_ERROR_MEMORY. */
SF_API sf_status sf_readings_correct(const sf_job *job, sf_observation **observations,
                                     size_t *count, sf_complaints *complaints);

/* Frees the array and its texts; NULL is fine. */
SF_API void sf_observations_free(sf_observation *observations, size_t count);

#endif
