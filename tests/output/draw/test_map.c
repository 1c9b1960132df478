/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The page's layout, where isotherms lie, and what the legend says. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "planned.h"

/* a row of the invented boards that the picture has to cope with */
static const double boards_mm[][2] = {{220, 160}, {400, 20}, {20, 400},   {10, 10},    {600, 500},
                                      {100, 160}, {2000, 3}, {1.5, 1900}, {1999, 2000}};

static layout layout_of(int width_px, const double *board_mm, size_t entries, size_t titles)
{
    layout_needs needs = {.width_px = width_px,
                          .board_width_mm = board_mm[0],
                          .board_height_mm = board_mm[1],
                          .title_lines = titles,
                          .legend_entries = entries,
                          .legend_width_px = 13.4 * layout_em(width_px)};
    return layout_make(&needs);
}

static void assert_apart(const layout *made)
{
    const box boxes[] = {made->title,  made->plot,      made->scale,
                         made->legend, made->scale_bar, made->footer};
    const box page = {0, 0, made->frame.width_px, made->frame.height_px};
    for (size_t i = 0; i < 6; i++) {
        assert_true(box_holds(page, boxes[i]));
        for (size_t k = i + 1; k < 6; k++)
            assert_false(boxes_meet(boxes[i], boxes[k]));
    }
    assert_true(box_holds(made->plot, made->board));
    assert_true(box_holds(made->scale, made->strip));
}

static void nothing_on_the_page_overlaps_whatever_the_board(void **state)
{
    (void)state;
    static const int widths_px[] = {400, 555, 800, 1600, 8000};
    for (size_t w = 0; w < 5; w++)
        for (size_t b = 0; b < sizeof boards_mm / sizeof boards_mm[0]; b++)
            for (size_t entries = 1; entries <= 12; entries += 11)
                for (size_t titles = 0; titles <= 4; titles += 2) {
                    layout made = layout_of(widths_px[w], boards_mm[b], entries, titles);
                    assert_apart(&made);
                    assert_true(made.frame.height_px <= 2.3 * made.frame.width_px);
                }
}

static void the_scale_lies_under_the_board_and_as_wide_where_words_have_room(void **state)
{
    (void)state;
    static const int widths_px[] = {400, 800, 1600, 8000};
    for (size_t w = 0; w < 4; w++)
        for (size_t b = 0; b < sizeof boards_mm / sizeof boards_mm[0]; b++) {
            layout made = layout_of(widths_px[w], boards_mm[b], 12, 3);
            double wide_px = made.strip.right - made.strip.left;
            assert_true(made.scale.top > made.board.bottom);
            assert_true(wide_px > 15 * (made.strip.bottom - made.strip.top));
            if (made.board.right - made.board.left >= 24 * made.em_px) {
                assert_close(made.strip.left, made.board.left, 0, 1e-9);
                assert_close(made.strip.right, made.board.right, 0, 1e-9);
            }
        }
}

static void the_board_is_to_scale(void **state)
{
    (void)state;
    for (size_t b = 0; b < sizeof boards_mm / sizeof boards_mm[0]; b++) {
        layout made = layout_of(1600, boards_mm[b], 9, 3);
        double px_per_mm = made.frame.px_per_mm;
        assert_close(made.board.right - made.board.left, boards_mm[b][0] * px_per_mm, 1e-9, 0);
        assert_close(made.board.bottom - made.board.top, boards_mm[b][1] * px_per_mm, 1e-9, 0);
        assert_close(made.frame.left_px, made.board.left, 1e-12, 0);
        assert_close(made.frame.bottom_px, made.board.bottom, 1e-12, 0);
        assert_int_equal(made.frame.width_px, 1600);
    }
}

static void a_larger_picture_is_the_same_page_enlarged(void **state)
{
    (void)state;
    layout small = layout_of(1000, boards_mm[0], 9, 3), large = layout_of(8000, boards_mm[0], 9, 3);
    assert_close(large.em_px, 8 * small.em_px, 1e-9, 0);
    assert_close(large.board.right, 8 * small.board.right, 1e-9, 0);
    assert_close(large.legend.top, 8 * small.legend.top, 1e-9, 0);
}

static void parts_that_hang_over_the_edge_are_whole_in_the_picture(void **state)
{
    (void)state;
    static const int widths_px[] = {400, 800, 1600, 3200};
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    board.job.parts[3].x_mm = -2;
    board.job.parts[3].diameter_mm = 37;
    board.job.parts[5].x_mm = 221.5;
    board.job.parts[5].diameter_mm = 22;
    board.job.parts[7].y_mm = -1.3;
    board.job.parts[7].diameter_mm = 31;
    board.job.parts[9].y_mm = 161.7;
    board.job.parts[9].diameter_mm = 45;
    for (size_t w = 0; w < 4; w++) {
        map planned = planned_of(&board, widths_px[w]);
        for (size_t i = 3; i <= 9; i += 2) {
            place centre = map_place(&planned, board.job.parts[i].x_mm, board.job.parts[i].y_mm);
            double width_px = 2 * map_part_radius(&planned, &board.job.parts[i]);
            assert_true(box_holds(planned.page.plot, box_about(centre, width_px, width_px)));
        }
        assert_apart(&planned.page);
        map_close(&planned);
    }
    invented_free(&board);
}

