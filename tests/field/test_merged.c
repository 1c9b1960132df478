/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Many readings in one cell are one reading of the fit, and nothing is lost by it. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

#include "field/crowded.h"
#include "field/fit_data.h"
#include "field/scene.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static void gather(const crowded *of, grid **laid, fit_data *data)
{
    assert_int_equal(grid_lay(&of->edge, 1, 120, 90, 2.5, 10000, laid), SF_OK);
    assert_int_equal(fit_data_gather(&of->input, *laid, data), SF_OK);
}

static void readings_of_one_cell_and_method_become_their_mean(void **state)
{
    (void)state;
    crowded of;
    grid *laid;
    fit_data data;
    crowded_set(&of, 164);
    /* three in one cell, a fourth by another instrument, a fifth on a can */
    static const double sds_k[] = {0.3, 0.6, 0.4, 0.35, 0.35}, rises_k[] = {21, 24, 22.5, 31, 33};
    for (size_t i = 0; i < 5; i++) {
        of.seen[i] = plain_observation("r", 60.7 + 0.2 * (double)i, 51.1, rises_k[i], sds_k[i]);
        of.seen[i].common_k[SF_COMMON_AIR] = 0.1 + 0.02 * (double)i;
    }
    of.seen[3].method = of.seen[0].method + 1;
    of.seen[4].spot = SF_SPOT_PART;
    of.seen[4].part = SF_NO_PART;
    gather(&of, &laid, &data);
    assert_int_equal(data.readings, 162);
    assert_true(data.merged);
    for (size_t i = 0; i < 164; i++)
        assert_int_equal(data.reading_of[i], i < 3 ? 0 : i - 2);
    assert_int_equal(data.members[0], 3);
    assert_int_equal(data.members[1], 1);
    /* mean and variance of values of unequal variance, computed from the formula */
    double sum = 0, rise_k = 0, x_mm = 0, common_k = 0;
    for (size_t i = 0; i < 3; i++) {
        double air_k = 0.1 + 0.02 * (double)i, weight = 1 / (sds_k[i] * sds_k[i] - air_k * air_k);
        sum += weight;
        rise_k += weight * rises_k[i];
        x_mm += weight * (60.7 + 0.2 * (double)i);
        common_k += weight * air_k;
    }
    assert_close(data.variance_k2[0], 1 / sum, 1e-12, 0);
    assert_close(data.rise_k[0], rise_k / sum, 1e-12, 0);
    assert_close(data.points[0].x_mm, x_mm / sum, 1e-12, 0);
    assert_close(data.common_k[SF_COMMON_AIR], common_k / sum, 1e-12, 0);
    fit_data_clear(&data);
    grid_free(laid);
    crowded_clear(&of);
}

static void eighty_readings_stay_as_they_are(void **state)
{
    (void)state;
    crowded of;
    grid *laid;
    fit_data data;
    crowded_set(&of, 80);
    for (size_t i = 0; i < 80; i++)
        of.seen[i].x_mm = of.seen[i].y_mm = 41.3;
    gather(&of, &laid, &data);
    assert_int_equal(data.readings, 80);
    assert_false(data.merged);
    fit_data_clear(&data);
    grid_free(laid);
    crowded_clear(&of);
}

/* Steepness of a field at a reading, K/mm: what the millimetre adds by which its place is doubted.
 */
static double slope_k_mm(const sf_field *field, const sf_observation *seen)
{
    sf_estimate right, left, up, down;
    assert_int_equal(sf_field_at(field, seen->x_mm + 1, seen->y_mm, &right), SF_OK);
    assert_int_equal(sf_field_at(field, seen->x_mm - 1, seen->y_mm, &left), SF_OK);
    assert_int_equal(sf_field_at(field, seen->x_mm, seen->y_mm + 1, &up), SF_OK);
    assert_int_equal(sf_field_at(field, seen->x_mm, seen->y_mm - 1, &down), SF_OK);
    return hypot(right.value - left.value, up.value - down.value) / 2;
}

/* Each reading of a board read twice: the prediction of one from all others is that of a fit that
 * does without it. */
static void one_of_several_in_a_cell_is_predicted_from_the_others(void **state)
{
    (void)state;
    crowded of;
    sf_field *all, *others;
    sf_diagnostics heard = {0};
    sf_estimate there;
    sf_field_options options = sf_field_options_default();
    options.cell_mm = 2.5;
    crowded_set(&of, 400);
    for (size_t i = 200; i < 400; i++) {
        of.seen[i].x_mm = of.seen[i - 200].x_mm;
        of.seen[i].y_mm = of.seen[i - 200].y_mm;
        of.seen[i].rise_k += crowded_rise_k(&of, of.seen[i].x_mm, of.seen[i].y_mm) -
                             crowded_rise_k(&of, 120 * fmod(0.754877666 * (double)(i + 1), 1),
                                            90 * fmod(0.569840291 * (double)(i + 1), 1));
    }
    assert_int_equal(sf_field_fit(&of.input, &options, &all, &heard), SF_OK);
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(all, &count);
    assert_int_equal(count, 400);
    const size_t left_out[] = {3, 77, 290};
    for (size_t k = 0; k < 3; k++) {
        size_t out = left_out[k];
        of.seen[out].in_fit = false;
        assert_int_equal(sf_field_fit(&of.input, &options, &others, &heard), SF_OK);
        assert_int_equal(sf_field_at(others, of.seen[out].x_mm, of.seen[out].y_mm, &there), SF_OK);
        /* hyperparameters are learnt anew: a fifth of the prediction's deviation */
        assert_close(fits[out].left_out_k.value, there.value, 0, 0.2 * fits[out].left_out_k.sd);
        double error_k =
            hypot(0.4 * sf_field_summarize(others).noise_factor, slope_k_mm(others, &of.seen[out]));
        assert_close(fits[out].left_out_k.sd, hypot(there.sd, error_k), 0.15, 0);
        of.seen[out].in_fit = true;
        sf_field_free(others);
    }
    sf_field_free(all);
    sf_diagnostics_clear(&heard);
    crowded_clear(&of);
}

static void a_great_many_readings_cost_no_more_than_their_cells(void **state)
{
    (void)state;
    crowded of;
    grid *laid;
    fit_data data;
    crowded_set(&of, 100000);
    gather(&of, &laid, &data);
    assert_int_equal(data.readings, laid->nodes); /* each cell was read */
    size_t members = 0;
    for (size_t i = 0; i < data.readings; i++) {
        members += data.members[i];
        assert_close(data.variance_k2[i], 0.16 / (double)data.members[i], 1e-9, 0);
    }
    assert_int_equal(members, 100000);
    fit_data_clear(&data);
    grid_free(laid);
    crowded_clear(&of);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(readings_of_one_cell_and_method_become_their_mean),
        cmocka_unit_test(eighty_readings_stay_as_they_are),
        cmocka_unit_test(one_of_several_in_a_cell_is_predicted_from_the_others),
        cmocka_unit_test(a_great_many_readings_cost_no_more_than_their_cells),
    };
    return cmocka_run_group_tests_name("field: merged", tests, quiet, NULL);
}
