/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spline_time: reads lines `x,y,value` from standard input, fits a thin-plate smoothing spline by
 * generalized cross-validation and prints `seconds S` (processor time, the least of several runs),
 * `freedom F`, `lambda L`, then the value of the spline at each point. For splines.py. */
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "field/thin_plate.h"

enum { RUNS = 5 };

static double processor_s(void)
{
    struct timespec at;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
    return (double)at.tv_sec + 1e-9 * (double)at.tv_nsec;
}

int main(void)
{
    static sf_point points[THIN_PLATE_POINTS_MOST];
    static double values[THIN_PLATE_POINTS_MOST];
    size_t count = 0;
    gsl_set_error_handler_off();
    while (count < THIN_PLATE_POINTS_MOST &&
           scanf("%lf,%lf,%lf", &points[count].x_mm, &points[count].y_mm, &values[count]) == 3)
        count++;
    double least_s = INFINITY;
    thin_plate fit = {0};
    for (int run = 0; run < RUNS; run++) {
        thin_plate_clear(&fit);
        double start_s = processor_s();
        if (thin_plate_fit(points, values, count, NAN, &fit) != SF_OK) {
            fputs("spline_time: no fit\n", stderr);
            thin_plate_clear(&fit);
            return EXIT_FAILURE;
        }
        least_s = fmin(least_s, processor_s() - start_s);
    }
    printf("seconds %.6g\nfreedom %.9g\nlambda %.9g\n", least_s, fit.freedom, fit.lambda);
    for (size_t i = 0; i < count; i++)
        printf("%.9g\n", thin_plate_at(&fit, points[i].x_mm, points[i].y_mm));
    thin_plate_clear(&fit);
    return EXIT_SUCCESS;
}