static double tilted_plane(double x_mm, double y_mm)
{
    return 34.3 + 0.171 * x_mm + 0.093 * y_mm;
}

static double round_hill(double x_mm, double y_mm)
{
    return 98.6 - 0.437 * hypot(x_mm - 81.7, y_mm - 63.2);
}

/* every place of every line that lies on the board is where the function says, to half a pixel */
static void assert_lines_lie(double (*field)(double, double), double slope_per_mm, bool not_at_top)
{
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    invented_set_field(&board, field);
    map planned = planned_of(&board, 1600);
    const contours *lines = &planned.lines.lines;
    double px_per_mm = planned.page.frame.px_per_mm;
    size_t seen = 0;
    for (size_t i = 0; i < lines->count; i++)
        for (size_t k = 0; k < lines->lines[i].count; k++) {
            place at = lines->places[lines->lines[i].first + k];
            if (!mask_covers(&planned.canvas.board, at))
                continue;
            double x_mm = (at.x_px - planned.page.frame.left_px) / px_per_mm;
            double y_mm = (planned.page.frame.bottom_px - at.y_px) / px_per_mm;
            double off_k = field(x_mm, y_mm) - lines->lines[i].level;
            if (!not_at_top || lines->lines[i].level < 92)
                assert_close(off_k / slope_per_mm * px_per_mm, 0, 0, 0.5);
            seen++;
        }
    assert_true(seen > 100);
    map_close(&planned);
    invented_free(&board);
}

static void isotherms_of_a_plane_lie_where_they_should(void **state)
{
    (void)state;
    assert_lines_lie(tilted_plane, hypot(0.171, 0.093), false);
}

static void isotherms_of_a_cone_lie_where_they_should(void **state)
{
    (void)state;
    assert_lines_lie(round_hill, 0.437, true);
}

static void words_along_isotherms_stand_in_a_gap_and_name_their_level(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    map planned = planned_of(&board, 1600);
    size_t named = 0;
    for (size_t i = 0; i < planned.lines.word_count; i++) {
        const line_words *words = &planned.lines.words[i];
        double level = planned.lines.lines.lines[words->line].level;
        const char *number = strpbrk(words->look->words, "0123456789");
        assert_close(atof(number), level, 0, 0.51);
        assert_true(words->to_px > words->from_px + 10);
        assert_in_range(words->angle_deg + 90, 0, 180);
        named++;
    }
    assert_true(named >= 8);
    map_close(&planned);
    invented_free(&board);
}

static void the_legend_counts_what_is_drawn(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    board.zones.hot_from_c = 78.4;
    board.zones.warm_from_c = NAN;
    map planned = planned_of(&board, 1600);
    size_t counts[SF_VERDICT_COUNT] = {0};
    for (size_t i = 0; i < 90; i++)
        counts[board.results[i].verdict]++;
    char words[SF_VERDICT_COUNT][24];
    snprintf(words[SF_REPLACE], sizeof words[0], "replace %zu", counts[SF_REPLACE]);
    snprintf(words[SF_CHECK], sizeof words[0], "check %zu", counts[SF_CHECK]);
    snprintf(words[SF_LEAVE], sizeof words[0], "leave %zu", counts[SF_LEAVE]);
    for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
        assert_true(has_entry(&planned.signs, words[verdict]));
    assert_true(has_entry(&planned.signs, "heat source 7"));
    assert_true(has_entry(&planned.signs, "unlisted heat 1"));
    assert_true(has_entry(&planned.signs, "thermocouple 17"));
    assert_true(has_entry(&planned.signs, "infrared 6"));
    assert_true(has_entry(&planned.signs, "reading not in the fit 1"));
    assert_true(has_entry(&planned.signs, "no-touch area 1"));
    assert_true(has_entry(&planned.signs, "rated life used up"));
    assert_true(has_entry(&planned.signs, "isotherm, every 10 \u00b0C"));
    assert_int_equal(planned.signs.count, 11);
    map_close(&planned);
    invented_free(&board);
}

static void a_map_of_doubt_has_no_zone_edges(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    board.scene.unit = "K";
    map planned = planned_of(&board, 800);
    assert_true(isnan(planned.edges.hot_from) && isnan(planned.edges.warm_from));
    assert_true(has_entry(&planned.signs, "contour, every 10 K"));
    map_close(&planned);
    invented_free(&board);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_on_the_page_overlaps_whatever_the_board),
        cmocka_unit_test(the_scale_lies_under_the_board_and_as_wide_where_words_have_room),
        cmocka_unit_test(the_board_is_to_scale),
        cmocka_unit_test(a_larger_picture_is_the_same_page_enlarged),
        cmocka_unit_test(parts_that_hang_over_the_edge_are_whole_in_the_picture),
        cmocka_unit_test(isotherms_of_a_plane_lie_where_they_should),
        cmocka_unit_test(isotherms_of_a_cone_lie_where_they_should),
        cmocka_unit_test(words_along_isotherms_stand_in_a_gap_and_name_their_level),
        cmocka_unit_test(the_legend_counts_what_is_drawn),
        cmocka_unit_test(a_map_of_doubt_has_no_zone_edges),
    };
    return cmocka_run_group_tests_name("draw: map", tests, NULL, NULL);
}
