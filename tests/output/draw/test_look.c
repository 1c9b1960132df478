/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The map's own signs: notches that point at what was read, and the scale with its life bounds. */
#include "drawn.h"

#include <math.h>
#include <string.h>

#include "output/draw/pens.h"
#include "output/draw/symbols.h"
#include "planned.h"

static bool is_paper(sf_colour seen)
{
    return seen.red > 235 && seen.green > 235 && seen.blue > 235;
}

/* so near to the ink of marks that an eye takes it for it; its halo is white */
static bool is_dark(sf_colour seen)
{
    return difference(seen, pen_colours[PEN_DARK]) < 30;
}

/* a board of one temperature, in a colour far from dark and from white, with readings alone */
static double in_the_middle(double x_mm, double y_mm)
{
    return x_mm < 5 && y_mm < 5 ? 20 : x_mm > 210 && y_mm < 5 ? 100 : 72;
}

static void make_plain(invented *made, sf_observation *readings, size_t count)
{
    make_bare(made);
    invented_set_field(made, in_the_middle);
    made->scene.observations = readings;
    made->scene.observation_count = count;
    made->scene.observation_labels = NULL;
}

/* How far the nearest dark pixel is from a place, by its nearest edge; and in *box_of all of them
 * within 30 pixels. */
static double nearest_dark_px(const drawn *in, place from, box *box_of)
{
    double nearest = INFINITY;
    *box_of = (box){1e9, 1e9, -1e9, -1e9};
    for (int y = (int)from.y_px - 30; y <= (int)from.y_px + 30; y++)
        for (int x = (int)from.x_px - 30; x <= (int)from.x_px + 30; x++) {
            if (!is_dark(colour_at_px(in, x, y)))
                continue;
            double dx = fmax(fmax(x - from.x_px, from.x_px - (x + 1)), 0);
            double dy = fmax(fmax(y - from.y_px, from.y_px - (y + 1)), 0);
            nearest = fmin(nearest, hypot(dx, dy));
            *box_of = (box){fmin(box_of->left, x), fmin(box_of->top, y), fmax(box_of->right, x + 1),
                            fmax(box_of->bottom, y + 1)};
        }
    return nearest;
}

/* the tip within a pixel, and no ink beyond it: the mark points there, and stands on one side */
static void a_notch_points_at_its_reading_to_the_pixel(void **state)
{
    (void)state;
    static const int widths_px[] = {1200, 1600};
    static const sf_method methods[] = {SF_METHOD_THERMOCOUPLE_T, SF_METHOD_INFRARED};
    for (size_t w = 0; w < 2; w++)
        for (size_t m = 0; m < 2; m++)
            for (size_t k = 0; k < 7; k++) {
                sf_observation one = {.x_mm = 41.3 + 5.19 * (double)k,
                                      .y_mm = 33.8 + 3.07 * (double)k,
                                      .in_fit = true,
                                      .method = methods[m]};
                invented board;
                make_plain(&board, &one, 1);
                drawn made = draw_at(&board.scene, widths_px[w]);
                place spot = {made.frame.left_px + one.x_mm * made.frame.px_per_mm,
                              made.frame.bottom_px - one.y_mm * made.frame.px_per_mm};
                box inked;
                assert_true(nearest_dark_px(&made, spot, &inked) <= 1);
                assert_true(inked.bottom <= spot.y_px + 1.5);
                assert_true(inked.bottom - inked.top > 0.8 * layout_em(widths_px[w]));
                assert_close((inked.left + inked.right) / 2, spot.x_px, 0, 1);
                gdImageDestroy(made.image);
                invented_free(&board);
            }
}

/* a place in a notch that stands above its spot: up from the tip and aside, in ems */
static sf_colour in_notch(const drawn *in, const sf_observation *of, double up, double aside)
{
    double em_px = layout_em(1600);
    return colour_at_px(
        in, (int)floor(in->frame.left_px + of->x_mm * in->frame.px_per_mm + aside * em_px),
        (int)floor(in->frame.bottom_px - of->y_mm * in->frame.px_per_mm - up * em_px));
}

