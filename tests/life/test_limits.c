/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Limits of ESR and leakage that are reckoned, and the laws of the types. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/evidence.h"
#include "life/fixture.h"

static sf_part part_of(double capacitance_uf, double rated_v, double hz)
{
    sf_part part = plain_part("C1");
    part.capacitance_uf = capacitance_uf;
    part.rated_v = rated_v;
    part.esr_hz = hz;
    return part;
}

static void the_esr_limit_at_120_hz_is_tan_delta_over_the_reactance(void **state)
{
    (void)state;
    /* a maker's data sheet of a general-purpose 105 C radial series (RGA): tan delta 0.12 at 35 V,
     * 0.09 at 63 V, 0.14 at 25 V; 0.02 more for each 1,000 uF above 1,000. ESR = tan delta /
     * (2 pi 120 Hz C), computed */
    const struct {
        double uf, volts, ohm;
    } cells[] = {{100, 35, 1.5915494},  {47, 63, 2.5397066},   {1000, 25, 0.1856808},
                 {3300, 25, 0.0747546}, {10, 400, 33.1572799}, {100, 40, 1.5915494}};
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) {
        sf_part part = part_of(cells[i].uf, cells[i].volts, 120);
        assert_close(sf_esr_limit_ohm(&part, 1), cells[i].ohm, 1e-6, 0);
        assert_close(sf_esr_limit_ohm(&part, 1.3), 1.3 * cells[i].ohm, 1e-6, 0);
    }
}

/* Worst ohms of new parts by two technicians' charts at about 100 kHz, which disagree two- to
 * fourfold: (1) "ESR chart" of an electronics workshop's page, rows 10 to 1,000 uF; (2) the chart
 * of a second page, four of its cells. A limit that condemns must not lie below what (1) allows of
 * a new part, nor so far above that it finds nothing: at most five times. */
static void the_esr_limit_at_100_khz_lies_where_the_charts_are(void **state)
{
    (void)state;
    const struct {
        double uf, volts, ohm;
    } first[] = {{10, 16, 8.0},    {10, 25, 5.3},    {22, 16, 3.6},    {22, 25, 2.1},
                 {47, 10, 2.2},    {47, 16, 1.6},    {47, 25, 1.2},    {47, 35, 0.68},
                 {47, 63, 0.56},   {100, 10, 1.2},   {100, 16, 0.7},   {100, 25, 0.32},
                 {100, 35, 0.32},  {100, 63, 0.3},   {220, 16, 0.33},  {220, 25, 0.23},
                 {220, 35, 0.17},  {220, 63, 0.16},  {470, 16, 0.18},  {470, 35, 0.09},
                 {1000, 16, 0.09}, {1000, 35, 0.07}, {1000, 63, 0.05}, {47, 250, 0.8}};
    for (size_t i = 0; i < sizeof first / sizeof *first; i++) {
        sf_part part = part_of(first[i].uf, first[i].volts, 100e3);
        double limit_ohm = sf_esr_limit_ohm(&part, 1.3);
        assert_true(limit_ohm >= first[i].ohm);
        assert_true(limit_ohm <= 5 * first[i].ohm);
    }
    const double second[][3] = {{10, 16, 16}, {100, 25, 1.40}, {1000, 25, 0.14}, {10, 250, 6.3}};
    for (size_t i = 0; i < 4; i++) {
        sf_part part = part_of(second[i][0], second[i][1], 100e3);
        double ratio = sf_esr_limit_ohm(&part, 1.3) / second[i][2];
        assert_true(ratio > 0.75 && ratio < 3); /* most at 250 V: 2.5 */
    }
}

static void the_esr_limit_falls_with_frequency_as_the_ripple_allowed_grows(void **state)
{
    (void)state;
    /* a maker's data sheet of an axial 85 C series (document 28325, 2003, page 10): ripple allowed
     * at 1 kHz 1.20 times, from 10 kHz on 1.30 times that at 100 Hz, 25 to 40 V */
    sf_part at_100 = part_of(100, 35, 100), at_1k = part_of(100, 35, 1000);
    sf_part at_10k = part_of(100, 35, 10e3), at_100k = part_of(100, 35, 100e3);
    double base_ohm = sf_esr_limit_ohm(&at_100, 1);
    assert_close(sf_esr_limit_ohm(&at_1k, 1), base_ohm / (1.20 * 1.20), 1e-12, 0);
    assert_close(sf_esr_limit_ohm(&at_10k, 1), base_ohm / (1.30 * 1.30), 1e-12, 0);
    assert_close(sf_esr_limit_ohm(&at_100k, 1), base_ohm / (1.30 * 1.30), 1e-12, 0);
}

static void what_is_given_goes_before_what_is_reckoned(void **state)
{
    (void)state;
    sf_part part = part_of(100, 35, 100e3);
    part.esr_limit_ohm = 0.37;
    part.leakage_limit_ua = 11;
    assert_close(sf_esr_limit_ohm(&part, 1.3), 0.37, 0, 0);
    assert_close(sf_leakage_limit_ua(&part), 11, 0, 0);
    part.esr_limit_ohm = NAN;
    part.tan_delta = 0.06; /* half of the table's */
    sf_part usual = part_of(100, 35, 100e3);
    assert_close(sf_esr_limit_ohm(&part, 1), sf_esr_limit_ohm(&usual, 1) / 2, 1e-12, 0);
    part.rated_v = part.tan_delta = NAN;
    assert_true(isnan(sf_esr_limit_ohm(&part, 1)));
    usual.type = SF_TYPE_POLYMER; /* the table is of wet parts */
    assert_true(isnan(sf_esr_limit_ohm(&usual, 1)) && isnan(sf_leakage_limit_ua(&usual)));
}

