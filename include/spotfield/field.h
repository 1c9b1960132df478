/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The heat field: rise over air everywhere on the board, with its uncertainty. */
#ifndef SPOTFIELD_FIELD_H
#define SPOTFIELD_FIELD_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/diagnostic.h"
#include "spotfield/job.h"
#include "spotfield/reading.h"
#include "spotfield/status.h"

SF_BEGIN_C

/* Square cells that cover the board; cell (column, row) lies at row * columns + column, its
 * centre at ((column + 0.5) cell_mm, (row + 0.5) cell_mm), rows counted upwards. */
typedef struct sf_grid {
    double cell_mm;
    size_t columns, rows;
    const unsigned char *inside; /* 1 where the cell's centre is board, else 0 */
} sf_grid;

/* An estimate with one standard deviation. */
typedef struct sf_estimate {
    double value;
    double sd;
} sf_estimate;

/* A heat source as the fit found it, listed by the user or sought by the model. */
typedef struct sf_source_fit {
    char ref[32]; /* as listed (cut to fit); "unlisted 1", ... for those found */
    bool listed;
    double x_mm, y_mm;          /* centre */
    double width_mm, height_mm; /* footprint */
    double angle_deg;
    sf_estimate rise_k;  /* what it adds to the mean rise of its own footprint */
    sf_estimate power_w; /* heat into the board; the uncertainty of the loss coefficient included */
    double evidence;     /* log evidence gained by an unlisted source; 0 for a listed one */
    double probability;  /* that it is there; 1 for a listed one */
    bool contradiction; /* listed, but to fit the readings it would have to cool: rise below zero */
    double power_score; /* by how many standard deviations power_w lies below a tenth of the
                           listed watts or above all of them, else 0; beyond 3 the readings
                           contradict them; NAN where no watts are listed */
} sf_source_fit;

/* How one observation fits the field. `observation` is its index in the array given. */
typedef struct sf_reading_fit {
    size_t observation;
    sf_estimate fitted_k;   /* field at the reading, all readings used */
    sf_estimate left_out_k; /* prediction of the reading from all others; sd holds the noise too */
    double score;           /* (read - left out) / sd; beyond 3 it does not fit */
    double alone;           /* the same score were nothing unlisted there: beyond 3 while `score` is
                               not, only this reading points to the unlisted heat */
    double gross;           /* probability that it is grossly wrong; from 0.5 on, where it is too
                               cold, it has no weight in the field, and where it is too warm on a
                               can, it counts for that can alone */
    const char *idle;       /* the listed source it lies on, where that hardly warms the board by
                               this fit; NULL otherwise; valid as long as the field */
} sf_reading_fit;

/* Whether a reading does not fit: more than 3 standard deviations warmer than the others lead to
 * expect, or 2.5 colder. Warmer may be heat that nobody listed; hardly anything makes one place
 * of a board colder than those around it (a judgement, tested on invented boards). */
SF_API bool sf_reading_misfits(const sf_reading_fit *fit);

typedef struct sf_field sf_field;

/* Start from sf_field_options_default. */
typedef struct sf_field_options {
    const char *model;     /* name in sf_field_models: "heat-balance" (default), "thin-plate",
                              "kriging" */
    double cell_mm;        /* 0: 2 to 2.5 mm, larger where the board would exceed cells_max */
    size_t cells_max;      /* default 10,000, 4 to 1,000,000 */
    double position_sd_mm; /* standard uncertainty of a reading's place, each axis */
} sf_field_options;

/* "heat-balance", cells by the size of the board, and 1 mm of uncertainty in the place of a
 * reading. */
SF_API sf_field_options sf_field_options_default(void);

/* A place whose rise is wanted: of the board, or of a can on it. */
typedef struct sf_place {
    double x_mm, y_mm;
    bool on_can;
    size_t can; /* index in sf_field_input.cans, where on_can */
} sf_place;

/* A slip of the pen to try: the rises that were meant, of one observation (named twice, with the
 * same rise) or of two. */
