/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From rows of a job to observations: every correction and every doubt. */
#include "readings/bench.h"

#include <math.h>

#include <gsl/gsl_errno.h>

static void a_bead_reading_becomes_a_rise_over_the_air(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 1);
    assert_string_equal(on.observations[0].id, "t1");
    assert_close(on.observations[0].x_mm, 31.7, 0, 0);
    assert_close(on.observations[0].y_mm, 84.2, 0, 0);
    assert_close(on.observations[0].temp_c, 61.3, 1e-14, 0);
    assert_close(on.observations[0].rise_k, 37.7, 1e-14, 0);
    /* what the instrument shows, and the air that is taken from it */
    assert_close(on.observations[0].sd_k, hypot(0.7, AIR_K), 1e-14, 0);
    assert_true(on.observations[0].in_fit);
    assert_string_equal(on.observations[0].remark, "");
    assert_int_equal(on.observations[0].line, 2);
    assert_int_equal(on.diagnostics.count, 0);
    clear_bench(&on);
}

static void a_reading_with_its_own_air_rises_over_that(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].ambient_c = 27.1;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_close(on.observations[0].rise_k, 34.2, 1e-14, 0);
    assert_close(on.observations[0].temp_c, 61.3, 1e-14, 0);
    assert_string_equal(on.observations[0].remark, "rise over its own air, 27.1 C");
    clear_bench(&on);
}

static void millivolts_are_added_to_the_reference_junction(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].unit = SF_UNIT_MILLIVOLT;
    on.rows[0].value = 2.474085;
    on.rows[0].junction_c = 25;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* ITS-90 type K, junction at 85 C and reference at 25 C: 2.474085 mV, computed */
    assert_close(on.observations[0].temp_c, 85, 0, 1e-3);
    assert_string_equal(on.observations[0].remark, "from mV, reference junction at 25.0 C");
    clear_bench(&on);
}

static void an_emissivity_corrects_an_infrared_spot_with_its_doubt(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 60;
    on.rows[0].emissivity = 0.9;
    on.rows[0].reflected_c = 23;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* M 60 C, e 0.90, R 23 C: 63.422 C, computed from the fourth-power formula */
    assert_close(on.observations[0].temp_c, 63.422, 0, 5e-4);
    assert_string_equal(on.observations[0].remark, "emissivity 0.90, reflected temperature 23.0 C");
    clear_bench(&on);
}

static void an_infrared_doubt_has_five_parts(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 80;
    on.rows[0].emissivity = 0.61;
    on.rows[0].reflected_c = 25;
    double temp_c, k_per_emissivity, gain;
    sf_infrared_temp(80, 0.61, 25, &temp_c, &k_per_emissivity, &gain);
    /* the instrument; +/- 0.03 of emissivity; the law: Planck over 8 to 14 um gives 2.01 K more
     * there, computed, and a tenth is added; 2 K of what it mirrors, by Euler's theorem on
     * T(M, R), which is of degree one: R dT/dR = T - M dT/dM; the air */
    double own_k = 0.7 * gain, emissivity_k = 0.03 * k_per_emissivity, law_k = 1.105 * 2.01;
    double mirrored_k = 2 * fabs(temp_c + 273.15 - 353.15 * gain) / 298.15;
    double surface_k = hypot(emissivity_k, hypot(law_k, mirrored_k));
    assert_close(sd_of(&on), hypot(hypot(own_k, surface_k), AIR_K), 0.005, 0);
}

static void what_a_spot_mirrors_is_the_air_where_not_told(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 80;
    on.rows[0].emissivity = 0.95;
    on.rows[0].ambient_c = 25;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* M 80 C, e 0.95, R 25 C: 82.2641 C, computed from the fourth-power formula */
    assert_close(on.observations[0].temp_c, 82.2641, 0, 5e-5);
    clear_bench(&on);
}

static void bare_metal_is_warned_of_and_doubted(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 3);
    for (size_t i = 0; i < 3; i++)
        on.rows[i].method = SF_METHOD_INFRARED;
    on.rows[0].emissivity = 0.3;
    on.rows[1].emissivity = 0.55;
    on.rows[2].emissivity = 0.61;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.diagnostics.warning_count, 2);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "readings.csv:2: warning: emissivity: 0.3: bare metal reflects the room");
    assert_begins(diagnostic(&on.diagnostics, 1), "readings.csv:3: warning: emissivity: 0.55: ");
    /* Planck's law over 8 to 14 um gives 4.7 K more than the fourth power at e 0.30, M 60 C, R 25
     * C, and 0.1 in emissivity moves it by nearly 20 K: no doubt below 10 K would be true */
    assert_true(on.observations[0].sd_k > 10);
    assert_true(on.observations[2].sd_k < 3);
    clear_bench(&on);
}