static void the_instrument_shows_in_the_shape_and_a_bar_tells_what_is_not_in_the_fit(void **state)
{
    (void)state;
    sf_observation read[] = {
        {.x_mm = 30, .y_mm = 40, .in_fit = true, .method = SF_METHOD_THERMOCOUPLE_K},
        {.x_mm = 60, .y_mm = 40, .in_fit = true, .method = SF_METHOD_INFRARED},
        {.x_mm = 110, .y_mm = 40, .in_fit = false, .method = SF_METHOD_THERMOCOUPLE_J},
        {.x_mm = 130, .y_mm = 40, .in_fit = false, .method = SF_METHOD_INFRARED}};
    invented board;
    make_plain(&board, read, 4);
    drawn made = draw_at(&board.scene, 1600);
    sf_colour white = {255, 255, 255};
    assert_true(is_dark(in_notch(&made, &read[0], 0.85, 0)));
    assert_true(difference(in_notch(&made, &read[1], 0.85, 0), white) < 8);
    assert_true(is_dark(in_notch(&made, &read[1], 0.85, 0.28)));
    /* half of 0.62 em is the notch's own width at its far end: beside it there is only a bar */
    for (size_t i = 0; i < 4; i++)
        assert_true(is_dark(in_notch(&made, &read[i], 0.95 * 0.7, 0.45)) == !read[i].in_fit);
    gdImageDestroy(made.image);
    invented_free(&board);
}

static void readings_at_one_place_stand_on_sides_of_their_own_and_off_discs(void **state)
{
    (void)state;
    sf_observation read[] = {{.x_mm = 60, .y_mm = 40, .in_fit = true},
                             {.x_mm = 60, .y_mm = 40, .in_fit = true},
                             {.x_mm = 120, .y_mm = 40, .in_fit = true}};
    sf_part above = {.ref = "C1", .x_mm = 120, .y_mm = 44, .diameter_mm = 7};
    sf_part_result result = {.verdict = SF_REPLACE};
    invented board;
    make_plain(&board, read, 3);
    sf_part *none = board.job.parts;
    board.job.parts = &above;
    board.job.part_count = 1;
    board.scene.results = &result;
    map planned = planned_of(&board, 1600);
    assert_int_not_equal(planned.readings[0].side, planned.readings[1].side);
    assert_int_equal(planned.readings[0].side, NOTCH_ABOVE);
    assert_int_equal(planned.readings[2].side, NOTCH_BELOW);
    for (size_t i = 0; i < 3; i++) {
        place spot = map_place(&planned, read[i].x_mm, read[i].y_mm);
        assert_close(planned.readings[i].tip.x_px, spot.x_px, 0, 1e-9);
        assert_close(planned.readings[i].tip.y_px, spot.y_px, 0, 1e-9);
    }
    map_close(&planned);
    board.job.parts = none;
    board.job.part_count = 0;
    invented_free(&board);
}

/* a source of 30 x 12 mm: its frame of the solder side is SOLDER_MARGIN em outside its own line */
static void a_source_on_the_solder_side_is_framed(void **state)
{
    (void)state;
    sf_source_fit fit = {
        .ref = "R7", .listed = true, .x_mm = 80, .y_mm = 60, .width_mm = 30, .height_mm = 12};
    for (int below = 0; below < 2; below++) {
        sf_source listed = {.ref = "R7", .side = below ? SF_SIDE_SOLDER : SF_SIDE_EITHER};
        invented board;
        make_plain(&board, NULL, 0);
        board.scene.sources = &fit;
        board.scene.source_count = 1;
        board.job.sources = &listed;
        board.job.source_count = 1;
        drawn made = draw_at(&board.scene, 1600);
        double margin_mm = SOLDER_MARGIN * layout_em(1600) / made.frame.px_per_mm;
        assert_true(is_dark(colour_at_mm(&made, 65, 57)));
        assert_true(is_dark(colour_at_mm(&made, 65 - margin_mm, 57)) == (below == 1));
        assert_true(is_dark(colour_at_mm(&made, 72, 66 + margin_mm)) == (below == 1));
        /* heavier than any line of the ground, and between white ones on any colour */
        double em_mm = layout_em(1600) / made.frame.px_per_mm;
        for (int side = -1; below && side <= 1; side += 2) {
            double frame_mm = 66 + margin_mm, edge_mm = frame_mm + side * 0.06 * em_mm;
            assert_true(is_dark(colour_at_mm(&made, 72, edge_mm)));
            assert_true(is_paper(colour_at_mm(&made, 72, frame_mm + side * 0.165 * em_mm)));
        }
        gdImageDestroy(made.image);
        board.job.sources = NULL;
        board.job.source_count = 0;
        invented_free(&board);
    }
}

