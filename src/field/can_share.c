/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What readings on cans add to the covariance of readings. */
#include "field/can_share.h"

#include <math.h>

static double air_shape_k(double board_k, double cool_k)
{
    double rise_k = fmax(board_k, 0);
    return cool_k > 0 ? 2 * sqrt(rise_k * cool_k) - rise_k : 0;
}

double can_air_k(double board_k, double cool_k)
{
    return CAN_AIR * air_shape_k(board_k, cool_k);
}

double can_reading_air_k(const fit_data *data, size_t reading)
{
    return data->on_can[reading] ? can_air_k(data->at_k[reading], data->cool_k) : 0;
}

double can_load_k(size_t shared, double board_k, double cool_k)
{
    return shared == CAN_AIR_TOLD ? CAN_AIR_SD * air_shape_k(board_k, cool_k)
                                  : CAN_SHARE_SD * board_k;
}

double can_reading_load_k(const fit_data *data, size_t shared, size_t reading)
{
    return data->on_can[reading] ? can_load_k(shared, data->at_k[reading], data->cool_k) : 0;
}

double cans_between_k2(const fit_data *data, size_t reading, size_t other)
{
    double sum_k2 = 0;
    for (size_t k = 0; k < CANS_SHARED; k++)
        sum_k2 += can_reading_load_k(data, k, reading) * can_reading_load_k(data, k, other);
    return sum_k2;
}

double can_scatter_k2(double rise_k)
{
    double sd_k = CAN_SCATTER_SD * CAN_SHARE * rise_k;
    return sd_k * sd_k;
}

/* One standard deviation of what a reading has from its can alone. */
static double own_sd_k(const fit_data *data, size_t reading)
{
    return sqrt(can_scatter_k2(data->at_k[reading]) + data->independent_k2[reading]);
}

bool on_same_can(const fit_data *data, size_t reading, size_t other)
{
    bool same = reading == other ||
                (data->can[reading] == data->can[other] && data->can[reading] != SF_NO_PART);
    return same && data->on_can[reading] && data->on_can[other];
}

double can_between_k2(const fit_data *data, size_t reading, size_t other)
{
    return on_same_can(data, reading, other) ? own_sd_k(data, reading) * own_sd_k(data, other) : 0;
}

cans_told cans_untold(void)
{
    cans_told told = {0};
    for (size_t k = 0; k < CANS_SHARED; k++)
        told.between[k][k] = 1;
    return told;
}

sf_estimate can_share_told(const cans_told *told)
{
    return (sf_estimate){CAN_SHARE + CAN_SHARE_SD * told->mean[CAN_SHARE_TOLD],
                         CAN_SHARE_SD *
                             sqrt(fmax(told->between[CAN_SHARE_TOLD][CAN_SHARE_TOLD], 0))};
}

sf_estimate can_air_told(const cans_told *told, double cool_k)
{
    double load_k = can_load_k(CAN_AIR_TOLD, cool_k, cool_k);
    return (sf_estimate){can_air_k(cool_k, cool_k) + load_k * told->mean[CAN_AIR_TOLD],
                         load_k * sqrt(fmax(told->between[CAN_AIR_TOLD][CAN_AIR_TOLD], 0))};
}

sf_estimate can_unread(sf_estimate board_k, double cool_k, const cans_told *told,
                       const double with_k[CANS_SHARED])
{
    double value_k = CAN_SHARE * board_k.value + can_air_k(board_k.value, cool_k);
    double sum_k2 = pow(CAN_SHARE * board_k.sd, 2) + can_scatter_k2(board_k.value);
    for (size_t k = 0; k < CANS_SHARED; k++) {
        double load_k = can_load_k(k, board_k.value, cool_k);
        value_k += load_k * told->mean[k];
        sum_k2 += 2 * CAN_SHARE * load_k * with_k[k];
        for (size_t j = 0; j < CANS_SHARED; j++)
            sum_k2 += load_k * told->between[k][j] * can_load_k(j, board_k.value, cool_k);
    }
    return (sf_estimate){value_k, sqrt(fmax(sum_k2, 0))};
}

sf_estimate can_read(double read_k, double error_k2, double off_k, double told_k2)
{
    return (sf_estimate){read_k - off_k, sqrt(fmax(error_k2 - told_k2, 0))};
}