static void a_lone_minute_is_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].minute = 12;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.diagnostics.warning_count, 1);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "readings.csv:2: warning: minute: a single reading at 12 min "
                  "may not be at steady state");
    clear_bench(&on);
}

static void a_source_body_is_corrected_and_kept_out(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].spot = SF_SPOT_SOURCE;
    on.rows[0].value = 117.9;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_false(on.observations[0].in_fit);
    assert_close(on.observations[0].rise_k, 94.3, 1e-12, 0);
    assert_holds(on.observations[0].remark, "on the body of a heat source");
    assert_holds(on.observations[0].remark, "not in the fit");
    clear_bench(&on);
}

static void a_reading_on_a_part_stays_in_the_fit_as_sure_as_one_on_the_board(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.job.policy.case_offset_sd_k = 1.5; /* enters the life, and no reading */
    on.rows[0].spot = SF_SPOT_PART;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_true(on.observations[0].in_fit);
    assert_close(on.observations[0].sd_k, hypot(0.7, AIR_K), 1e-12, 0);
    assert_int_equal(on.observations[0].part, SF_NO_PART);
    assert_string_equal(on.observations[0].remark, "on a part that is not listed");
    clear_bench(&on);
}

static void an_observation_knows_whose_can_it_was_taken_on(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 2);
    sf_part parts[] = {{.ref = "C4", .x_mm = 39.7, .y_mm = 84.2, .diameter_mm = 10},
                       {.ref = "C5", .x_mm = 27.7, .y_mm = 84.2, .diameter_mm = 8.2}};
    on.job.parts = parts;
    on.job.part_count = 2;
    on.rows[0].spot = SF_SPOT_PART;
    on.rows[1].spot = SF_SPOT_BOARD;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.observations[0].part, 1);
    assert_string_equal(on.observations[0].remark, "on C5");
    assert_int_equal(on.observations[1].part, SF_NO_PART);
    clear_bench(&on);
}

static void default_doubts_are_the_tolerance_classes(void **state)
{
    (void)state;
    static const struct {
        sf_method method;
        double temp_c, limit_k;
    } classes[] = {
        /* IEC 60584-1, class 2: K and J 2.5 C or 0.0075 |t|, T 1.0 C or 0.0075 |t|, the greater;
         * rectangular, so over sqrt(3) (GUM, JCGM 100:2008, 4.3.7) */
        {SF_METHOD_THERMOCOUPLE_K, 72.6, 2.5},
        {SF_METHOD_THERMOCOUPLE_J, 72.6, 2.5},
        {SF_METHOD_THERMOCOUPLE_T, 72.6, 1.0},
        {SF_METHOD_THERMOCOUPLE_K, 94.2, 2.5},
    };
    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++) {
        bench on;
        lay_bench(&on, 1);
        on.rows[0].method = classes[i].method;
        on.rows[0].value = on.rows[0].ambient_c = classes[i].temp_c;
        on.rows[0].sd_k = NAN;
        /* no rise, so that nothing but the instrument, its last digit and the air is in doubt */
        assert_close(sd_of(&on), hypot(classes[i].limit_k / sqrt(3), hypot(REPEAT_K, AIR_K)), 1e-12,
                     0);
    }
}

static void the_tolerance_grows_with_a_hot_reading(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_THERMOCOUPLE_T;
    on.rows[0].value = 183.5;
    on.rows[0].sd_k = NAN;
    /* IEC 60584-1 type T class 2: 0.0075 * 183.5; 3 % of the rise by taping is judgement */
    double instrument_k = 0.0075 * 183.5 / sqrt(3), taping_k = 0.03 * (183.5 - 23.6);
    assert_close(sd_of(&on), hypot(hypot(instrument_k, taping_k), hypot(REPEAT_K, AIR_K)), 1e-12,
                 0);
}

static void an_infrared_default_holds_the_emissivity_too(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].sd_k = NAN;
    double board_k = sd_of(&on);
    on.rows[0].spot = SF_SPOT_SOURCE;
    double body_k = sd_of(&on);
    /* 2 K over sqrt(3), 0.03 of emissivity times 38 K a unit, and a share of the rise */
    assert_true(board_k > hypot(2 / sqrt(3), 0.03 * 37) && board_k < 3);
    assert_true(body_k > board_k);
}

