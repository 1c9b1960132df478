/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Ordinary kriging against its formulas and a dense solve, and as a field model. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/can_share.h"
#include "field/kriging.h"
#include "field/scene.h"

enum { COUNT = 12 };

static const sf_point places[COUNT] = {{12, 9},  {47, 15}, {81, 11}, {23, 38}, {58, 41}, {92, 37},
                                       {14, 66}, {49, 72}, {77, 63}, {95, 70}, {33, 22}, {66, 29}};
static const double values[COUNT] = {21.4, 33.2, 27.9, 30.6, 44.1, 29.5,
                                     17.8, 25.3, 31.7, 22.6, 36.9, 40.2};
static const double sds[COUNT] = {.3, .5, .4, .3, .6, .3, .5, .4, .3, .5, .4, .3};
static const double shared[COUNT] = {.2, .4, 0, .3, .2, .2, .4, 0, .3, .2, .2, .4};
static const kriging_hyperparameters given = {58.3, 31.7, 0.21};
static double noise_k2[COUNT * COUNT];
static const kriging_data twelve = {COUNT, places, values, noise_k2};

static int set_noise(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    for (size_t i = 0; i < COUNT; i++)
        for (size_t k = 0; k < COUNT; k++)
            noise_k2[i * COUNT + k] = shared[i] * shared[k] + (i == k ? sds[i] * sds[i] : 0);
    return 0;
}

static kriging solve(const kriging_data *of, const kriging_hyperparameters *at)
{
    kriging made;
    assert_int_equal(kriging_solve(of, at, &made), SF_OK);
    return made;
}

static double alike(double away_mm, double length_mm)
{
    double scaled = sqrt(3) * away_mm / length_mm;
    return (1 + scaled) * exp(-scaled);
}

static void two_points_are_weighed_as_the_formula_says(void **state)
{
    (void)state;
    const sf_point two[] = {{10, 20}, {40, 60}}; /* 50 mm apart */
    const double read[] = {31, 47}, noise[] = {0, 0, 0, 0};
    const kriging_hyperparameters at = {13, 37, 0};
    kriging made = solve(&(kriging_data){2, two, read, noise}, &at);
    double work[2], variance, mean = kriging_at(&made, (sf_point){16, 28}, work, &variance);
    /* computed from the formula (N. Cressie, Statistics for Spatial Data, 1993, section 3.2, solved
     * by hand for two): 10 and 40 mm away, weights 1/2 +- (r01 - r02) / 2 / (1 - r12) */
    double near = alike(10, 37), far = alike(40, 37), both = alike(50, 37);
    double first = 0.5 + (near - far) / 2 / (1 - both), second = 1 - first;
    assert_close(mean, first * 31 + second * 47, 1e-12, 0);
    assert_close(variance,
                 13 * (1 - 2 * (first * near + second * far) + first * first + second * second +
                       2 * first * second * both),
                 1e-11, 0);
    kriging_clear(&made);
}

static void the_middle_of_three_points_is_their_mean(void **state)
{
    (void)state;
    double side = 24, high = side * sqrt(3) / 2;
    const sf_point three[] = {{5, 5}, {5 + side, 5}, {5 + side / 2, 5 + high}};
    const double read[] = {31, 47, 22}, noise[] = {0.4, 0, 0, 0, 0.4, 0, 0, 0, 0.4};
    const kriging_hyperparameters at = {17, 29, 0.3};
    kriging made = solve(&(kriging_data){3, three, read, noise}, &at);
    double work[3], variance;
    sf_point middle = {5 + side / 2, 5 + high / 3};
    /* computed from the formula: by symmetry each weighs a third */
    assert_close(kriging_at(&made, middle, work, &variance), (31 + 47 + 22) / 3.0, 1e-12, 0);
    assert_close(variance,
                 17 * (1 - 2 * alike(side / sqrt(3), 29) + (1 + 2 * alike(side, 29)) / 3) +
                     (0.4 + 0.3) / 3,
                 1e-11, 0);
    /* the two others are as far from one left out, so they predict their mean */
    double off = kriging_leave_one_out(&made, 0, &variance), r = alike(side, 29);
    assert_close(off, 31 - (47 + 22) / 2.0, 1e-12, 0);
    assert_close(variance, 17 * (1 - 2 * r + (1 + r) / 2) + 0.7 * 1.5, 1e-11, 0);
    kriging_clear(&made);
}

