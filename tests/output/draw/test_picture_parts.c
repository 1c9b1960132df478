/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Parts and places in a picture, decoded again from its bytes. */
#include "drawn.h"

#include <string.h>

#include "output/draw/layout.h"
#include "output/draw/pens.h"

/* Three large parts in a row, as the scene marks them, and in *bare the board without them. */
static drawn draw_three_parts(invented *board, drawn *bare)
{
    sf_part parts[3] = {{.ref = "C1", .x_mm = 30, .y_mm = 30, .diameter_mm = 16},
                        {.ref = "C2", .x_mm = 60, .y_mm = 30, .diameter_mm = 16},
                        {.ref = "C3", .x_mm = 120, .y_mm = 30, .diameter_mm = 16}};
    sf_part *none = board->job.parts;
    board->job.parts = parts;
    board->job.part_count = 3;
    drawn made = draw_at(&board->scene, 1600);
    board->job.part_count = 0;
    *bare = draw_at(&board->scene, 1600);
    board->job.parts = none;
    return made;
}

static void verdicts_differ_in_shape_and_fill(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    sf_part_result results[3] = {{.verdict = SF_REPLACE, .cause = SF_CAUSE_HEAT},
                                 {.verdict = SF_CHECK, .cause = SF_CAUSE_HEAT},
                                 {.verdict = SF_LEAVE}};
    board.scene.results = results;
    drawn bare, made = draw_three_parts(&board, &bare);
    sf_colour white = {255, 255, 255}, dark = pen_colours[PEN_DARK], alert = pen_colours[PEN_ALERT];
    /* the bar of an H lies in the middle of its disc */
    sf_colour letter = colour_at_mm(&made, 30, 30), filled = colour_at_mm(&made, 30 + 6.5, 30);
    assert_memory_equal(&letter, &white, sizeof white);
    assert_memory_equal(&filled, &alert, sizeof alert);
    /* that of one to check lies 0.44 of the radius above it, in the white half */
    sf_colour bar = colour_at_mm(&made, 60, 30 + 0.44 * 8);
    sf_colour upper = colour_at_mm(&made, 60 + 6, 33), lower = colour_at_mm(&made, 60, 27);
    assert_true(difference(bar, dark) < 15);
    assert_memory_equal(&upper, &white, sizeof white);
    assert_memory_equal(&lower, &dark, sizeof dark);
    /* an open ring: the field shows in it, between white halo and dark line */
    assert_true(difference(colour_at_mm(&made, 120, 34.5), colour_at_mm(&bare, 120, 34.5)) < 3);
    sf_colour ring = colour_at_mm(&made, 120, 38);
    assert_true(difference(ring, dark) < 15);
    gdImageDestroy(made.image);
    gdImageDestroy(bare.image);
    invented_free(&board);
}

static void parts_that_changed_differ_in_shape_and_fill(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    const sf_change changes[3] = {SF_CHANGE_HOTTER, SF_CHANGE_COOLER, SF_CHANGE_DOUBTFUL};
    board.scene.results = NULL;
    board.scene.changes = changes;
    drawn bare, made = draw_three_parts(&board, &bare);
    sf_colour white = {255, 255, 255}, dark = pen_colours[PEN_DARK];
    /* a triangle 0.72 of the radius high above its middle: its tip is narrow where it points to */
    static const struct {
        double x_mm, y_mm;
        bool dark;
    } spots[] = {{30, 34, false}, {34, 34, true},  {30, 28.5, false}, {33.5, 28.5, false},
                 {60, 26, true},  {64, 26, false}, {60, 31.5, true},  {63.5, 31.5, true}};
    for (size_t i = 0; i < sizeof spots / sizeof spots[0]; i++) {
        sf_colour there = colour_at_mm(&made, spots[i].x_mm, spots[i].y_mm);
        assert_memory_equal(&there, spots[i].dark ? &dark : &white, sizeof there);
    }
    assert_true(difference(colour_at_mm(&made, 120, 34.5), colour_at_mm(&bare, 120, 34.5)) < 3);
    gdImageDestroy(made.image);
    gdImageDestroy(bare.image);
    invented_free(&board);
}

