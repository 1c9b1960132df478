/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every allocation of a fit fails once: a clean error, no field, nothing leaked (seen by the
 * sanitizer). */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "field/scene.h"
#include "support/allocations.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

enum { PIXELS = 9 };

/* A small board on which a source, a contradiction and an outlier have something to be told. */
static void set_scene(scene *job, const char *model)
{
    scene_bare(job, 24, 18);
    job->options.cell_mm = 3;
    job->options.model = model;
    scene_add_source(job, 6, 5, 4, 3, 900);
    scene_add_source(job, 18, 13, 5, 5, 900);
    const double rows[][3] = {{5, 6, 31},  {12, 9, 22}, {19, 14, 9}, {17, 12, 8},
                              {21, 4, 19}, {3, 15, 20}, {12, 3, 23}, {12, 16, 60}};
    for (size_t i = 0; i < 8; i++) {
        scene_add_reading(job, rows[i][0], rows[i][1], 0.3);
        job->seen[i].rise_k = rows[i][2];
    }
}

/* Lets the n-th allocation fail for every n until none is left that could; returns how many. */
static long fail_each(const scene *job)
{
    long failed = 0;
    for (;; failed++) {
        sf_field *field = NULL;
        sf_diagnostics heard = {0};
        allocations_left = failed;
        sf_status status = scene_fit(job, &field, &heard);
        bool reached = allocations_left < 0;
        allocations_left = -1;
        sf_diagnostics_clear(&heard);
        if (!reached) {
            assert_int_equal(status, SF_OK);
            sf_field_free(field);
            return failed;
        }
        assert_int_equal(status, SF_ERROR_MEMORY);
        assert_null(field);
    }
}

static void heat_balance_survives_every_failed_allocation(void **state)
{
    (void)state;
    scene job;
    set_scene(&job, "heat-balance");
    assert_true(fail_each(&job) > 100);
}

static void thin_plate_survives_every_failed_allocation(void **state)
{
    (void)state;
    scene job;
    set_scene(&job, "thin-plate");
    assert_true(fail_each(&job) > 20);
}

static void kriging_survives_every_failed_allocation(void **state)
{
    (void)state;
    scene job;
    set_scene(&job, "kriging");
    assert_true(fail_each(&job) > 20);
}

/* A thermogram of a board on which something warm is not listed. Few pixels take the same way as
 * many, and a fit's time grows with their cube. */
static void set_seen_scene(scene *job, sf_pixels *pixels, double (*x)[PIXELS], double (*y)[PIXELS],
                           double (*rises)[PIXELS])
{
    scene_bare(job, 40, 30);
    job->options.cell_mm = 5;
    scene_add_source(job, 8, 9, 6, 6, 900);
    scene_add_reading(job, 20, 15, 0.3);
    job->seen[0].rise_k = 20;
    for (size_t i = 0; i < PIXELS; i++) {
        (*x)[i] = 7.1 + 13.3 * (double)(i % 3);
        (*y)[i] = 5.2 + 10 * (double)(i / 3);
        double away_mm = hypot((*x)[i] - 34, (*y)[i] - 16);
        (*rises)[i] = 15 + 0.2 * (double)(i * 7 % 5) + 35 * exp(-away_mm / 8);
    }
    *pixels = (sf_pixels){.count = PIXELS,
                          .x_mm = *x,
                          .y_mm = *y,
                          .rise_k = *rises,
                          .pixel_sd_k = 0.1,
                          .offset_sd_k = 1,
                          .gain_sd = 0.02};
    job->pixels = pixels;
}

/* By way of the precision, with a source that is sought. */
static void pixels_survive_every_failed_allocation(void **state)
{
    (void)state;
    scene job;
    sf_pixels pixels;
    double x[PIXELS], y[PIXELS], rises[PIXELS];
    set_seen_scene(&job, &pixels, &x, &y, &rises);
    assert_true(fail_each(&job) > 200);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heat_balance_survives_every_failed_allocation),
        cmocka_unit_test(pixels_survive_every_failed_allocation),
        cmocka_unit_test(thin_plate_survives_every_failed_allocation),
        cmocka_unit_test(kriging_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