typedef struct sf_slip {
    size_t observation[2];
    double rise_k[2];
    double log_factor; /* log density of what was written where this was meant: of tenths log 10 */
} sf_slip;

/* What the fit is made of, beside the job's board, rings and sources. */
typedef struct sf_field_input {
    const sf_board *board;
    const sf_ring *rings; /* rings[0] is the edge */
    size_t ring_count;
    const sf_source *sources;
    size_t source_count;
    const sf_observation *observations; /* those with in_fit false are passed over */
    size_t observation_count;
    const sf_pixels *pixels; /* of a thermogram; NULL or count 0: none */
    const sf_point *cans;    /* places of the cans whose rise is wanted; sf_observation.part is an
                                index in it */
    size_t can_count;
    const sf_slip *slips; /* to be held against the observations; NULL: none */
    size_t slip_count;
} sf_field_input;

/* Board, rings and sources of a job, and what was read on it; no pixels, cans or slips. It points
 * into the job and the observations. */
SF_API sf_field_input sf_field_input_of(const sf_job *job, const sf_observation *observations,
                                        size_t count);

/* What the whole field rests on. */
typedef struct sf_field_summary {
    const char *model;  /* name of the model; static */
    size_t readings;    /* observations in the fit */
    size_t pixels;      /* of a thermogram, 0 for none */
    size_t pixel_cells; /* cells they fall in; of the other models: those in the fit */
    sf_estimate
        pixel_offset_k;     /* what all pixels read too high at no rise, held against readings */
    sf_estimate pixel_gain; /* the same as a share of what they read */
    size_t cells;           /* cells inside the outline */
    double cell_mm;
    sf_estimate length_mm;    /* spreading length L = sqrt(k t / h); NAN for the others */
    double prior_length_mm;   /* what the construction alone says; NAN for the others */
    sf_estimate loss_w_m2k;   /* h, both faces together; NAN for the others */
    sf_estimate background_k; /* uniform rise; NAN for the others */
    double unlisted_sd_k;     /* size of unlisted heat (white part), as rise; NAN for the others */
    sf_estimate can_share;    /* rise of a can over that of the board below; NAN for the others */
    sf_estimate can_air_k;  /* rise that the warm air around cans adds to that, at most; NAN for the
                               others */
    double can_air_at_k;    /* rise Q of the board below where it adds so much; where that rises by
                               u, 2 sqrt(u/Q) - u/Q times as much. NAN for the others */
    double off_share;       /* sd of what the whole model is off by, as a share of the rise; NAN
                               for the others */
    double off_mm;          /* over what length that stays alike; NAN for the others */
    double noise_factor;    /* fitted factor on the readings' own uncertainty */
    double left_out_rmse_k; /* root mean square of read minus left-out prediction, over single
                               readings; over cells of the thermogram where there are none */
    double log_evidence;    /* NAN for the others */
} sf_field_summary;

/* The work of models that know nothing about heat grows with the cube of their readings: of more
 * than this they take this many that are well spread, and predict the others. */
#define SF_REFERENCE_READINGS_MOST 300

/* Fits a field. Needs an observation in the fit or a pixel for "heat-balance"; 4
 * observations that do not lie on a line, or pixels, for "thin-plate"; 4 observations or more at
 * two places, or pixels, for "kriging". Readings up to 2 mm off the
 * board count at the nearest board. On SF_OK *field is new and the caller frees it with
 * sf_field_free; warnings (a contradiction, an outlying reading) may have been added to
 * `diagnostics`. On error *field is NULL. Errors: SF_ERROR_ARGUMENT (options), SF_ERROR_DATA (no
 * reading, no board left inside the outline, a rise above 1,000 K) and SF_ERROR_NUMERIC (no finite
 * answer), both reported in diagnostics, SF_ERROR_MEMORY. GSL's error handler must be off
 * (gsl_set_error_handler_off), as the program does at its start. */
