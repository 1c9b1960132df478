/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Slips of the pen in one reading or two are told by the evidence they gain. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "field/scene.h"

#define READINGS 14
#define SLIPS_MOST (READINGS * (READINGS - 1) / 2 + READINGS)

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* Each two readings exchanged, and each ten times as high. */
static size_t list_slips(const scene *job, size_t readings, sf_slip *slips)
{
    size_t count = 0;
    for (size_t i = 0; i < readings; i++) {
        slips[count++] = (sf_slip){.observation = {i, i},
                                   .rise_k = {10 * job->seen[i].rise_k, 10 * job->seen[i].rise_k},
                                   .log_factor = log(10)};
        for (size_t k = 0; k < i; k++)
            slips[count++] = (sf_slip){.observation = {k, i},
                                       .rise_k = {job->seen[i].rise_k, job->seen[k].rise_k}};
    }
    return count;
}

static void weigh(const scene *job, const sf_slip *slips, size_t count, double *gains)
{
    sf_field_input input = {.board = &job->board,
                            .rings = job->rings,
                            .ring_count = job->ring_count,
                            .sources = job->sources,
                            .source_count = job->source_count,
                            .observations = job->seen,
                            .observation_count = job->reading_count,
                            .slips = slips,
                            .slip_count = count};
    sf_field *field;
    sf_diagnostics unheard = {0};
    size_t told;
    assert_int_equal(sf_field_fit(&input, &job->options, &field, &unheard), SF_OK);
    const double *of = sf_field_slip_gains(field, &told);
    assert_int_equal(told, count);
    for (size_t s = 0; s < count; s++)
        gains[s] = of[s];
    sf_field_free(field);
    sf_diagnostics_clear(&unheard);
}

static size_t best_of(const double *gains, size_t count)
{
    size_t best = 0;
    for (size_t s = 1; s < count; s++)
        if (gains[s] > gains[best])
            best = s;
    return best;
}

static void read_scene(scene *job, size_t readings)
{
    scene_plain(job);
    scene_scatter(job, readings, 0.5, 23);
    truth from = scene_truth(job, 1.25);
    scene_read(job, &from, 1, 8);
    truth_clear(&from);
}

static void sound_readings_gain_little_by_any_slip(void **state)
{
    (void)state;
    scene job;
    sf_slip slips[SLIPS_MOST];
    double gains[SLIPS_MOST];
    read_scene(&job, READINGS);
    size_t count = list_slips(&job, READINGS, slips), weighed = 0;
    weigh(&job, slips, count, gains);
    for (size_t s = 0; s < count; s++)
        weighed += isfinite(gains[s]);
    assert_true(weighed >= 8); /* the likeliest are, however little they gain */
    /* what chance makes of a hundred slips: ln 100 */
    assert_true(gains[best_of(gains, count)] < log(100));
}

static void an_exchange_gains_most_where_it_was_made(void **state)
{
    (void)state;
    scene job;
    sf_slip slips[SLIPS_MOST];
    double gains[SLIPS_MOST];
    read_scene(&job, READINGS);
    size_t cold = 0, warm = 0;
    for (size_t i = 1; i < READINGS; i++) {
        cold = job.seen[i].rise_k < job.seen[cold].rise_k ? i : cold;
        warm = job.seen[i].rise_k > job.seen[warm].rise_k ? i : warm;
    }
    double rise_k = job.seen[cold].rise_k;
    job.seen[cold].rise_k = job.seen[warm].rise_k;
    job.seen[warm].rise_k = rise_k;
    size_t count = list_slips(&job, READINGS, slips);
    weigh(&job, slips, count, gains);
    const sf_slip *best = &slips[best_of(gains, count)];
    assert_int_equal(best->observation[0], cold < warm ? cold : warm);
    assert_int_equal(best->observation[1], cold < warm ? warm : cold);
    assert_true(gains[best - slips] > log(100));
}

static void a_lost_digit_gains_most_where_it_was_lost(void **state)
{
    (void)state;
    scene job;
    sf_slip slips[SLIPS_MOST];
    double gains[SLIPS_MOST];
    read_scene(&job, READINGS);
    job.seen[5].rise_k /= 10;
    size_t count = list_slips(&job, READINGS, slips);
    weigh(&job, slips, count, gains);
    const sf_slip *best = &slips[best_of(gains, count)];
    assert_int_equal(best->observation[0], 5);
    assert_int_equal(best->observation[1], 5);
    assert_true(gains[best - slips] > log(100));
}

/* A reading that is not in the fit changes nothing of it. */
static void what_is_not_in_the_fit_is_no_slip_of_it(void **state)
{
    (void)state;
    scene job;
    read_scene(&job, READINGS);
    job.seen[3].in_fit = false;
    const double two_k = job.seen[2].rise_k;
    const sf_slip slips[] = {{{3, 3}, {41.3, 41.3}, 0}, {{2, 3}, {two_k + 3, two_k}, 0}};
    double gains[2];
    weigh(&job, slips, 2, gains);
    assert_true(gains[0] == -INFINITY);
    assert_true(isfinite(gains[1]));
}

static void other_models_and_many_readings_weigh_none(void **state)
{
    (void)state;
    scene job;
    double gains[1];
    const sf_slip slip = {{4, 4}, {30, 30}, 0};
    read_scene(&job, 170);
    weigh(&job, &slip, 1, gains);
    assert_true(gains[0] == -INFINITY);
    job.options.model = "kriging";
    weigh(&job, &slip, 1, gains);
    assert_true(gains[0] == -INFINITY);
}

/* --- what does not fit --- */

static void colder_needs_less_than_warmer_not_to_fit(void **state)
{
    (void)state;
    assert_true(sf_reading_misfits(&(sf_reading_fit){.score = -2.6}));
    assert_false(sf_reading_misfits(&(sf_reading_fit){.score = -2.4}));
    assert_false(sf_reading_misfits(&(sf_reading_fit){.score = 2.9}));
    assert_true(sf_reading_misfits(&(sf_reading_fit){.score = 3.1}));
}

static void a_body_colder_than_its_board_is_told(void **state)
{
    (void)state;
    scene job;
    read_scene(&job, READINGS);
    sf_field *field;
    sf_diagnostics said = {0};
    sf_observation *body = &job.seen[job.reading_count++];
    *body = plain_observation("t77", 31, 27, 71.3, 0.6); /* the middle of R1 */
    body->spot = SF_SPOT_SOURCE;
    body->in_fit = false;
    assert_int_equal(scene_fit(&job, &field, &said), SF_OK);
    assert_false(sf_body_misfits(field, body));
    assert_false(complained_of(&said, SF_WARNING, "reading t77"));
    sf_field_free(field);
    body->rise_k = 6.2;
    assert_int_equal(scene_fit(&job, &field, &said), SF_OK);
    assert_true(sf_body_misfits(field, body));
    assert_true(complained_of(&said, SF_WARNING,
                              "reading t77 was taken on the body of a source and is colder"));
    sf_field_free(field);
    sf_diagnostics_clear(&said);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sound_readings_gain_little_by_any_slip),
        cmocka_unit_test(an_exchange_gains_most_where_it_was_made),
        cmocka_unit_test(a_lost_digit_gains_most_where_it_was_lost),
        cmocka_unit_test(what_is_not_in_the_fit_is_no_slip_of_it),
        cmocka_unit_test(other_models_and_many_readings_weigh_none),
        cmocka_unit_test(colder_needs_less_than_warmer_not_to_fit),
        cmocka_unit_test(a_body_colder_than_its_board_is_told),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
