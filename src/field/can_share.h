/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cans stand on leads: they take their heat from the board below and lose some to the air on their
 * own, so that a can's rise is a share g of the board's. g is one unknown a board, and each can has
 * some of its own; a reading on a can also shows the heat the can makes itself. All of it is linear
 * about the rise expected under the can. */
#ifndef SPOTFIELD_FIELD_CAN_SHARE_H
#define SPOTFIELD_FIELD_CAN_SHARE_H

#include "field/fit_data.h"

/* From boards that were simulated with cans, leads and air, no constants of nature: the share lies
 * between 0.73 and 0.90 by leads and size, and by what else warms the air. */
#define CAN_SHARE 0.84
#define CAN_SHARE_SD 0.10   /* from board to board */
#define CAN_SCATTER_SD 0.08 /* of a can's rise, from can to can */

/* What a unit of the board's share, in its standard deviation, adds to a reading, K. */
double can_share_load_k(const fit_data *data, size_t reading);

/* Covariance of what two readings have from their can alone: its scatter and its own heat; 0 where
 * they were not taken on the same one. */
double can_between_k2(const fit_data *data, size_t reading, size_t other);

/* Variance of a can's own scatter where the board below it rises by rise_k. */
double can_scatter_k2(double rise_k);

/* What readings tell of the board's share, in its standard deviations. */
typedef struct can_share {
    double mean, variance;
} can_share;

/* Before any reading on a can. */
#define CAN_SHARE_PRIOR ((can_share){0, 1})

/* The share itself. */
sf_estimate can_share_told(can_share told);

/* A can on which nothing was read: the board below it rises by board_k of variance_k2, which varies
 * with the share by covariance_k. */
sf_estimate can_unread(double board_k, double variance_k2, can_share told, double covariance_k);

/* A can that a reading of read_k was taken on: the reading less its error, whose variance is
 * error_k2 and whose covariance with what all readings tell is such that `off_k` of it is expected
 * and `told_k2` of its variance is told. */
sf_estimate can_read(double read_k, double error_k2, double off_k, double told_k2);

#endif