static void a_bead_s_bias_is_corrected_and_doubted(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 2);
    on.rows[1].method = SF_METHOD_INFRARED;
    on.job.policy.bead_bias_pct = 5;
    on.job.policy.bead_bias_sd_pct = 3;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    double rise_k = 37.7 / 0.95;
    assert_close(on.observations[0].rise_k, rise_k, 1e-12, 0);
    assert_close(on.observations[0].temp_c, 23.6 + rise_k, 1e-12, 0);
    /* propagation: d rise/d shown = -d rise/d air = 1/(1 - b), d rise/db = rise/(1 - b) */
    assert_close(on.observations[0].sd_k, hypot(hypot(0.7, AIR_K) / 0.95, 0.03 * rise_k / 0.95),
                 1e-12, 0);
    assert_close(on.observations[0].common_k[SF_COMMON_BEAD], 0.03 * rise_k / 0.95, 1e-12, 0);
    assert_string_equal(on.observations[0].remark,
                        "a bead shows 5 % too little of the rise: corrected");
    /* an infrared spot has no bead */
    assert_close(on.observations[1].rise_k, 37.7, 1e-12, 0);
    assert_close(on.observations[1].common_k[SF_COMMON_BEAD], 0, 0, 0);
    clear_bench(&on);
}

/* Law of propagation, JCGM 100:2008, 5.1.2: the squares of what readings share and of what is a
 * reading's own add up to that of the whole; numbers computed from the defaults. */
static void a_doubt_is_split_into_what_readings_share_and_their_own(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 3);
    on.job.policy = sf_policy_default();
    on.rows[1].sd_k = NAN;
    on.rows[2].sd_k = NAN;
    on.rows[2].method = SF_METHOD_INFRARED;
    on.rows[2].emissivity = 0.9;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    const sf_observation *stated = &on.observations[0], *assumed = &on.observations[1],
                         *spot = &on.observations[2];
    double passed = 1 - 0.05, bead_k = 0.02 * (37.7 / passed) / passed;
    assert_close(stated->common_k[SF_METHOD_THERMOCOUPLE_K], sqrt(SHARED) * 0.7 / passed, 1e-12, 0);
    assert_close(stated->common_k[SF_COMMON_BEAD], bead_k, 1e-12, 0);
    assert_close(stated->common_k[SF_COMMON_AIR], AIR_K / passed, 1e-12, 0);
    assert_close(stated->sd_k, hypot(common_k(stated), sqrt(1 - SHARED) * 0.7 / passed), 1e-12, 0);

    assert_close(assumed->common_k[SF_METHOD_THERMOCOUPLE_K], 2.5 / sqrt(3) / passed, 1e-12, 0);
    assert_close(assumed->common_k[SF_COMMON_BEAD], bead_k, 1e-12, 0);
    assert_close(assumed->sd_k,
                 hypot(common_k(assumed), hypot(REPEAT_K, 0.03 * (37.7 / passed)) / passed), 1e-12,
                 0);

    double temp_c, k_per_emissivity, gain;
    sf_infrared_temp(61.3, 0.9, 23.6, &temp_c, &k_per_emissivity, &gain);
    assert_close(spot->common_k[SF_METHOD_INFRARED], gain * 2 / sqrt(3), 1e-12, 0);
    assert_true(spot->common_k[SF_COMMON_EMISSIVITY] >= 0.03 * k_per_emissivity);
    assert_close(spot->sd_k, hypot(common_k(spot), hypot(REPEAT_K * gain, 0.03 * (temp_c - 23.6))),
                 1e-12, 0);
    for (int other = 0; other < SF_METHOD_INFRARED; other++)
        assert_close(spot->common_k[other], 0, 0, 0);
    assert_close(stated->common_k[SF_COMMON_EMISSIVITY], 0, 0, 0);
    clear_bench(&on);
}

/* Of the core's rise at rated ripple, 10 K at 85 C and 5 K at 105 C (makers' lifetime guides,
 * common practice), times the square of the ratio, a can shows 0.8 +/- 0.3, and any can 0.5 K
 * (judgements).
 */