static void the_leakage_limit_is_that_of_the_data_sheet(void **state)
{
    (void)state;
    /* the same data sheet (RGA): 0.01 CV or 3 uA, whichever is more, up to 100 V; above 0.03 CV +
     * 15 where CV is at most 1,000, else 0.02 CV + 25 */
    const double cells[][3] = {{100, 35, 35}, {4.7, 50, 3}, {2.2, 400, 41.4}, {47, 400, 401}};
    for (size_t i = 0; i < 4; i++) {
        sf_part part = part_of(cells[i][0], cells[i][1], 120);
        assert_close(sf_leakage_limit_ua(&part), cells[i][2], 1e-12, 0);
    }
}

static evidence found_on(const sf_part *part)
{
    sf_policy policy = usual_policy();
    meter with = {.bias = 1};
    return evidence_gather(part, &with, &policy);
}

static void leakage_and_what_the_eye_and_nose_find_are_evidence(void **state)
{
    (void)state;
    sf_part part = part_of(100, 35, 100e3); /* 35 uA; worn above five times that */
    part.leakage_ua = 34;
    evidence found = found_on(&part);
    assert_false(found.worn || found.doubtful);
    part.leakage_ua = 36;
    found = found_on(&part);
    assert_true(found.doubtful && !found.worn);
    part.leakage_ua = 176;
    found = found_on(&part);
    assert_true(found.worn);
    part.leakage_ua = NAN;
    const sf_condition worn[] = {SF_CONDITION_BULGED, SF_CONDITION_LEAKING, SF_CONDITION_CRUSTED,
                                 SF_CONDITION_CORRODED};
    for (size_t i = 0; i < 4; i++) {
        part.condition = worn[i];
        found = found_on(&part);
        assert_true(found.worn); /* common practice, no source */
    }
    part.condition = SF_CONDITION_SMELLS; /* of itself or of a neighbour: a look, no sentence */
    found = found_on(&part);
    assert_true(found.doubtful && !found.worn);
}

static void a_polymer_lives_ten_times_as_long_for_20_k_less(void **state)
{
    (void)state;
    /* makers' technical notes of solid polymer (from memory): 2,000 h at 105 C are 20,000 at 85 and
     * 200,000 at 65 C */
    double doubling_k = sf_life_doubling_k(SF_TYPE_POLYMER);
    assert_close(sf_life_hours_by(doubling_k, 2000, 105, 85, 40), 20000, 1e-12, 0);
    assert_close(sf_life_hours_by(doubling_k, 2000, 105, 65, 40), 200000, 1e-12, 0);
    const sf_part_type ten[] = {SF_TYPE_ALUMINIUM, SF_TYPE_BIPOLAR, SF_TYPE_HYBRID};
    for (size_t i = 0; i < 3; i++)
        assert_close(sf_life_doubling_k(ten[i]), 10, 0, 0);
}

static void a_polymer_part_is_judged_by_its_own_law(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    part.type = SF_TYPE_POLYMER;
    part.rated_c = 105;
    sf_job job = plain_job(&part, 1);
    sf_part_result result = decide_one(&job, 42, 1); /* 65 C */
    assert_close(result.used, 24000 / 200000.0, 1e-9, 0);
    assert_int_equal(result.verdict, SF_LEAVE);
    free(result.reason);
    part.type = SF_TYPE_ALUMINIUM; /* 32,000 h by the 10-kelvin rule */
    result = decide_one(&job, 42, 1);
    assert_close(result.used, 24000 / 32000.0, 1e-9, 0);
    free(result.reason);
}

static void types_without_a_law_are_left_to_meter_and_eye_and_told_why(void **state)
{
    (void)state;
    const sf_part_type types[] = {SF_TYPE_TANTALUM, SF_TYPE_FILM};
    for (size_t i = 0; i < 2; i++) {
        sf_part part = plain_part("C1");
        part.type = types[i];
        part.critical = true;
        part.year = 1970;
        sf_job job = plain_job(&part, 1);
        sf_part_result result =
            decide_one(&job, 50, 1); /* wet aluminium would be past its rated life */
        assert_int_equal(result.verdict, SF_LEAVE);
        assert_true(isnan(result.used) && isnan(result.life_h) && isnan(result.past_life));
        assert_non_null(strstr(result.reason, sf_life_no_law_text(types[i])));
        free(result.reason);
        result = decide_one(&job, 66, 1); /* 89 C on a rating of 85 */
        assert_int_equal(result.verdict, SF_CHECK);
        free(result.reason);
        part.measured_uf = 21;
        result = decide_one(&job, 10, 1);
        assert_int_equal(result.verdict, SF_REPLACE);
        free(result.reason);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_esr_limit_at_120_hz_is_tan_delta_over_the_reactance),
        cmocka_unit_test(the_esr_limit_at_100_khz_lies_where_the_charts_are),
        cmocka_unit_test(the_esr_limit_falls_with_frequency_as_the_ripple_allowed_grows),
        cmocka_unit_test(what_is_given_goes_before_what_is_reckoned),
        cmocka_unit_test(the_leakage_limit_is_that_of_the_data_sheet),
        cmocka_unit_test(leakage_and_what_the_eye_and_nose_find_are_evidence),
        cmocka_unit_test(a_polymer_lives_ten_times_as_long_for_20_k_less),
        cmocka_unit_test(a_polymer_part_is_judged_by_its_own_law),
        cmocka_unit_test(types_without_a_law_are_left_to_meter_and_eye_and_told_why),
    };
    return cmocka_run_group_tests_name("limits and types", tests, NULL, NULL);
}
