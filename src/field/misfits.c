/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From where on what was read is held not to fit. */
#include <math.h>

#include "spotfield/field.h"

#define SCORE_WARM 3.0 /* standard deviations */
#define SCORE_COLD (-2.5)

bool sf_reading_misfits(const sf_reading_fit *fit)
{
    return fit->score > SCORE_WARM || fit->score < SCORE_COLD;
}

bool sf_body_misfits(const sf_field *field, const sf_observation *seen)
{
    sf_estimate board_k;
    return seen->spot == SF_SPOT_SOURCE &&
           sf_field_at(field, seen->x_mm, seen->y_mm, &board_k) == SF_OK &&
           (seen->rise_k - board_k.value) / hypot(seen->sd_k, board_k.sd) < SCORE_COLD;
}
