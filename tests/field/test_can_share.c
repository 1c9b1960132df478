/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cans against the board below them. Every value is computed from the formula: a can's rise is g
 * times the board's and e, g ~ N(0.82, 0.10^2) and e ~ N(0.07, 0.08^2) of the cool quarter a board,
 * 8 % of its own from can to can. */
#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

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
    double sorted[16], cool_k;
    for (size_t i = 0; i < 16; i++)
        sorted[i] = job.seen[i].rise_k;
    gsl_sort(sorted, 1, 16);
    cool_k = gsl_stats_quantile_from_sorted_data(sorted, 1, 16, 0.25);
    for (size_t i = 0; i < CANS; i++) {
        sf_estimate board, can = sf_field_can(field, i);
        assert_int_equal(sf_field_at(field, cans[i].x_mm, cans[i].y_mm, &board), SF_OK);
        /* between nodes the field is a spline here and a chord there: 1 % */
        double air_k = 2 * sqrt(board.value * cool_k) - board.value;
        assert_close(can.value, 0.82 * board.value + 0.07 * air_k, 0.01, 0);
        double sd_k = hypot(hypot(0.82 * board.sd, 0.08 * air_k),
                            hypot(0.10 * board.value, 0.08 * 0.82 * board.value));
        assert_close(can.sd, sd_k, 0.02, 0);
    }
    assert_close(sf_field_summarize(field).can_share.value, 0.82, 1e-12, 0);
    assert_close(sf_field_summarize(field).can_share.sd, 0.10, 1e-12, 0);
    assert_close(sf_field_summarize(field).can_air_k.value, 0.07 * cool_k, 1e-9, 0);
    assert_close(sf_field_summarize(field).can_air_k.sd, 0.08 * cool_k, 1e-9, 0);
    assert_close(sf_field_summarize(field).can_air_at_k, cool_k, 1e-12, 0);
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
    const double odd[CANS] = {0.60, 0.82, 0.82};
    scene job;
    sf_field *field = field_of(&job, odd, 1, 0);
    sf_estimate can = sf_field_can(field, 0);
    double read_k = job.seen[job.reading_count - 1].rise_k;
    assert_close(can.value, read_k, 0, 3 * 0.4);
    assert_true(can.sd < 0.6);
    sf_field_free(field);
}

/* All readings on cans, and two on one can that differ: there is a field, and the can lies between.
 */
static void readings_on_one_can_may_differ(void **state)
{
    (void)state;
    static const sf_point places[] = {{25, 57}, {40, 14}, {10, 20}, {40, 14}, {88, 50}};
    static const size_t parts[] = {1, 2, 0, 2, 3};
    static const sf_point read[] = {{10, 20}, {25, 57}, {40, 14}, {88, 50}};
    for (int apart = 0; apart <= 12; apart++) {
        const double rises_k[] = {25.9, 7.4, 4, 7.4 + apart, 5.8};
        scene job;
        scene_bare(&job, 100, 70);
        for (size_t i = 0; i < 5; i++) {
            scene_add_reading(&job, places[i].x_mm, places[i].y_mm, 1.7);
            sf_observation *seen = &job.seen[i];
            seen->spot = SF_SPOT_PART;
            seen->part = parts[i];
            seen->rise_k = rises_k[i];
            seen->own_sd_k = 0.5;
        }
        job.cans = read;
        job.can_count = 4;
        sf_field *field = scene_field(&job);
        sf_estimate can = sf_field_can(field, 2);
        assert_true(can.value > 7.4 - 2 * can.sd && can.value < 7.4 + apart + 2 * can.sd);
        sf_field_free(field);
    }
}

/* Whatever each shows: what two readings of one can share is no more than each has
 * (Cauchy-Schwarz). */
static void two_readings_of_one_can_share_no_more_than_each_has(void **state)
{
    (void)state;
    bool on_can[] = {true, true};
    size_t can[] = {3, 3};
    double at_k[] = {8, 31}, independent_k2[] = {2.25, 0.49};
    const fit_data data = {
        .on_can = on_can, .can = can, .at_k = at_k, .independent_k2 = independent_k2};
    double shared_k2 = can_between_k2(&data, 1, 0);
    assert_close(shared_k2, can_between_k2(&data, 0, 1), 1e-15, 0);
    assert_close(shared_k2 * shared_k2, can_between_k2(&data, 0, 0) * can_between_k2(&data, 1, 1),
                 1e-14, 0);
}

/* A can that heats itself by 25 K: it stays hot, the board about it does not become so. */
static void a_can_s_own_heat_warms_no_neighbour(void **state)
{
    (void)state;
    const double usual[CANS] = {0.84, 0.82, 0.82};
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

/* Mean over five places of a board whose cans, a quarter of the readings, have 0.82 of its rise and
 * are warmer_k warmer. */
static double told_where_cans_are_warmer(size_t count, double warmer_k)
{
    static const sf_point places[] = {{15, 15}, {60, 45}, {105, 75}, {15, 75}, {105, 15}};
    scene job;
    scene_plain(&job);
    job.background_k = 2;
    for (size_t j = 0; j < job.source_count; j++)
        job.strength_k_mm2[j] *= 0.3;
    scene_scatter(&job, count, 0.4, 713);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 714);
    for (size_t i = 0; i < count; i++) {
        sf_observation *seen = &job.seen[i];
        seen->common_k[0] = 1.5;
        seen->sd_k = hypot(0.4, 1.5);
        if (i % 4 > 0)
            continue;
        seen->spot = SF_SPOT_PART;
        seen->part = SF_NO_PART;
        seen->rise_k += warmer_k - 0.18 * truth_at(&from, seen->x_mm, seen->y_mm);
    }
    sf_field *field = scene_field(&job);
    double sum_k = 0;
    for (size_t i = 0; i < 5; i++) {
        sf_estimate board;
        assert_int_equal(sf_field_at(field, places[i].x_mm, places[i].y_mm, &board), SF_OK);
        sum_k += board.value / 5;
    }
    sf_field_free(field);
    truth_clear(&from);
    return sum_k;
}

/* Cans that are warmer than their share, and beads that may all be off: whether by the covariance
 * or by the precision, that is no reason to tell the board as much colder than it was read. */
static void warm_air_about_cans_is_no_offset_of_the_beads(void **state)
{
    (void)state;
    static const size_t counts[] = {110, 190};
    for (size_t turn = 0; turn < 2; turn++) {
        double colder_k = told_where_cans_are_warmer(counts[turn], 0) -
                          told_where_cans_are_warmer(counts[turn], 0.5);
        assert_close(colder_k, 0, 0, 0.5);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_reading_a_can_is_a_share_of_the_board),
        cmocka_unit_test(readings_on_cans_tell_the_share),
        cmocka_unit_test(a_can_that_was_read_is_what_was_read),
        cmocka_unit_test(readings_on_one_can_may_differ),
        cmocka_unit_test(two_readings_of_one_can_share_no_more_than_each_has),
        cmocka_unit_test(a_can_s_own_heat_warms_no_neighbour),
        cmocka_unit_test(warm_air_about_cans_is_no_offset_of_the_beads),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