static void field_is_that_of_a_dense_solve(void **state)
{
    (void)state;
    /* computed dense in NumPy 1.24.2: the bordered system of ordinary kriging, errors that readings
     * share in the covariance; x, y, field, its variance */
    const double table[][4] = {{40, 30, 39.851788396467, 6.727351341637},
                               {5, 80, 17.458989490642, 24.719466577002},
                               {90, 50, 29.509364634317, 8.437061730597},
                               {58, 41, 43.911181230675, 0.588637574171},
                               {300, 300, 23.117785796842, 76.228192010303}};
    double work[COUNT], variance;
    kriging made = solve(&twelve, &given);
    for (size_t i = 0; i < 5; i++) {
        sf_point at = {table[i][0], table[i][1]};
        assert_close(kriging_at(&made, at, work, &variance), table[i][2], 1e-10, 0);
        assert_close(variance, table[i][3], 1e-10, 0);
    }
    kriging_clear(&made);
}

static void each_left_out_is_predicted_as_by_a_solve_without_it(void **state)
{
    (void)state;
    /* computed dense in NumPy 1.24.2, twelve solves of eleven points: prediction, its sd */
    const double table[COUNT][2] = {
        {30.119705735873175, 6.263754965039871},  {37.391192693281155, 3.8920216908843406},
        {29.752227550881198, 5.508417901770761},  {31.23319084020617, 4.392559937354639},
        {39.49050242361584, 3.7035186097528237},  {30.386716825271833, 5.346034352372088},
        {24.179988962389558, 6.2892747179020505}, {29.52148352312068, 5.766506271242723},
        {28.97432975827762, 4.289720229135066},   {27.344766555892072, 5.347641668724139},
        {31.860017056392504, 3.2748925295959155}, {38.8141938301036, 3.344892670468681}};
    kriging made = solve(&twelve, &given);
    for (size_t i = 0; i < COUNT; i++) {
        double variance, off = kriging_leave_one_out(&made, i, &variance);
        assert_close(values[i] - off, table[i][0], 1e-10, 0);
        assert_close(sqrt(variance), table[i][1], 1e-10, 0);
    }
    kriging_clear(&made);
}

static void hyperparameters_are_as_likely_as_the_best_another_search_finds(void **state)
{
    (void)state;
    kriging made = solve(&twelve, &given);
    assert_close(made.log_likelihood, -28.01076855596993, 1e-11, 0); /* NumPy 1.24.2 */
    kriging_clear(&made);
    /* SciPy 1.10.1, Nelder-Mead to 1e-8 from 54 starts: log likelihood, sill, length, nugget */
    const double rougher[COUNT] = {2.1, -3.3, 1.2, -.7, -2.9, 3.4, .4, -1.8, 2.2, -2.6, 1.1, 2.4};
    double read[COUNT];
    for (size_t i = 0; i < COUNT; i++)
        read[i] = values[i] + rougher[i];
    const kriging_data of = {COUNT, places, read, noise_k2};
    kriging_hyperparameters found;
    assert_int_equal(kriging_likely(&of, &found), SF_OK);
    made = solve(&of, &found);
    /* the search ends where the simplex is smaller than 0.02 in logarithms */
    assert_close(made.log_likelihood, -29.653294296508605, 0, 1e-3);
    assert_true(made.log_likelihood < -29.653294296508605 + 1e-9);
    assert_close(log(found.sill_k2 / 56.136531534353), 0, 0, 0.1);
    assert_close(log(found.length_mm / 18.474590630065), 0, 0, 0.1);
    assert_close(log(found.nugget_k2 / 3.886272224638), 0, 0, 0.2);
    kriging_clear(&made);
}

static void without_noise_each_value_is_met_and_sure(void **state)
{
    (void)state;
    static const double none[COUNT * COUNT] = {0};
    const double nuggets_k2[] = {1, 1e-3, 1e-6, 0};
    double work[COUNT], variance, before = INFINITY;
    for (size_t n = 0; n < 4; n++) {
        const kriging_hyperparameters at = {58.3, 31.7, nuggets_k2[n]};
        kriging made = solve(&(kriging_data){COUNT, places, values, none}, &at);
        double most = 0;
        for (size_t i = 0; i < COUNT; i++) {
            most = fmax(most, fabs(kriging_at(&made, places[i], work, &variance) - values[i]));
            assert_true(variance <= nuggets_k2[n] + 1e-9); /* rounding of 58.3 */
        }
        assert_true(most < before);
        before = most;
        kriging_clear(&made);
    }
    assert_true(before < 1e-10);
}