static void a_reading_on_a_can_holds_what_its_ripple_heats(void **state)
{
    (void)state;
    static const struct {
        double ripple_a, rated_ripple_a, rated_c, core_k;
    } cans[] = {{0.6, 0.8, 85, 10 * 0.5625},
                {0.6, 0.8, 105, 5 * 0.5625},
                {1.1, 0.8, 105, 5 * 1.890625},
                {NAN, 0.8, 85, 0},
                {0.6, NAN, 85, 0}};
    for (size_t i = 0; i < sizeof cans / sizeof cans[0]; i++) {
        bench on;
        lay_bench(&on, 2);
        sf_part part = {.ref = "C4",
                        .x_mm = 31.7,
                        .y_mm = 84.2,
                        .diameter_mm = 10,
                        .rated_c = cans[i].rated_c,
                        .ripple_a = cans[i].ripple_a,
                        .rated_ripple_a = cans[i].rated_ripple_a};
        on.job.parts = &part;
        on.job.part_count = 1;
        on.rows[0].spot = SF_SPOT_PART;
        correct(&on);
        assert_int_equal(on.status, SF_OK);
        assert_close(on.observations[0].own_k, 0.8 * cans[i].core_k, 1e-12, 0);
        assert_close(on.observations[0].own_sd_k, hypot(0.5, 0.3 * cans[i].core_k), 1e-12, 0);
        /* no part of what the can's reading itself says */
        assert_close(on.observations[0].rise_k, on.observations[1].rise_k, 0, 0);
        assert_close(on.observations[0].sd_k, on.observations[1].sd_k, 0, 0);
        assert_close(on.observations[1].own_k, 0, 0, 0);
        assert_close(on.observations[1].own_sd_k, 0, 0, 0);
        clear_bench(&on);
    }
}

static void no_reading_makes_no_observation(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 0);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 0);
    assert_non_null(on.observations);
    clear_bench(&on);
    sf_observations_free(NULL, 3);
}

static void default_doubt_is_that_of_a_reading_of_which_nothing_is_said(void **state)
{
    (void)state;
    for (int method = 0; method < SF_METHOD_COUNT; method++) {
        bench on;
        lay_bench(&on, 1);
        on.rows[0].method = (sf_method)method;
        on.rows[0].sd_k = NAN;
        correct(&on);
        assert_int_equal(on.status, SF_OK);
        const sf_observation *seen = &on.observations[0];
        sf_observation expected =
            sf_reading_expect(&on.job, (sf_method)method, seen->spot, seen->part, seen->rise_k);
        assert_close(expected.rise_k, seen->rise_k, 1e-12, 0);
        assert_close(expected.temp_c, seen->temp_c, 1e-12, 0);
        assert_close(expected.sd_k, seen->sd_k, 1e-12, 0);
        for (int common = 0; common < SF_COMMON_COUNT; common++)
            assert_close(expected.common_k[common], seen->common_k[common], 1e-12, 1e-15);
        assert_close(
            sf_reading_expect(&on.job, (sf_method)method, SF_SPOT_BOARD, SF_NO_PART, -4).sd_k,
            sf_reading_expect(&on.job, (sf_method)method, SF_SPOT_BOARD, SF_NO_PART, 0).sd_k, 0, 0);
        clear_bench(&on);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bead_reading_becomes_a_rise_over_the_air),
        cmocka_unit_test(a_reading_with_its_own_air_rises_over_that),
        cmocka_unit_test(millivolts_are_added_to_the_reference_junction),
        cmocka_unit_test(an_emissivity_corrects_an_infrared_spot_with_its_doubt),
        cmocka_unit_test(an_infrared_doubt_has_five_parts),
        cmocka_unit_test(what_a_spot_mirrors_is_the_air_where_not_told),
        cmocka_unit_test(bare_metal_is_warned_of_and_doubted),
        cmocka_unit_test(a_lone_minute_is_warned_of),
        cmocka_unit_test(a_source_body_is_corrected_and_kept_out),
        cmocka_unit_test(a_reading_on_a_part_stays_in_the_fit_as_sure_as_one_on_the_board),
        cmocka_unit_test(an_observation_knows_whose_can_it_was_taken_on),
        cmocka_unit_test(default_doubts_are_the_tolerance_classes),
        cmocka_unit_test(the_tolerance_grows_with_a_hot_reading),
        cmocka_unit_test(an_infrared_default_holds_the_emissivity_too),
        cmocka_unit_test(a_bead_s_bias_is_corrected_and_doubted),
        cmocka_unit_test(a_doubt_is_split_into_what_readings_share_and_their_own),
        cmocka_unit_test(a_reading_on_a_can_holds_what_its_ripple_heats),
        cmocka_unit_test(no_reading_makes_no_observation),
        cmocka_unit_test(default_doubt_is_that_of_a_reading_of_which_nothing_is_said),
    };
    return cmocka_run_group_tests_name("readings correct", tests, NULL, NULL);
}
