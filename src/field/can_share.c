/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What readings on cans add to the covariance of readings. */
#include "field/can_share.h"

#include <math.h>

double can_share_load_k(const fit_data *data, size_t reading)
{
    return data->on_can[reading] ? CAN_SHARE_SD * data->at_k[reading] : 0;
}

double can_scatter_k2(double rise_k)
{
    double sd_k = CAN_SCATTER_SD * CAN_SHARE * rise_k;
    return sd_k * sd_k;
}

double can_between_k2(const fit_data *data, size_t reading, size_t other)
{
    bool same =
        data->on_can[reading] &&
        (reading == other || (data->on_can[other] && data->can[reading] == data->can[other] &&
                              data->can[reading] != SF_NO_PART));
    return same ? can_scatter_k2(data->at_k[reading]) + data->independent_k2[reading] : 0;
}

sf_estimate can_share_told(can_share told)
{
    return (sf_estimate){CAN_SHARE + CAN_SHARE_SD * told.mean, CAN_SHARE_SD * sqrt(told.variance)};
}

sf_estimate can_unread(double board_k, double variance_k2, can_share told, double covariance_k)
{
    double load_k = CAN_SHARE_SD * board_k;
    double sum_k2 = CAN_SHARE * CAN_SHARE * variance_k2 + load_k * load_k * told.variance +
                    2 * CAN_SHARE * load_k * covariance_k + can_scatter_k2(board_k);
    return (sf_estimate){CAN_SHARE * board_k + load_k * told.mean, sqrt(fmax(sum_k2, 0))};
}

sf_estimate can_read(double read_k, double error_k2, double off_k, double told_k2)
{
    return (sf_estimate){read_k - off_k, sqrt(fmax(error_k2 - told_k2, 0))};
}