static void a_shift_of_values_or_places_shifts_the_field(void **state)
{
    (void)state;
    sf_point moved[COUNT];
    double read[COUNT], work[COUNT], variance, other_variance;
    for (size_t i = 0; i < COUNT; i++) {
        moved[i] = (sf_point){217 - places[i].x_mm, places[i].y_mm + 55}; /* mirrored, too */
        read[i] = values[i] + 128;
    }
    const kriging_data other = {COUNT, moved, read, noise_k2};
    kriging_hyperparameters one_found, other_found;
    assert_int_equal(kriging_likely(&twelve, &one_found), SF_OK);
    assert_int_equal(kriging_likely(&other, &other_found), SF_OK);
    kriging one_made = solve(&twelve, &one_found), other_made = solve(&other, &other_found);
    double here = kriging_at(&one_made, (sf_point){71, 52}, work, &variance);
    double there = kriging_at(&other_made, (sf_point){146, 107}, work, &other_variance);
    /* rounding, by way of a search that may stop a step apart */
    assert_close(there - 128, here, 1e-6, 0);
    assert_close(other_variance, variance, 1e-6, 0);
    kriging_clear(&one_made);
    kriging_clear(&other_made);
}

static void two_values_of_one_place_count_as_their_mean(void **state)
{
    (void)state;
    const sf_point five[] = {{10, 10}, {60, 14}, {33, 51}, {33, 51}, {71, 66}};
    const sf_point four[] = {{10, 10}, {60, 14}, {33, 51}, {71, 66}};
    const double both[] = {20, 30, 41, 45, 26}, mean[] = {20, 30, 43, 26};
    double noise[25] = {0}, half[16] = {0}, none[25] = {0}, work[5], variance, other;
    for (size_t i = 0; i < 5; i++)
        noise[i * 6] = 0.5;
    for (size_t i = 0; i < 4; i++)
        half[i * 5] = i == 2 ? 0.25 : 0.5;
    const kriging_hyperparameters at = {90, 40, 0};
    kriging twice = solve(&(kriging_data){5, five, both, noise}, &at);
    kriging once = solve(&(kriging_data){4, four, mean, half}, &at);
    for (double x = 5; x < 80; x += 17.5) {
        double told = kriging_at(&once, (sf_point){x, 40}, work, &variance);
        assert_close(kriging_at(&twice, (sf_point){x, 40}, work, &other), told, 1e-10, 0);
        assert_close(other, variance, 1e-9, 0);
    }
    kriging_clear(&twice);
    kriging_clear(&once);
    kriging refused;
    assert_int_equal(kriging_solve(&(kriging_data){5, five, both, none}, &at, &refused),
                     SF_ERROR_NUMERIC);
    kriging_clear(&refused);
}

/* --- as a model --- */

static void start(scene *job, size_t readings)
{
    scene_plain(job);
    job->options.model = "kriging";
    scene_scatter(job, readings, 0.4, 731);
    truth from = scene_truth(job, 2.5);
    scene_read(job, &from, 1, 732);
    truth_clear(&from);
}

static void too_few_readings_and_all_at_one_place_are_refused_in_words(void **state)
{
    (void)state;
    scene job;
    sf_field *field;
    sf_diagnostics heard = {0};
    start(&job, 9);
    for (size_t count = 1; count < KRIGING_POINTS_LEAST; count++) {
        job.reading_count = count;
        assert_int_equal(scene_fit(&job, &field, &heard), SF_ERROR_DATA);
        assert_null(field);
        assert_true(complained_of(&heard, SF_ERROR, "kriging needs 4 readings"));
        sf_diagnostics_clear(&heard);
    }
    job.reading_count = 4;
    sf_field_free(scene_field(&job));
    job.reading_count = 9;
    for (size_t i = 0; i < 9; i++)
        job.seen[i].x_mm = job.seen[i].y_mm = 37.5;
    assert_int_equal(scene_fit(&job, &field, &heard), SF_ERROR_DATA);
    assert_true(complained_of(&heard, SF_ERROR, "not all taken at one place"));
    sf_diagnostics_clear(&heard);
}

static void readings_that_agree_or_stand_twice_or_on_a_line_make_a_field(void **state)
{
    (void)state;
    scene job;
    start(&job, 9);
    sf_estimate told;
    for (size_t i = 0; i < 9; i++)
        job.seen[i].rise_k = 17;
    sf_field *field = scene_field(&job);
    assert_int_equal(sf_field_at(field, 100, 80, &told), SF_OK);
    assert_close(told.value, 17, 0, 1e-6);
    sf_field_free(field);
    for (size_t i = 0; i < 9; i++) {
        job.seen[i].x_mm = 20 + 30 * (double)(i / 3);
        job.seen[i].y_mm = 45;
        job.seen[i].rise_k = 10 + 0.3 * (double)i;
    }
    sf_field_free(scene_field(&job));
}

