/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Colours: CIELAB, contrast, the scale and the pens. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "colour_difference.h"
#include "output/draw/colour.h"
#include "output/draw/pens.h"

static void lab_of_screen_colours_meets_the_standard(void **state)
{
    (void)state;
    static const struct {
        sf_colour colour;
        lab_colour lab;
    } rows[] = {
        {{255, 0, 0}, {53.2408, 80.0925, 67.2032}},
        {{0, 255, 0}, {87.7347, -86.1827, 83.1793}},
        {{0, 0, 255}, {32.2970, 79.1875, -107.8602}},
        {{128, 128, 128}, {53.5850, 0, 0}},
        {{37, 141, 203}, {55.8389, -7.0767, -40.0745}},
        {{214, 97, 61}, {55.2641, 43.7219, 42.1448}},
    };
    /* computed with numpy from IEC 61966-2-1 (sRGB) and CIE 15 (CIELAB, D65) */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        lab_colour lab = colour_to_lab(rows[i].colour);
        assert_close(lab.lightness, rows[i].lab.lightness, 0, 6e-5);
        assert_close(lab.a, rows[i].lab.a, 0, 6e-5);
        assert_close(lab.b, rows[i].lab.b, 0, 6e-5);
    }
}

static void a_screen_colour_survives_the_way_to_lab_and_back(void **state)
{
    (void)state;
    for (int red = 3; red < 256; red += 28)
        for (int green = 5; green < 256; green += 25)
            for (int blue = 1; blue < 256; blue += 23) {
                sf_colour colour = {(unsigned char)red, (unsigned char)green, (unsigned char)blue};
                sf_colour back = colour_from_lab(colour_to_lab(colour));
                assert_int_equal(back.red, red);
                assert_int_equal(back.green, green);
                assert_int_equal(back.blue, blue);
            }
}

