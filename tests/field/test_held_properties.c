/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What must hold on any board while the hyperparameters are held, tried on many that are drawn at
 * random: test_field_held_properties [BOARDS]. Each board is drawn from its number alone, so that
 * one that fails can be looked at again. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bench.h"

#define CELL_MM 6

static unsigned long boards = 30;

enum { SOURCES = 4, READINGS = 11 };

/* A board with a slot, sources and readings anywhere, losses and hyperparameters drawn too. */
typedef struct held_board {
    sf_source sources[SOURCES];
    sf_observation seen[READINGS];
    size_t source_count;
    double width_mm, height_mm, cut_x_mm, cut_y_mm, length_mm, background_k;
    hyperparameters held;
    bench on;
} held_board;

static void draw_held(held_board *drawn, unsigned long number)
{
    unsigned long seed = 7919 * number + 17;
    *drawn = (held_board){.width_mm = next_between(45, 150, &seed),
                          .height_mm = next_between(35, 110, &seed),
                          .length_mm = next_between(9, 45, &seed),
                          .background_k = next_between(2, 15, &seed),
                          .source_count = whole_between(0, SOURCES, &seed)};
    drawn->cut_x_mm = drawn->width_mm * next_between(0.2, 0.8, &seed);
    drawn->cut_y_mm = drawn->height_mm * next_between(0.3, 1.1, &seed);
    drawn->held = (hyperparameters){.white_k = next_between(0.2, 2, &seed),
                                    .patch = next_between(0.02, 0.2, &seed),
                                    .copper = next_between(0.05, 0.7, &seed),
                                    .noise = next_between(0.6, 1.7, &seed),
                                    .strength_k_mm2 = next_between(4000, 40000, &seed),
                                    .loss_w_m2k = next_between(10, 25, &seed)};
    for (size_t j = 0; j < drawn->source_count; j++) {
        drawn->sources[j] = plain_source("R1", next_between(0, drawn->width_mm, &seed),
                                         next_between(0, drawn->height_mm, &seed),
                                         next_between(2, 25, &seed), next_between(2, 25, &seed));
        drawn->sources[j].angle_deg = next_between(0, 180, &seed);
        if (next_uniform(&seed) < 0.3)
            drawn->sources[j].power_w = next_between(0.2, 2.5, &seed);
    }
    for (size_t i = 0; i < READINGS; i++)
        drawn->seen[i] = plain_observation("t", next_between(0, drawn->width_mm, &seed),
                                           next_between(0, drawn->height_mm, &seed),
                                           next_between(3, 45, &seed), next_between(0.2, 3, &seed));
}

/* Sets up the bench with the first readings; losses and patchiness are those of the board, whatever
 * its readings say. */
static void set_held(held_board *drawn, size_t readings)
{
    bench_set(&drawn->on, drawn->width_mm, drawn->height_mm, CELL_MM, drawn->sources,
              drawn->source_count, drawn->seen, readings);
    bench_cut(&drawn->on, drawn->cut_x_mm, -1, drawn->cut_x_mm + 0.7, drawn->cut_y_mm);
    drawn->on.data.background_k = drawn->background_k;
    for (size_t node = 0; node < drawn->on.laid->nodes; node++) {
        drawn->on.data.rise_guess_k[node] = 5 + 20 * fabs(sin((double)node));
        drawn->on.data.loss[node] = 1 + 0.3 * cos(1.7 * (double)node);
    }
    copper_take_field(&drawn->on.data.copper, drawn->on.data.rise_guess_k);
}

/* Answer, Gaussian and mean field under the hyperparameters that are held. */
static length_fit fit_held(held_board *drawn)
{
    length_fit fit = bench_hold(&drawn->on, drawn->length_mm, &drawn->held);
    assert_int_equal(length_fit_set_mean(&drawn->on.data, drawn->on.matrix, &fit), SF_OK);
    return fit;
}

/* Mean of a cause of prior mean and sd, once the readings pull at what it makes there. */
static double told(double mean, double sd, const double *at_readings, size_t stride,
                   const length_fit *fit)
{
    double pull = 0;
    for (size_t i = 0; i < fit->green.readings; i++)
        pull += at_readings[i * stride] * fit->weights[i];
    return mean + sd * sd * pull;
}

/* First law of thermodynamics: what sources, background and unlisted heat put into the mean field
 * leaves by the faces; heat over loss, in K mm2. */