static void of_more_readings_than_it_takes_each_is_judged(void **state)
{
    (void)state;
    scene job;
    start(&job, 310);
    sf_field *field = scene_field(&job);
    size_t count;
    const sf_reading_fit *readings = sf_field_readings(field, &count);
    assert_int_equal(count, 310);
    double squares = 0;
    size_t passed_over = 0;
    for (size_t i = 0; i < count; i++) {
        const sf_estimate *fitted = &readings[i].fitted_k, *left_out = &readings[i].left_out_k;
        passed_over +=
            left_out->value == fitted->value && fabs(left_out->sd - hypot(fitted->sd, 0.4)) < 1e-9;
        double off_k = job.seen[i].rise_k - readings[i].left_out_k.value;
        assert_close(readings[i].score, off_k / readings[i].left_out_k.sd, 1e-12, 0);
        squares += off_k * off_k;
    }
    assert_int_equal(passed_over, 10); /* their own error is in it, too */
    sf_field_summary summary = sf_field_summarize(field);
    assert_close(summary.left_out_rmse_k, sqrt(squares / 310), 1e-12, 0);
    assert_true(summary.left_out_rmse_k < 2); /* 5 mm from one to the next, of a rise of 40 K */
    sf_field_free(field);
}

static void it_tells_nothing_of_heat(void **state)
{
    (void)state;
    scene job;
    start(&job, 14);
    sf_field *field = scene_field(&job);
    assert_sound(&job, field);
    sf_field_summary summary = sf_field_summarize(field);
    assert_string_equal(summary.model, "kriging");
    assert_true(isnan(summary.length_mm.value) && isnan(summary.prior_length_mm));
    assert_true(isnan(summary.loss_w_m2k.value) && isnan(summary.background_k.value));
    assert_true(isnan(summary.unlisted_sd_k) && isnan(summary.log_evidence));
    assert_true(isnan(summary.off_share) && isnan(summary.off_mm));
    size_t count;
    sf_field_sources(field, &count);
    assert_int_equal(count, 0);
    sf_field_free(field);
}

/* Of a reading on a can both reference models take the board below it, and tell the can. */
static void a_can_is_read_as_its_share_of_the_board(void **state)
{
    (void)state;
    static const char *const models[] = {"kriging", "thin-plate"};
    for (size_t m = 0; m < 2; m++) {
        scene job;
        size_t count;
        start(&job, 14);
        job.options.model = models[m];
        sf_field *plain = scene_field(&job);
        job.seen[5].spot = SF_SPOT_PART;
        job.seen[5].part = 0;
        job.seen[5].rise_k *= CAN_SHARE;
        job.seen[5].sd_k *= CAN_SHARE;
        sf_field *canned = scene_field(&job);
        const sf_reading_fit *board = sf_field_readings(plain, &count);
        const sf_reading_fit *can = sf_field_readings(canned, &count);
        assert_close(can[5].fitted_k.value, CAN_SHARE * board[5].fitted_k.value, 1e-6, 0);
        assert_close(can[5].left_out_k.value, CAN_SHARE * board[5].left_out_k.value, 1e-6, 0);
        assert_close(can[5].left_out_k.sd, CAN_SHARE * board[5].left_out_k.sd, 1e-6, 0);
        assert_close(can[5].score, board[5].score, 1e-6, 0);
        assert_close(can[6].left_out_k.value, board[6].left_out_k.value, 1e-6, 0);
        double off_k = job.seen[5].rise_k - can[5].left_out_k.value;
        double whole_k = off_k / CAN_SHARE, all = sf_field_summarize(plain).left_out_rmse_k;
        assert_close(pow(sf_field_summarize(canned).left_out_rmse_k, 2),
                     all * all + (off_k * off_k - whole_k * whole_k) / 14, 1e-6, 0);
        sf_field_free(plain);
        sf_field_free(canned);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_points_are_weighed_as_the_formula_says),
        cmocka_unit_test(the_middle_of_three_points_is_their_mean),
        cmocka_unit_test(field_is_that_of_a_dense_solve),
        cmocka_unit_test(each_left_out_is_predicted_as_by_a_solve_without_it),
        cmocka_unit_test(hyperparameters_are_as_likely_as_the_best_another_search_finds),
        cmocka_unit_test(without_noise_each_value_is_met_and_sure),
        cmocka_unit_test(a_shift_of_values_or_places_shifts_the_field),
        cmocka_unit_test(two_values_of_one_place_count_as_their_mean),
        cmocka_unit_test(too_few_readings_and_all_at_one_place_are_refused_in_words),
        cmocka_unit_test(readings_that_agree_or_stand_twice_or_on_a_line_make_a_field),
        cmocka_unit_test(of_more_readings_than_it_takes_each_is_judged),
        cmocka_unit_test(it_tells_nothing_of_heat),
        cmocka_unit_test(a_can_is_read_as_its_share_of_the_board),
    };
    return cmocka_run_group_tests(tests, set_noise, NULL);
}