SF_API sf_status sf_field_fit(const sf_field_input *input, const sf_field_options *options,
                              sf_field **field, sf_diagnostics *diagnostics);

/* The same fit for its left-out error alone, left_out_rmse_k of the summary, in kelvin: what a
 * reference model is fitted for, at a fraction of the cost for all but "heat-balance". Errors as
 * sf_field_fit; *left_out_rmse_k is then NAN. */
SF_API sf_status sf_field_leave_one_out(const sf_field_input *input,
                                        const sf_field_options *options, double *left_out_rmse_k,
                                        sf_diagnostics *diagnostics);

/* The same fit of "heat-balance" for its log_evidence alone, at half the cost. Errors as
 * sf_field_fit, SF_ERROR_ARGUMENT for another model too; *log_evidence is then NAN. */
SF_API sf_status sf_field_log_evidence(const sf_field_input *input, const sf_field_options *options,
                                       double *log_evidence, sf_diagnostics *diagnostics);

#define SF_JOINT_PLACES_MAX 4000

/* The rise over air at several places taken together, as one normal distribution: how far a
 * reading at one of them would determine the others. */
typedef struct sf_joint_rise {
    size_t count;
    double *rise_k;         /* per place: mean */
    double *covariance_k2;  /* count x count, symmetric, positive semidefinite to rounding */
    double *slope_k_mm;     /* per place: how steep the mean is; a reading misplaced by d is off by
                               slope times d */
    double *common_k;       /* count rows of SF_COMMON_COUNT: covariance of the rise with each error
                               that readings have together, in its standard deviations */
    double *common_between; /* SF_COMMON_COUNT squared: covariance of those errors, the unit matrix
                               where nothing was read */
} sf_joint_rise;

/* Fits a field as sf_field_fit does and gives the rise at count places (0 to SF_JOINT_PLACES_MAX,
 * finite; off the board the nearest board), of the board or of cans, jointly. The covariance is
 * that of the error of the estimate, that of sf_field_at without its floor: C(x,y) - C(x,r)W(y) -
 * W(x)'C(r,y) + W(x)'C(r,r)W(y), r the readings and W the weights of the estimate, and how the
 * estimates at several spreading lengths differ. A further reading of standard uncertainty u at
 * place c takes cov(x,c)cov(c,y)/(var(c) + u^2) from it. It also works without a reading: then
 * construction, listed sources and their watts, and priors give what to expect; a source of unknown
 * power makes about 15 K under itself (a judgement). On SF_OK *field and *joint are new, freed with
 * sf_field_free and sf_joint_rise_free; on error both are NULL. Errors: those of sf_field_fit but
 * for a missing reading; SF_ERROR_ARGUMENT also for a model other than "heat-balance" and for
 * places. */
SF_API sf_status sf_field_fit_joint(const sf_field_input *input, const sf_field_options *options,
                                    const sf_place *places, size_t count, sf_field **field,
                                    sf_joint_rise **joint, sf_diagnostics *diagnostics);
SF_API void sf_joint_rise_free(sf_joint_rise *joint);

/* Rise over air and its standard deviation at a place, kelvin, by bicubic spline over the cells,
 * held between the values of the four cells about it widened by a tenth. Off the board: the
 * nearest board. SF_ERROR_ARGUMENT where a coordinate is not finite. */
SF_API sf_status sf_field_at(const sf_field *field, double x_mm, double y_mm, sf_estimate *rise_k);

/* The pieces of the board as the grid sees them: heat runs within each, and none between two, as
 * where a slot cuts the board in half. They count from 0 to piece_count - 1; a place off the board
 * (finite) belongs to the nearest board. */
SF_API size_t sf_field_piece(const sf_field *field, double x_mm, double y_mm);
SF_API size_t sf_field_piece_count(const sf_field *field);

/* How the errors that readings have together reach a place, for comparing two fields
 * that were read with the same instrument. The estimate there is a sum W_i z_i of the
 * readings, and one standard deviation of a common error makes c_i of each. */