static void the_colour_difference_meets_its_published_pairs(void **state)
{
    (void)state;
    static const struct {
        lab_colour one, other;
        double difference;
    } rows[] = {
        {{50, 2.6772, -79.7751}, {50, 0, -82.7485}, 2.0425},
        {{50, 3.1571, -77.2803}, {50, 0, -82.7485}, 2.8615},
        {{50, 2.8361, -74.0200}, {50, 0, -82.7485}, 3.4412},
        {{50, 2.5, 0}, {73, 25, -18}, 27.1492},
        {{50, 2.5, 0}, {58, 24, 15}, 19.4535},
        {{60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644},
        {{2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082},
        {{50, -1, 2}, {50, 0, 0}, 2.3669},
    };
    /* Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21, table 1 */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_close(colour_difference(rows[i].one, rows[i].other), rows[i].difference, 0, 5e-5);
        assert_close(colour_difference(rows[i].other, rows[i].one), rows[i].difference, 0, 5e-5);
    }
}

static void simulated_sights_leave_greys_as_they_are(void **state)
{
    (void)state;
    /* the rows of Machado's matrices sum to one */
    for (int eye = SIGHT_FULL; eye < SIGHT_COUNT; eye++)
        for (int grey = 7; grey < 256; grey += 31) {
            sf_colour colour = {(unsigned char)grey, (unsigned char)grey, (unsigned char)grey};
            sf_colour seen = colour_seen(colour, (sight)eye);
            assert_int_equal(seen.red, grey);
            assert_int_equal(seen.green, grey);
            assert_int_equal(seen.blue, grey);
        }
}

static void lightness_of_the_scale_rises_evenly(void **state)
{
    (void)state;
    double first = colour_to_lab(sf_palette_colour(0)).lightness;
    double last = colour_to_lab(sf_palette_colour(1)).lightness;
    assert_true(last - first > 75);
    for (int i = 1; i <= 50; i++) {
        double lightness = colour_to_lab(sf_palette_colour(i / 50.0)).lightness;
        double before = colour_to_lab(sf_palette_colour((i - 1) / 50.0)).lightness;
        assert_true(lightness > before);
        /* a colour of 8 bits a channel is up to about 0.3 off in lightness */
        assert_close(lightness, first + (last - first) * i / 50, 0, 0.3);
    }
}

static void each_tenth_of_the_scale_stays_apart_for_every_sight(void **state)
{
    (void)state;
    /* thresholds: own judgement, no source; CIEDE2000 and Machado's simulation as above */
    static const double least[SIGHT_COUNT] = {10, 6, 6, 6};
    for (int eye = SIGHT_FULL; eye < SIGHT_COUNT; eye++)
        for (int i = 0; i < 10; i++) {
            sf_colour lower = colour_seen(sf_palette_colour(i / 10.0), (sight)eye);
            sf_colour upper = colour_seen(sf_palette_colour((i + 1) / 10.0), (sight)eye);
            double apart = colour_difference(colour_to_lab(lower), colour_to_lab(upper));
            if (apart < least[eye])
                fail_msg("sight %d: tenth %d is only %.2f from the next", eye, i, apart);
        }
}

static void lightness_of_the_scale_of_changes_rises_so_that_grey_tells_the_sign(void **state)
{
    (void)state;
    double first = colour_to_lab(sf_change_colour(0)).lightness;
    double last = colour_to_lab(sf_change_colour(1)).lightness;
    assert_true(last - first > 60);
    for (int i = 1; i <= 40; i++)
        assert_close(colour_to_lab(sf_change_colour(i / 40.0)).lightness,
                     first + (last - first) * i / 40, 0, 0.4);
}

static void no_change_is_grey_and_both_signs_stay_apart_for_every_sight(void **state)
{
    (void)state;
    lab_colour middle = colour_to_lab(sf_change_colour(0.5));
    assert_true(hypot(middle.a, middle.b) < 1);
    /* threshold: own judgement, no source; CIEDE2000 and Machado's simulation as above */
    for (int eye = SIGHT_FULL; eye < SIGHT_COUNT; eye++)
        for (int i = 1; i <= 5; i++) {
            sf_colour cooler = colour_seen(sf_change_colour(0.5 - i / 10.0), (sight)eye);
            sf_colour hotter = colour_seen(sf_change_colour(0.5 + i / 10.0), (sight)eye);
            double apart = colour_difference(colour_to_lab(cooler), colour_to_lab(hotter));
            if (apart < 11 * i)
                fail_msg("sight %d: %d tenths either side are only %.2f apart", eye, i, apart);
        }
}

static void the_scale_is_held_at_its_ends(void **state)
{
    (void)state;
    sf_colour dark = sf_palette_colour(0), light = sf_palette_colour(1);
    static const double beyond[] = {-0.37, -1e300, NAN};
    for (size_t i = 0; i < 3; i++) {
        sf_colour held = sf_palette_colour(beyond[i]);
        assert_memory_equal(&held, &dark, sizeof dark);
    }
    sf_colour above = sf_palette_colour(1.0001);
    assert_memory_equal(&above, &light, sizeof light);
}

static void contrast_follows_the_formula(void **state)
{
    (void)state;
    sf_colour black = {0, 0, 0}, white = {255, 255, 255}, grey = {119, 119, 119};
    /* WCAG 2.2: 21:1 is the largest; the other computed from its formula */
    assert_close(colour_contrast(black, white), 21, 1e-6, 0);
    assert_close(colour_contrast(grey, white), 4.478090, 1e-6, 0);
    assert_close(colour_contrast(white, grey), 4.478090, 1e-6, 0);
}

static void a_mark_or_its_halo_reads_on_every_ground(void **state)
{
    (void)state;
    /* WCAG 2.2, 1.4.11: 3:1 for marks that are needed to understand */
    static const pen marks[] = {PEN_DARK, PEN_ALERT};
    for (size_t k = 0; k < 2; k++) {
        sf_colour mark = pen_colours[marks[k]], halo = pen_colours[PEN_PAPER];
        assert_true(colour_contrast(mark, halo) >= 3);
        for (int i = 0; i <= 100; i++) {
            sf_colour ground = sf_palette_colour(i / 100.0);
            assert_true(colour_contrast(ground, mark) >= 3 || colour_contrast(ground, halo) >= 3);
        }
    }
}

static void text_reads_on_every_ground(void **state)
{
    (void)state;
    /* WCAG 2.2, 1.4.3 asks 4.5:1 for text; a little less is left to the halo in the middle tones */
    for (int i = 0; i <= 100; i++) {
        sf_colour pen_used = pen_colours[pen_over_map(sf_palette_colour, i / 100.0)];
        assert_true(colour_contrast(sf_palette_colour(i / 100.0), pen_used) >= 4.0);
    }
    assert_true(colour_contrast(pen_colours[PEN_GREY], pen_colours[PEN_PAPER]) >= 4.5);
    /* a letter in the disc of a part to replace */
    assert_true(colour_contrast(pen_colours[PEN_ALERT], pen_colours[PEN_PAPER]) >= 4.5);
}

static pen_table *filled_table(void)
{
    pen_table *table = malloc(sizeof *table);
    assert_non_null(table);
    pen_table_fill(table, sf_palette_colour);
    return table;
}

static int weighted(sf_colour a, sf_colour b)
{
    int red = a.red - b.red, green = a.green - b.green, blue = a.blue - b.blue;
    return 3 * red * red + 4 * green * green + 2 * blue * blue;
}

static void a_mix_finds_the_nearest_of_all_colours(void **state)
{
    (void)state;
    pen_table *table = filled_table();
    assert_int_equal(table->count, PENS_COLOURS);
    for (int laid = 0; laid < PEN_COUNT; laid++)
        for (int under = 0; under < PENS_COLOURS; under += 3)
            for (int level = 1; level < PENS_LEVELS; level += 2) {
                sf_colour wanted = colour_mix(table->colours[under], pen_colours[laid],
                                              level / (double)PENS_LEVELS);
                unsigned char found = pen_table_mix(table, (pen)laid, level, (unsigned char)under);
                int away = weighted(table->colours[found], wanted);
                for (int i = 0; i < table->count; i++)
                    assert_true(away <= weighted(table->colours[i], wanted));
            }
    free(table);
}

static void no_ink_changes_nothing_and_a_whole_one_covers(void **state)
{
    (void)state;
    pen_table *table = filled_table();
    for (int under = 0; under < PENS_COLOURS; under += 17) {
        sf_colour before = table->colours[under];
        unsigned char same = pen_table_mix(table, PEN_ALERT, 0, (unsigned char)under);
        unsigned char whole = pen_table_mix(table, PEN_ALERT, PENS_LEVELS, (unsigned char)under);
        sf_colour alert = pen_colours[PEN_ALERT];
        assert_memory_equal(&table->colours[same], &before, sizeof before);
        assert_memory_equal(&table->colours[whole], &alert, sizeof alert);
    }
    free(table);
}

static void map_colours_follow_the_scale_and_are_held_at_its_ends(void **state)
{
    (void)state;
    pen_table *table = filled_table();
    for (int i = 0; i <= 20; i++) {
        sf_colour wanted = sf_palette_colour(i / 20.0);
        sf_colour given = table->colours[pen_map_index(i / 20.0)];
        /* half a step of the map's colours apart at most: not to be told apart by eye */
        assert_true(colour_difference(colour_to_lab(wanted), colour_to_lab(given)) < 1.3);
    }
    assert_int_equal(pen_map_index(-5.5), PENS_MAP_FIRST);
    assert_int_equal(pen_map_index(7.25), PENS_MAP_FIRST + PENS_MAP_COLOURS - 1);
    free(table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lab_of_screen_colours_meets_the_standard),
        cmocka_unit_test(a_screen_colour_survives_the_way_to_lab_and_back),
        cmocka_unit_test(the_colour_difference_meets_its_published_pairs),
        cmocka_unit_test(simulated_sights_leave_greys_as_they_are),
        cmocka_unit_test(lightness_of_the_scale_rises_evenly),
        cmocka_unit_test(each_tenth_of_the_scale_stays_apart_for_every_sight),
        cmocka_unit_test(lightness_of_the_scale_of_changes_rises_so_that_grey_tells_the_sign),
        cmocka_unit_test(no_change_is_grey_and_both_signs_stay_apart_for_every_sight),
        cmocka_unit_test(the_scale_is_held_at_its_ends),
        cmocka_unit_test(contrast_follows_the_formula),
        cmocka_unit_test(a_mark_or_its_halo_reads_on_every_ground),
        cmocka_unit_test(text_reads_on_every_ground),
        cmocka_unit_test(a_mix_finds_the_nearest_of_all_colours),
        cmocka_unit_test(no_ink_changes_nothing_and_a_whole_one_covers),
        cmocka_unit_test(map_colours_follow_the_scale_and_are_held_at_its_ends),
    };
    return cmocka_run_group_tests_name("draw: colour", tests, NULL, NULL);
}
