/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The reference model where there are more readings than its spline takes. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <time.h>

#include "field/crowded.h"
#include "field/scene.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static sf_field_options spline_options(void)
{
    sf_field_options options = sf_field_options_default();
    options.model = "thin-plate";
    return options;
}

static void a_reference_is_there_for_a_thousand_readings_and_one(void **state)
{
    (void)state;
    const sf_field_options options = spline_options();
    const size_t counts[] = {300, 1000, 1001, 2500};
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        crowded of;
        sf_diagnostics heard = {0};
        double rmse_k;
        crowded_set(&of, counts[i]);
        assert_int_equal(sf_field_leave_one_out(&of.input, &options, &rmse_k, &heard), SF_OK);
        /* noise of 0.4 K on a smooth field, and what 300 places tell of it: a tenth for the
         * noise's own chance, a quarter more for the spline's */
        assert_in_range((int)(1000 * rmse_k), 360, 500);
        sf_diagnostics_clear(&heard);
        crowded_clear(&of);
    }
}

static void readings_left_aside_are_told_and_predicted(void **state)
{
    (void)state;
    sf_field_options options = spline_options();
    options.cell_mm = 1.5; /* no two in one */
    crowded of;
    sf_diagnostics heard = {0};
    sf_field *field;
    crowded_set(&of, 733);
    assert_int_equal(sf_field_fit(&of.input, &options, &field, &heard), SF_OK);
    assert_true(complained_of(&heard, SF_WARNING, "300 of the 733 readings"));
    size_t count, aside = 0;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    assert_int_equal(count, 733);
    double squares = 0;
    for (size_t i = 0; i < count; i++) {
        const sf_observation *seen = &of.seen[fits[i].observation];
        double off_k = seen->rise_k - fits[i].left_out_k.value;
        squares += off_k * off_k;
        assert_true(fits[i].left_out_k.sd > fits[i].fitted_k.sd);
        assert_close(fits[i].score, off_k / fits[i].left_out_k.sd, 1e-9, 1e-12);
        /* what was not in the fit is predicted by the same surface as it is fitted with */
        aside += fits[i].left_out_k.value == fits[i].fitted_k.value;
    }
    assert_int_equal(aside, 733 - 300);
    assert_close(sf_field_summarize(field).left_out_rmse_k, sqrt(squares / 733), 1e-9, 0);
    sf_field_free(field);
    sf_diagnostics_clear(&heard);
    crowded_clear(&of);
}

static void a_reference_asked_for_its_error_alone_tells_that_of_the_whole_fit(void **state)
{
    (void)state;
    for (const sf_field_model_name *const *model = sf_field_models() + 1; *model; model++) {
        sf_field_options options = spline_options();
        options.model = (*model)->name;
        crowded of;
        sf_diagnostics heard = {0};
        sf_field *field;
        double rmse_k;
        crowded_set(&of, 733);
        assert_int_equal(sf_field_fit(&of.input, &options, &field, &heard), SF_OK);
        assert_int_equal(sf_field_leave_one_out(&of.input, &options, &rmse_k, &heard), SF_OK);
        assert_close(rmse_k, sf_field_summarize(field).left_out_rmse_k, 1e-12, 0);
        sf_field_free(field);
        sf_diagnostics_clear(&heard);
        crowded_clear(&of);
    }
}

static double error_s(size_t count)
{
    const sf_field_options options = spline_options();
    crowded of;
    sf_diagnostics heard = {0};
    double rmse_k;
    crowded_set(&of, count);
    clock_t start = clock();
    assert_int_equal(sf_field_leave_one_out(&of.input, &options, &rmse_k, &heard), SF_OK);
    double taken_s = (double)(clock() - start) / CLOCKS_PER_SEC;
    assert_in_range((int)(1000 * rmse_k), 360, 500); /* as above */
    sf_diagnostics_clear(&heard);
    crowded_clear(&of);
    return taken_s;
}

/* What one reading costs may not grow with the square of the points: then sixteen times the
 * readings take sixteen times as long. Here the fit of the 300 points is most of both. */
static void the_error_of_many_readings_takes_hardly_longer(void **state)
{
    (void)state;
    double dense_s = error_s(2500), sparse_s = error_s(40000);
    assert_true(sparse_s < 10 * dense_s);
}

static void three_hundred_readings_are_all_taken(void **state)
{
    (void)state;
    const sf_field_options options = spline_options();
    crowded of;
    sf_diagnostics heard = {0};
    sf_field *field;
    crowded_set(&of, SF_REFERENCE_READINGS_MOST);
    assert_int_equal(sf_field_fit(&of.input, &options, &field, &heard), SF_OK);
    assert_false(complained_of(&heard, SF_WARNING, "readings, spread over"));
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    for (size_t i = 0; i < count; i++)
        assert_true(fits[i].left_out_k.value != fits[i].fitted_k.value);
    sf_field_free(field);
    sf_diagnostics_clear(&heard);
    crowded_clear(&of);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reference_is_there_for_a_thousand_readings_and_one),
        cmocka_unit_test(readings_left_aside_are_told_and_predicted),
        cmocka_unit_test(a_reference_asked_for_its_error_alone_tells_that_of_the_whole_fit),
        cmocka_unit_test(the_error_of_many_readings_takes_hardly_longer),
        cmocka_unit_test(three_hundred_readings_are_all_taken),
    };
    return cmocka_run_group_tests_name("field: thinned", tests, quiet, NULL);
}
