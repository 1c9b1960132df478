/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Each mark against the others: left out of the fit, and scored. */

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "readings/marks.h"

/* Four marks always fit; of a great many each hardly bends the map. */
enum { CHECKED_FIRST = MARKS_LEAST + 1, CHECKED_LAST = 64 };

typedef struct others {
    sf_point *pixel, *board;
    double *residual_mm;
} others;

static void gather(const sf_point *from, size_t count, size_t without, sf_point *to)
{
    for (size_t i = 0; i < count; i++)
        if (i != without)
            *to++ = from[i];
}

/* The others alone: what they miss by, squared and summed, and how far from where they put it mark
 * i lies. NAN where they hold no map without it. */
static sf_status leave_out(const sf_point *pixel, const sf_point *board_mm, size_t count, size_t i,
                           others *rest, double *square_sum_mm2, double *left_out_mm)
{
    double homography[9], rms_mm;
    gather(pixel, count, i, rest->pixel);
    gather(board_mm, count, i, rest->board);
    *square_sum_mm2 = *left_out_mm = NAN;
    sf_status status =
        marks_fit(rest->pixel, rest->board, count - 1, homography, rest->residual_mm, &rms_mm);
    if (status != SF_OK)
        return status == SF_ERROR_MEMORY ? status : SF_OK;
    sf_point put = marks_apply(homography, pixel[i].x_mm, pixel[i].y_mm);
    *left_out_mm = hypot(put.x_mm - board_mm[i].x_mm, put.y_mm - board_mm[i].y_mm);
    *square_sum_mm2 = (double)(count - 1) * rms_mm * rms_mm;
    return SF_OK;
}

static double square_sum(const double *values, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += values[i] * values[i];
    return sum;
}

/* What a mark adds to the sum of squares is chi-square of 2 degrees, in squares of usual_mm. */
sf_status marks_check(const sf_point *pixel, const sf_point *board_mm, size_t count,
                      const double *residual_mm, double usual_mm, mark_slip *worst)
{
    *worst = (mark_slip){0};
    if (count < CHECKED_FIRST || count > CHECKED_LAST)
        return SF_OK;
    others rest = {array_new(count, sizeof *rest.pixel), array_new(count, sizeof *rest.board),
                   array_new(count, sizeof *rest.residual_mm)};
    sf_status status = rest.pixel && rest.board && rest.residual_mm ? SF_OK : SF_ERROR_MEMORY;
    double all_mm2 = square_sum(residual_mm, count), rest_mm2, apart_mm;
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        status = leave_out(pixel, board_mm, count, i, &rest, &rest_mm2, &apart_mm);
        double score = sqrt(fmax(all_mm2 - rest_mm2, 0)) / usual_mm;
        if (status == SF_OK && isfinite(apart_mm) && score > worst->score)
            *worst = (mark_slip){i, apart_mm, score};
    }
    free(rest.pixel);
    free(rest.board);
    free(rest.residual_mm);
    return status;
}
