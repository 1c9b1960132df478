/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cans stand on leads: they take their heat from the board below and lose some to the air about
 * them, which the board has warmed. So a can's rise over that air, a, is a share g of the board's
 * over it, and over the air of the room g times the board's and (1 - g) a. Hot cans lose more than
 * in proportion, cool ones stand in air that others have warmed: the second term is concave in the
 * rise. Both are one unknown a board, and each can has some of its own; a reading on a can also
 * shows the heat the can makes itself. All of it is linear about the rise expected under the can.
 */
#ifndef SPOTFIELD_FIELD_CAN_SHARE_H
#define SPOTFIELD_FIELD_CAN_SHARE_H

#include "field/fit_data.h"

/* From boards that were simulated with cans, leads and air, no constants of nature: g between 0.7
 * and 0.9 by leads and size, and what the air adds as a share of 2 sqrt(u q) - u, where u is the
 * rise below and q that which the cool quarter of the readings ends at. Were it left out, many
 * readings on cans would lay it on an offset of the thermometer some six times as large. */
#define CAN_SHARE 0.82
#define CAN_SHARE_SD 0.10   /* from board to board */
#define CAN_SCATTER_SD 0.08 /* of a can's rise, from can to can */
#define CAN_AIR 0.07
#define CAN_AIR_SD 0.08

/* What all cans of a board have together: their share, and what the warm air adds. */
enum { CAN_SHARE_TOLD, CAN_AIR_TOLD, CANS_SHARED };

/* What the warm air is expected to add to a can where the board rises by board_k, and cool_k is
 * that of fit_data; 0 where that is 0. */
double can_air_k(double board_k, double cool_k);

/* The same of a reading; 0 where it was not taken on a can. */
double can_reading_air_k(const fit_data *data, size_t reading);

/* What a unit of one of these, in its standard deviation, adds to a can as above. */
double can_load_k(size_t shared, double board_k, double cool_k);

/* The same of a reading; 0 where it was not taken on a can. */
double can_reading_load_k(const fit_data *data, size_t shared, size_t reading);

/* Covariance of what two readings have from what all cans of the board have together. */
double cans_between_k2(const fit_data *data, size_t reading, size_t other);

/* Whether two readings were taken on one can; one that was taken on a can is on the same as itself.
 */
bool on_same_can(const fit_data *data, size_t reading, size_t other);

/* Covariance of what two readings have from their can alone: its scatter and its own heat; 0 where
 * they were not taken on the same one. */
double can_between_k2(const fit_data *data, size_t reading, size_t other);

/* Variance of a can's own scatter where the board below it rises by rise_k. */
double can_scatter_k2(double rise_k);

/* What readings tell of these, in their standard deviations. */
typedef struct cans_told {
    double mean[CANS_SHARED], between[CANS_SHARED][CANS_SHARED];
} cans_told;

/* Before any reading on a can. */
cans_told cans_untold(void);

/* The share itself. */
sf_estimate can_share_told(const cans_told *told);
/* What the warm air adds to it where the board rises by cool_k, K. */
sf_estimate can_air_told(const cans_told *told, double cool_k);

/* A can on which nothing was read: the board below it rises by board_k, which varies with what is
 * told by with_k; cool_k 0 where no air is known to be warm. */
sf_estimate can_unread(sf_estimate board_k, double cool_k, const cans_told *told,
                       const double with_k[CANS_SHARED]);

/* A can that a reading of read_k was taken on: the reading less its error, whose variance is
 * error_k2 and whose covariance with what all readings tell is such that `off_k` of it is expected
 * and `told_k2` of its variance is told. */
sf_estimate can_read(double read_k, double error_k2, double off_k, double told_k2);

#endif