typedef struct sf_reading_share {
    double independent_k2; /* sum of the squares below: part of the square of sf_field_at's
                      sd */
    double
        common_shift_k[SF_COMMON_COUNT]; /* sum of W_i c_i: how far the place is off by one standard
                                    deviation of each; 0 for the air, another at each survey */
} sf_reading_share;

/* The same at a place; off the board at the nearest board. All 0 where the model cannot say:
 * "thin-plate", and above 160 readings or with a thermogram. */
SF_API sf_reading_share sf_field_reading_share(const sf_field *field, double x_mm, double y_mm);

/* Loss of a board to air of a kind, W/m2K, both faces together, radiation included, at 15 K of
 * rise: handbooks, from memory; 15 still, 12 enclosed, 45 with a fan. */
SF_API double sf_air_loss_w_m2k(sf_air air);

/* Share of the rise at a place, 0 to 1, that would stay if a fan blew over the board that was read
 * in the board's own air. Even heat falls as the loss grows, h/h_fan. Under a source it falls less,
 * since the fan also shortens the spreading length, L_fan = L sqrt(h/h_fan), and heat then stays
 * closer to its source: each source counts as a disc of its area on an endless plate, with x = a/L,
 * rise within 1 - x K1(x) I0(r/L), beyond x I1(x) K0(r/L), per even heat of the same density
 * (u - L^2 laplace u = s; Bessel's equation). What the sources do not explain counts as even heat.
 * Edges and slots are left out. Both losses are taken from handbooks: share->sd is what a
 * log-normal uncertainty of 0.3 of each makes of the share, 0 under a fan already. board: the one
 * fitted. SF_ERROR_ARGUMENT for a model without a spreading length or a place that is not finite,
 * SF_ERROR_NUMERIC. */
SF_API sf_status sf_field_fan_share(const sf_field *field, const sf_board *board, double x_mm,
                                    double y_mm, sf_estimate *share);

/* Rise over air of a can of the input, its own heat not included but where a reading was taken on
 * it (that holds it), and its standard deviation. A can takes its heat from the board: its rise is
 * a share g of the board's, 0.82 +/- 0.10 from board to board and 8 % from can to can, and for the
 * air that the board warms 0.07 +/- 0.08 of the rise that the cool quarter of the readings ends at,
 * unless readings on cans show otherwise; from simulated boards, no constants of nature. For models
 * other than "heat-balance", and of a field without cans, 0.82 times the board's. can below
 * can_count. */
SF_API sf_estimate sf_field_can(const sf_field *field, size_t can);

/* What belongs to the field, valid until it is freed. Cell values outside the outline are NAN. */
SF_API sf_grid sf_field_grid(const sf_field *field);
SF_API const double *sf_field_rise_k(const sf_field *field);    /* per cell */
SF_API const double *sf_field_rise_sd_k(const sf_field *field); /* per cell */
SF_API sf_field_summary sf_field_summarize(const sf_field *field);
SF_API const sf_source_fit *sf_field_sources(const sf_field *field, size_t *count);
SF_API const sf_reading_fit *sf_field_readings(const sf_field *field, size_t *count);

/* Whether an observation on the body of a source is colder than the board below it, by what the
 * field gives; no real source is. */
SF_API bool sf_body_misfits(const sf_field *field, const sf_observation *seen);

/* Log evidence that each slip of the input gains over the observations as they are; -INFINITY for
 * those that cannot be meant, and for all of them by models that know nothing about heat, with
 * pixels, and with more than 160 readings. Owned by the field. */
SF_API const double *sf_field_slip_gains(const sf_field *field, size_t *count);

/* Frees the field and all it owns; NULL is fine. */
SF_API void sf_field_free(sf_field *field);

/* What a field model is called on the command line, and one line on what it does. */
typedef struct sf_field_model_name {
    const char *name;
    const char *description;
} sf_field_model_name;

/* Every model, the default one first; the array ends with NULL. */
SF_API const sf_field_model_name *const *sf_field_models(void);

SF_END_C

#endif
