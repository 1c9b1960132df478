/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What values and packages say. Values are written as IEC 60062 and bench habit have them; names of
 * packages are built like those of the footprint libraries of KiCad (its library convention, F3).
 */
#include "support/check.h"

#include <math.h>

#include "job/value_words.h"

static struct value_words value_of(const char *words)
{
    struct value_words said = no_value_words;
    value_words_read(words, &said);
    return said;
}

static void check_value(const char *words, double uf, double volts, double celsius)
{
    const double wanted[] = {uf, volts, celsius};
    struct value_words said = value_of(words);
    const double got[] = {said.capacitance_uf, said.rated_v, said.rated_c};
    for (size_t i = 0; i < 3; i++) {
        if (isnan(wanted[i]) != isnan(got[i]))
            fail_msg("%s: %zu is %g", words, i, got[i]);
        if (!isnan(wanted[i]))
            assert_close(got[i], wanted[i], 1e-12, 0);
    }
}

static void values_are_read_as_they_are_written(void **state)
{
    (void)state;
    check_value("470u/25V", 470, 25, NAN);
    check_value("4u7 63V", 4.7, 63, NAN);
    check_value("470uF 35V 105C", 470, 35, 105);
    check_value("470 uF, 6V3, 105 \u00B0C", 470, 6.3, 105);
    check_value("2,2\u00B5F/400VDC", 2.2, 400, NAN);
    check_value("330/35/105", 330, 35, 105);
    check_value("C_Pol 0u47", 0.47, NAN, NAN);
    check_value("100n", 0.1, NAN, NAN);
    check_value("22p 50V", 22e-6, 50, NAN);
    check_value("1000u 20% 16V", 1000, 16, NAN);
}

static void what_is_no_value_is_passed_over(void **state)
{
    (void)state;
    check_value("10k", NAN, NAN, NAN);
    check_value("470", NAN, NAN, NAN);
    check_value("MC34U63", NAN, NAN, NAN);
    check_value("", NAN, NAN, NAN);
    check_value("9999999999999999999999999999999999u", NAN, NAN, NAN);
    check_value("30V 90C", NAN, 30, NAN); /* no grade of capacitors */
}

static void milli_is_doubted(void **state)
{
    (void)state;
    assert_true(value_of("4m7/40V").milli);
    assert_true(isnan(value_of("4m7/40V").capacitance_uf));
    assert_false(value_of("47u/40V").milli);
}

static void watts_are_read(void **state)
{
    (void)state;
    assert_close(value_of("47R 5W").power_w, 5, 1e-12, 0);
    assert_true(isnan(value_of("47R").power_w));
}

static struct package_words package_of(const char *name)
{
    struct package_words said;
    package_words_read(name, &said);
    return said;
}

static void cans_have_their_size_in_their_name(void **state)
{
    (void)state;
    struct package_words radial = package_of("Capacitor_THT:CP_Radial_D10.0mm_P5.00mm");
    assert_true(radial.polarized && radial.form == SF_FORM_RADIAL);
    assert_close(radial.diameter_mm, 10, 1e-12, 0);
    assert_close(radial.lead_pitch_mm, 5, 1e-12, 0);
    assert_true(isnan(radial.height_mm));
    struct package_words flat = package_of("CP_Elec_8x10.5");
    assert_close(flat.diameter_mm, 8, 1e-12, 0);
    assert_close(flat.height_mm, 10.5, 1e-12, 0);
    assert_true(package_of("CP_Radial_D22.0mm_P10.00mm_SnapIn").form == SF_FORM_SNAP_IN);
    assert_true(package_of("CP_Axial_L18.0mm_D8.0mm_P25.00mm_Horizontal").form == SF_FORM_AXIAL);
    assert_true(package_of("CP_EIA-3528-21_Kemet-B").tantalum);
    assert_true(package_of("C_0603_1608Metric").chip);
    assert_false(package_of("C_0603_1608Metric").polarized);
}

static void sources_have_the_size_of_their_body(void **state)
{
    (void)state;
    struct package_words tab = package_of("Package_TO_SOT_THT:TO-220-3_Vertical");
    assert_true(tab.power);
    assert_close(tab.length_mm, 10.2, 1e-12, 0);
    struct package_words wire = package_of("R_Axial_Power_L20.0mm_W6.4mm_P22.40mm");
    assert_true(wire.power);
    assert_close(wire.length_mm, 20, 1e-12, 0);
    assert_close(wire.width_mm, 6.4, 1e-12, 0);
    assert_false(package_of("R_Axial_DIN0207_L6.3mm_D2.5mm_P7.62mm").power);
    assert_false(package_of("TO-92_Inline").power);
    assert_false(package_of("TO-39-3").power);
    assert_false(package_of("SOT-23").power);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_are_read_as_they_are_written),
        cmocka_unit_test(what_is_no_value_is_passed_over),
        cmocka_unit_test(milli_is_doubted),
        cmocka_unit_test(watts_are_read),
        cmocka_unit_test(cans_have_their_size_in_their_name),
        cmocka_unit_test(sources_have_the_size_of_their_body),
    };
    return cmocka_run_group_tests_name("brought words", tests, NULL, NULL);
}