/* a mark as drawn lies whole on the plot, and in the picture nothing of it is cut: with its spot on
 * an edge or in a corner it is the same mark as in the middle of the board */
static void a_notch_at_the_edge_of_the_board_is_whole(void **state)
{
    (void)state;
    static const double at_mm[][2] = {{0, 40},   {0, 0},    {0, 160},    {220, 0},
                                      {220, 60}, {90, 0},   {90, 160},   {-9, 40},
                                      {-9, 171}, {226, -8}, {219.9, 99}, {158.4, 130}};
    static const int widths_px[] = {400, 800, 1600, 3200};
    for (size_t w = 0; w < 4; w++)
        for (size_t i = 0; i < 2 * sizeof at_mm / sizeof at_mm[0]; i++) {
            sf_observation read[5];
            /* the first ones push the next to the sides that are left */
            for (size_t k = 0; k < 5; k++)
                read[k] = (sf_observation){
                    .x_mm = at_mm[i / 2][0], .y_mm = at_mm[i / 2][1], .in_fit = i % 2 == 0};
            invented board;
            make_plain(&board, read, 5);
            map planned = planned_of(&board, widths_px[w]);
            assert_non_null(planned.readings);
            for (size_t k = 0; k < 5; k++)
                assert_true(box_holds(planned.page.plot,
                                      notch_extent(&planned.readings[k], planned.page.em_px)));
            map_close(&planned);
            invented_free(&board);
        }
}

/* dark pixels down a column of the room above the strip, at a share of its length */
static int rail_px(const drawn *in, const layout *page, double share)
{
    int dark = 0, x = (int)(page->strip.left + share * (page->strip.right - page->strip.left));
    int from = (int)(page->strip.top - SCALE_RAIL * page->em_px);
    for (int y = from; y < (int)page->strip.top - 1; y++)
        dark += is_dark(colour_at_px(in, x, y));
    return dark;
}

/* what the rail shows at 4 %, where words stand if there is none, and on both sides of 42 and of 76
 * C on a scale of 20 to 100 C */
static void assert_rail(double warm_c, double hot_c, const int wanted[5])
{
    static const double shares[] = {0.04, 0.26, 0.3, 0.68, 0.73};
    invented board;
    make_plain(&board, NULL, 0);
    sf_zones zones = {.hot_from_c = hot_c, .warm_from_c = warm_c};
    board.scene.zones = &zones;
    map planned = planned_of(&board, 1600);
    assert_close(planned.scale.low, 20, 0, 1e-9);
    assert_close(planned.scale.high, 100, 0, 1e-9);
    drawn made = draw_at(&board.scene, 1600);
    /* lines of 0.16 and 0.26 em, of 19 pixels an em: 3 and 5, smooth edges apart */
    static const int least[] = {0, 2, 4}, most[] = {0, 3, 6};
    for (int i = isfinite(warm_c) || isfinite(hot_c) ? 0 : 1; i < 5; i++)
        assert_in_range(rail_px(&made, &planned.page, shares[i]), least[wanted[i]],
                        most[wanted[i]]);
    gdImageDestroy(made.image);
    map_close(&planned);
    invented_free(&board);
}

static void a_rail_over_the_scale_tells_from_where_rated_life_is_used(void **state)
{
    (void)state;
    assert_rail(42, 76, (const int[]){0, 0, 1, 1, 2});
    assert_rail(NAN, 76, (const int[]){0, 0, 0, 0, 2});
    assert_rail(42, 140, (const int[]){0, 0, 1, 1, 1});
    assert_rail(-INFINITY, -INFINITY, (const int[]){2, 2, 2, 2, 2});
    assert_rail(INFINITY, INFINITY, (const int[]){0, 0, 0, 0, 0});
    assert_rail(NAN, NAN, (const int[]){0, 0, 0, 0, 0});
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_notch_points_at_its_reading_to_the_pixel),
        cmocka_unit_test(the_instrument_shows_in_the_shape_and_a_bar_tells_what_is_not_in_the_fit),
        cmocka_unit_test(readings_at_one_place_stand_on_sides_of_their_own_and_off_discs),
        cmocka_unit_test(a_source_on_the_solder_side_is_framed),
        cmocka_unit_test(a_notch_at_the_edge_of_the_board_is_whole),
        cmocka_unit_test(a_rail_over_the_scale_tells_from_where_rated_life_is_used),
    };
    return cmocka_run_group_tests_name("draw: look", tests, NULL, NULL);
}
