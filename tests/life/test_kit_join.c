/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Kits of several boards as one. */
#include "support/check.h"

#include <math.h>

#include "life/order.h"

static char no_note[] = "", lone_ref[] = "C1";

static sf_kit_line plain_line(size_t count, char *refs)
{
    return (sf_kit_line){.lead_pitch_mm = NAN,
                         .ripple_a_min = NAN,
                         .esr_ohm_max = NAN,
                         .capacitance_uf = 100,
                         .rated_v = 35,
                         .rated_c = 105,
                         .endurance_h = 2000,
                         .diameter_mm_max = 8,
                         .height_mm_max = NAN,
                         .count = count,
                         .refs = refs,
                         .note = no_note};
}

static void join(kit_join *into, const char *board, sf_kit_line line)
{
    assert_int_equal(kit_join_line(into, board, &line), SF_OK);
}

static void a_joint_line_fits_each_position(void **state)
{
    (void)state;
    kit_join kit = {0};
    sf_kit_line one = plain_line(9, (char[]){"C1 C2"}), other = plain_line(2, (char[]){"C1"});
    one.ripple_a_min = 1.5;
    one.height_mm_max = 20;
    one.note = (char[]){"no goal"};
    other.endurance_h = 5000;
    other.height_mm_max = 16;
    other.esr_ohm_max = 0.1;
    join(&kit, "psu", one);
    join(&kit, "meter", other);
    other.esr_ohm_max = 0.3;
    other.note = (char[]){"no goal"};
    join(&kit, "amp", other);
    assert_int_equal(kit_join_end(&kit, 10), SF_OK);
    assert_int_equal(kit.kit.count, 1);
    const sf_kit_line *line = &kit.kit.lines[0];
    assert_int_equal(line->count, 13);
    assert_int_equal(line->spares, 2); /* 1.3 rounded up, not 1 for each board */
    assert_close(line->endurance_h, 5000, 0, 0);
    assert_close(line->height_mm_max, 16, 0, 0);
    assert_close(line->ripple_a_min, 1.5, 0, 0);
    assert_close(line->esr_ohm_max, 0.1, 0, 0);
    assert_string_equal(line->refs, "psu: C1 C2; meter: C1; amp: C1");
    assert_string_equal(line->note, "no goal");
    assert_string_equal(
        line->description,
        "Aluminium electrolytic capacitor, 100 uF, 35 V, 105 C, at least 5,000 h, at "
        "most 8 mm wide, at most 16 mm high, ripple at least 1.5 A, ESR at most "
        "0.1 ohm");
    kit_join_clear(&kit);
}

/* Each of these would be the wrong part in the place of the other. */
static void what_differs_stays_apart_in_the_order_of_a_kit(void **state)
{
    (void)state;
    kit_join kit = {0};
    sf_kit_line lines[9];
    for (size_t i = 0; i < 9; i++)
        lines[i] = plain_line(1, lone_ref);
    lines[1].capacitance_uf = 47;
    lines[2].rated_v = 50;
    lines[3].rated_c = 125;
    lines[4].diameter_mm_max = 10;
    lines[5].type = SF_TYPE_BIPOLAR;
    lines[6].mount = SF_FORM_AXIAL;
    lines[7].low_esr = true;
    lines[8].lead_pitch_mm = 5;
    for (size_t i = 0; i < 9; i++)
        join(&kit, "psu", lines[i]);
    for (size_t i = 9; i-- > 0;)
        join(&kit, "meter", lines[i]);
    assert_int_equal(kit_join_end(&kit, 0), SF_OK);
    assert_int_equal(kit.kit.count, 9);
    for (size_t i = 0; i < 9; i++) {
        assert_int_equal(kit.kit.lines[i].count, 2);
        assert_int_equal(kit.kit.lines[i].spares, 0);
    }
    assert_close(kit.kit.lines[0].capacitance_uf, 47, 0, 0);
    assert_close(kit.kit.lines[8].rated_v, 50, 0, 0);
    kit_join_clear(&kit);
}

static void of_nothing_is_nothing(void **state)
{
    (void)state;
    kit_join kit = {0};
    assert_int_equal(kit_join_end(&kit, 10), SF_OK);
    assert_int_equal(kit.kit.count, 0);
    kit_join_clear(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_joint_line_fits_each_position),
        cmocka_unit_test(what_differs_stays_apart_in_the_order_of_a_kit),
        cmocka_unit_test(of_nothing_is_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