static void heat_in_is_heat_lost(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < boards; number++) {
        held_board drawn;
        draw_held(&drawn, number);
        set_held(&drawn, READINGS);
        bench_without_peaks(&drawn.on); /* of the cells alone the balance is exact */
        length_fit fit = fit_held(&drawn);
        const green_functions *green = &fit.green;
        double cell_mm2 = pow(drawn.on.laid->cell_mm, 2), lost = 0;
        double background =
            told(drawn.background_k, drawn.background_k, green->uniform_at, 1, &fit);
        double heat = 0;
        for (size_t node = 0; node < green->nodes; node++) /* what warm air keeps in the board */
            heat += background * cell_mm2 * drawn.on.data.loss[node];
        for (size_t j = 0; j < green->sources; j++)
            heat += told(fit.under.strength_mean[j], fit.under.strength_sd[j], green->source_at + j,
                         green->sources, &fit);
        for (size_t node = 0; node < green->nodes; node++) {
            double variance = heat_variance(&drawn.on.data, green, &drawn.held, node);
            for (size_t i = 0; i < READINGS; i++)
                heat +=
                    cell_mm2 * variance * fit.weights[i] * green->adjoint[i * green->nodes + node];
            lost += cell_mm2 * drawn.on.data.loss[node] * fit.mean.rise_k[node];
        }
        /* rounding of some hundred sums */
        assert_close(lost, heat, 1e-9, 1e-6);
        length_fit_clear(&fit);
        bench_clear(&drawn.on);
    }
}

/* The mean is linear in the readings: between two sets of them lies the field between. */
static void fields_add_as_their_readings_do(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < boards; number++) {
        held_board drawn;
        draw_held(&drawn, number);
        set_held(&drawn, READINGS);
        unsigned long seed = number;
        double share = next_between(-1.5, 2.5, &seed), first_k[READINGS], second_k[READINGS];
        length_fit fits[3];
        for (size_t i = 0; i < READINGS; i++) {
            first_k[i] = drawn.on.data.rise_k[i];
            second_k[i] = next_between(1, 60, &seed);
        }
        for (size_t turn = 0; turn < 3; turn++) {
            double part = (double[]){0, 1, share}[turn];
            for (size_t i = 0; i < READINGS; i++)
                drawn.on.data.rise_k[i] = (1 - part) * first_k[i] + part * second_k[i];
            fits[turn] = fit_held(&drawn);
        }
        for (size_t node = 0; node < drawn.on.laid->nodes; node++)
            assert_close(fits[2].mean.rise_k[node],
                         (1 - share) * fits[0].mean.rise_k[node] +
                             share * fits[1].mean.rise_k[node],
                         1e-8, 1e-7);
        for (size_t turn = 0; turn < 3; turn++)
            length_fit_clear(&fits[turn]);
        bench_clear(&drawn.on);
    }
}

/* A board that is warmer all over by a factor, and known as well in proportion, has that field. */
static void rises_scaled_scale_field_and_doubt(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < boards; number++) {
        held_board drawn;
        unsigned long seed = number;
        double factor = next_between(0.3, 4, &seed);
        draw_held(&drawn, number);
        for (size_t j = 0; j < drawn.source_count; j++)
            drawn.sources[j].power_w = NAN; /* watts that are known would have to scale too */
        set_held(&drawn, READINGS);
        length_fit fit = fit_held(&drawn);
        double *sd_k = bench_sd(&drawn.on, &fit);
        drawn.on.data.background_k *= factor;
        drawn.background_k *= factor;
        drawn.held.white_k *= factor;
        drawn.held.strength_k_mm2 *= factor;
        for (size_t i = 0; i < READINGS; i++) {
            drawn.on.data.rise_k[i] *= factor;
            drawn.on.data.variance_k2[i] *= factor * factor;
        }
        for (size_t node = 0; node < drawn.on.laid->nodes; node++)
            drawn.on.data.rise_guess_k[node] *= factor;
        copper_take_field(&drawn.on.data.copper, drawn.on.data.rise_guess_k);
        length_fit scaled = fit_held(&drawn);
        double *scaled_sd_k = bench_sd(&drawn.on, &scaled);
        for (size_t node = 0; node < drawn.on.laid->nodes; node++) {
            assert_close(scaled.mean.rise_k[node], factor * fit.mean.rise_k[node], 1e-8, 1e-7);
            /* part of it is a difference quotient, whose step scales along */
            assert_close(scaled_sd_k[node], factor * sd_k[node], 1e-5, 0);
        }
        free(sd_k);
        free(scaled_sd_k);
        length_fit_clear(&fit);
        length_fit_clear(&scaled);
        bench_clear(&drawn.on);
    }
}

static void one_more_reading_never_raises_the_doubt_anywhere(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < boards; number++) {
        held_board drawn;
        draw_held(&drawn, number);
        double *before = NULL;
        for (size_t count = 1 + number % 4; count <= READINGS; count += 1 + number % 3) {
            set_held(&drawn, count);
            length_fit fit = bench_hold(&drawn.on, drawn.length_mm, &drawn.held);
            double *sd_k = bench_sd(&drawn.on, &fit);
            for (size_t node = 0; before && node < drawn.on.laid->nodes; node++)
                assert_true(sd_k[node] <= before[node] * (1 + 1e-7));
            free(before);
            before = sd_k;
            length_fit_clear(&fit);
            bench_clear(&drawn.on);
        }
        free(before);
    }
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heat_in_is_heat_lost),
        cmocka_unit_test(fields_add_as_their_readings_do),
        cmocka_unit_test(rises_scaled_scale_field_and_doubt),
        cmocka_unit_test(one_more_reading_never_raises_the_doubt_anywhere),
    };
    gsl_set_error_handler_off();
    if (count > 1)
        boards = strtoul(words[1], NULL, 10);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