static void a_part_is_drawn_at_its_true_diameter_but_never_invisibly_small(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    sf_part parts[2] = {{.ref = "C1", .x_mm = 40, .y_mm = 30, .diameter_mm = 24},
                        {.ref = "C2", .x_mm = 120, .y_mm = 30, .diameter_mm = 0.1}};
    sf_part_result results[2] = {{.verdict = SF_REPLACE}, {.verdict = SF_REPLACE}};
    sf_part *none = board.job.parts;
    board.job.parts = parts;
    board.job.part_count = 2;
    board.scene.results = results;
    drawn made = draw_at(&board.scene, 1600);
    sf_colour alert = pen_colours[PEN_ALERT];
    assert_true(difference(colour_at_mm(&made, 40 - 11.7, 30), alert) < 1);
    assert_true(difference(colour_at_mm(&made, 40 - 12.2, 30), alert) > 30);
    assert_true(difference(colour_at_mm(&made, 120 - 1.2, 30), alert) < 1);
    gdImageDestroy(made.image);
    board.job.part_count = 0;
    board.job.parts = none;
    invented_free(&board);
}

static void a_place_to_read_next_is_a_white_disc_in_a_dark_ring_with_its_number(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    sf_point next[2] = {{44, 31}, {120, 31}};
    board.scene.points = next;
    board.scene.point_count = 2;
    drawn made = draw_at(&board.scene, 1600);
    sf_colour white = {255, 255, 255}, dark = pen_colours[PEN_DARK];
    double em_px = layout_em(1600);
    double inked_px[2] = {0}; /* area, smooth edges by their share */
    for (int which = 0; which < 2; which++) {
        int x = (int)(made.frame.left_px + next[which].x_mm * made.frame.px_per_mm);
        int y = (int)(made.frame.bottom_px - next[which].y_mm * made.frame.px_per_mm);
        assert_true(difference(colour_at_px(&made, x, y - (int)(0.55 * em_px)), white) < 1);
        assert_true(difference(colour_at_px(&made, x, y - (int)(0.72 * em_px)), dark) < 5);
        int reach = (int)(0.5 * em_px);
        for (int dy = -reach; dy <= reach; dy++)
            for (int dx = -reach; dx <= reach; dx++)
                inked_px[which] += (255 - colour_at_px(&made, x + dx, y + dy).red) / 231.0;
    }
    /* a 2 takes more ink than a 1, by eye */
    assert_true(inked_px[0] > 10 && inked_px[1] > inked_px[0] + 3);
    gdImageDestroy(made.image);
    invented_free(&board);
}

static void parts_without_a_verdict_are_drawn_as_rings(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    board.scene.results = NULL;
    drawn bare, made = draw_three_parts(&board, &bare);
    const double x_mm[3] = {30, 60, 120};
    for (size_t i = 0; i < 3; i++) {
        for (int side = -1; side <= 1; side += 2)
            assert_true(difference(colour_at_mm(&made, x_mm[i], 30 + side * 4.5),
                                   colour_at_mm(&bare, x_mm[i], 30 + side * 4.5)) < 3);
        assert_true(difference(colour_at_mm(&made, x_mm[i], 38), pen_colours[PEN_DARK]) < 15);
    }
    gdImageDestroy(made.image);
    gdImageDestroy(bare.image);
    invented_free(&board);
}

static void a_hundred_thousand_parts_and_readings_are_drawn(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    wanted.parts = 100000;
    wanted.readings = 100000;
    wanted.sources = 60;
    invented board;
    invented_make(&wanted, &board);
    drawn made = draw_at(&board.scene, 1600);
    assert_int_equal(gdImageSX(made.image), 1600);
    gdImageDestroy(made.image);
    invented_free(&board);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdicts_differ_in_shape_and_fill),
        cmocka_unit_test(parts_that_changed_differ_in_shape_and_fill),
        cmocka_unit_test(a_part_is_drawn_at_its_true_diameter_but_never_invisibly_small),
        cmocka_unit_test(a_place_to_read_next_is_a_white_disc_in_a_dark_ring_with_its_number),
        cmocka_unit_test(parts_without_a_verdict_are_drawn_as_rings),
        cmocka_unit_test(a_hundred_thousand_parts_and_readings_are_drawn),
    };
    return cmocka_run_group_tests_name("draw: parts in a picture", tests, NULL, NULL);
}
