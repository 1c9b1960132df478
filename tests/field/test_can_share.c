/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cans against the board below them. Every value is computed from the formula: a can's rise is g
 * times the board's, g ~ N(0.84, 0.10^2) a board, 8 % of its own from can to can. */
#include <math.h>

#include <gsl/gsl_errno.h>

#include "field/can_share.h"
#include "field/scene.h"
#include "support/check.h"

enum { CANS = 3 };

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static const sf_point cans[CANS] = {{31, 40}, {72, 25}, {85, 62}};

/* A board read at 16 places, and on cans by rises that are `share` of the truth below. */
static sf_field *field_of(scene *job, const double *share, size_t read, double own_k)
{
    scene_plain(job);
    scene_scatter(job, 16, 0.4, 711);
    truth from = scene_truth(job, 1.25);
    scene_read(job, &from, 1, 712);
    for (size_t i = 0; i < read; i++) {
        scene_add_reading(job, cans[i].x_mm, cans[i].y_mm, 0.4);
        sf_observation *seen = &job->seen[job->reading_count - 1];
        seen->spot = SF_SPOT_PART;
        seen->part = i;
        seen->rise_k = share[i] * truth_at(&from, cans[i].x_mm, cans[i].y_mm) + own_k;
        seen->own_sd_k = 0.5;
    }
    job->cans = cans;
    job->can_count = CANS;
    truth_clear(&from);
    return scene_field(job);
}

static void without_a_reading_a_can_is_a_share_of_the_board(void **state)
{
    (void)state;
    scene job;
    sf_field *field = field_of(&job, NULL, 0, 0);
    for (size_t i = 0; i < CANS; i++) {
        sf_estimate board, can = sf_field_can(field, i);
        assert_int_equal(sf_field_at(field, cans[i].x_mm, cans[i].y_mm, &board), SF_OK);
        /* between nodes the field is a spline here and a chord there: 1 % */
        assert_close(can.value, 0.84 * board.value, 0.01, 0);
        double sd_k = hypot(0.84 * board.sd, hypot(0.10 * board.value, 0.08 * 0.84 * board.value));
        assert_close(can.sd, sd_k, 0.02, 0);
    }
    assert_close(sf_field_summarize(field).can_share.value, 0.84, 1e-12, 0);
    assert_close(sf_field_summarize(field).can_share.sd, 0.10, 1e-12, 0);
    sf_field_free(field);
}

static void readings_on_cans_tell_the_share(void **state)
{
    (void)state;
    const double low[CANS] = {0.70, 0.70, 0.70};
    scene job;
    sf_field *field = field_of(&job, low, 2, 0);
    sf_estimate share = sf_field_summarize(field).can_share;
    /* two cans, each 8 % of its own: N(0.70, (0.067 / sqrt 2)^2) on N(0.84, 0.10^2) has the mean
     * 0.726; the board below is known to a kelvin or two of some twenty */
    assert_close(share.value, 0.726, 0, 0.03);
    assert_true(share.sd < 0.08);
    /* and so the third, which was not read */
    sf_estimate board, can = sf_field_can(field, 2);
    assert_int_equal(sf_field_at(field, cans[2].x_mm, cans[2].y_mm, &board), SF_OK);
    assert_close(can.value, share.value * board.value, 0.02, 0);
    sf_field_free(field);
}

static void a_can_that_was_read_is_what_was_read(void **state)
{
    (void)state;
    const double odd[CANS] = {0.60, 0.84, 0.84};
    scene job;
    sf_field *field = field_of(&job, odd, 1, 0);
    sf_estimate can = sf_field_can(field, 0);
    double read_k = job.seen[job.reading_count - 1].rise_k;
    assert_close(can.value, read_k, 0, 3 * 0.4);
    assert_true(can.sd < 0.6);
    sf_field_free(field);
}

/* A can that heats itself by 25 K: it stays hot, the board about it does not become so. */
static void a_can_s_own_heat_warms_no_neighbour(void **state)
{
    (void)state;
    const double usual[CANS] = {0.84, 0.84, 0.84};
    scene plain, hot;
    sf_field *without = field_of(&plain, usual, 1, 0), *with = field_of(&hot, usual, 1, 25);
    sf_estimate cool, warm;
    assert_int_equal(sf_field_at(without, cans[0].x_mm + 6, cans[0].y_mm, &cool), SF_OK);
    assert_int_equal(sf_field_at(with, cans[0].x_mm + 6, cans[0].y_mm, &warm), SF_OK);
    assert_close(warm.value, cool.value, 0, 2.5); /* a tenth of the can's own */
    assert_true(sf_field_can(with, 0).value > sf_field_can(without, 0).value + 20);
    sf_field_free(without);
    sf_field_free(with);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_reading_a_can_is_a_share_of_the_board),
        cmocka_unit_test(readings_on_cans_tell_the_share),
        cmocka_unit_test(a_can_that_was_read_is_what_was_read),
        cmocka_unit_test(a_can_s_own_heat_warms_no_neighbour),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
