/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How single labels find their places, and what the spatial index about them remembers. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "output/draw/labels.h"

/* labels on an empty ground of 600 x 400 pixels, all of it board */
typedef struct ground {
    spatial_index taken;
    mask board;
    label_ground on;
    font *face;
} ground;

static void open_ground(ground *opened)
{
    place corners[] = {{0, 0}, {600, 0}, {600, 400}, {0, 400}};
    assert_true(spatial_index_open(&opened->taken, (box){0, 0, 600, 400}, 40));
    assert_true(mask_new(&opened->board, 600, 400));
    mask_polygon(&opened->board, corners, 4, MASK_ADD);
    assert_int_equal(font_open(NULL, &opened->face), SF_OK);
    opened->on = (label_ground){&opened->taken, &opened->board, opened->face, 20};
}

static void close_ground(ground *closed)
{
    spatial_index_close(&closed->taken);
    mask_free(&closed->board);
    font_close(closed->face);
}

static label disc_label(ground *on, place centre, const char *words)
{
    text_style style = {.size_px = 16, .laid = PEN_DARK};
    label made = label_make(on->face, &style, centre, 15, 15, words);
    made.round = true;
    assert_true(spatial_index_add(&on->taken, (index_item){.where = box_about(centre, 30, 30),
                                                           .shape = INDEX_DISC,
                                                           .kind = INDEX_SYMBOL}));
    return made;
}

static void a_lone_label_stands_to_the_right_of_its_symbol(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    label one = disc_label(&on, (place){300, 200}, "C31");
    assert_true(labels_place(&on.on, &one, 0, 1));
    assert_true(one.placed && !one.at.led);
    assert_true(one.at.where.left > 315 && one.at.where.left < 325);
    assert_close(box_centre(one.at.where).y_px, 200, 0, 1e-9);
    close_ground(&on);
}

static void at_the_frame_a_label_goes_to_the_other_side(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    label one = disc_label(&on, (place){583, 200}, "C31");
    assert_true(labels_place(&on.on, &one, 0, 1));
    assert_true(one.placed && one.at.where.right < 568);
    close_ground(&on);
}

/* a symbol with a ring of others about it, that leaves out those from `first_gap` on */
static label hemmed_in(ground *on, int first_gap)
{
    label one = disc_label(on, (place){300, 200}, "C31");
    for (int i = 0; i < first_gap; i++) {
        double angle = 2 * 3.14159265 * i / 12;
        disc_label(on, (place){300 + 36 * cos(angle), 200 + 36 * sin(angle)}, "C0");
    }
    return one;
}

static void a_symbol_hemmed_in_gets_a_leader_through_the_gap_and_no_name_without_one(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    label one = hemmed_in(&on, 10);
    assert_true(labels_place(&on.on, &one, 0, 1));
    assert_true(one.placed && one.at.led);
    assert_true(one.at.lead_to.x_px > 300 && one.at.lead_to.y_px < 200);
    one.placed = one.at.led = one.may_lead = false;
    assert_true(labels_place(&on.on, &one, 0, 1));
    assert_false(one.placed);
    close_ground(&on);
    open_ground(&on);
    one = hemmed_in(&on, 12);
    assert_true(labels_place(&on.on, &one, 0, 1));
    assert_false(one.placed);
    close_ground(&on);
}

static void block(ground *on, box where)
{
    assert_true(spatial_index_add(
        &on->taken, (index_item){.where = where, .shape = INDEX_BOX, .kind = INDEX_SYMBOL}));
}

/* the second symbol stands at the end of a dead-end lane that the first one's name lies in */
static void a_label_makes_room_for_one_that_has_no_other_place(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    label both[] = {disc_label(&on, (place){200, 200}, "C31"),
                    disc_label(&on, (place){285, 200}, "C32")};
    assert_true(labels_place(&on.on, both, 0, 1));
    box before = both[0].at.where;
    assert_true(before.left > 215 && before.right > 236);
    block(&on, (box){230, 60, 400, 188});
    block(&on, (box){230, 212, 400, 340});
    block(&on, (box){304, 188, 400, 212});
    label alone = both[1];
    assert_true(labels_place(&on.on, &alone, 0, 1));
    assert_false(alone.placed);
    assert_true(labels_place(&on.on, both, 1, 2));
    assert_true(both[0].placed && both[1].placed);
    assert_false(boxes_meet(before, both[0].at.where));
    assert_true(both[1].at.where.right < 270);
    assert_false(boxes_meet(both[0].at.where, both[1].at.where));
    assert_true(spatial_index_meets(&on.taken, both[0].at.where, INDEX_LABEL, 0) == INDEX_LABEL);
    assert_true(spatial_index_meets(&on.taken, both[1].at.where, INDEX_LABEL, 0) == INDEX_LABEL);
    close_ground(&on);
}

static void a_name_is_written_smaller_rather_than_not_at_all_but_never_too_small(void **state)
{
    (void)state;
    static const struct {
        double room_px;
        bool placed;
    } lanes[] = {{29, true}, {14, false}};
    for (size_t i = 0; i < 2; i++) {
        ground on;
        open_ground(&on);
        label one = disc_label(&on, (place){300, 200}, "C317");
        double usual_px = one.width_px, far = 318 + lanes[i].room_px;
        assert_true(usual_px > 35);
        block(&on, (box){0, 0, 600, 182});
        block(&on, (box){0, 218, 600, 400});
        block(&on, (box){0, 182, 282, 218});
        block(&on, (box){far, 182, 600, 218});
        assert_true(labels_place(&on.on, &one, 0, 1));
        assert_int_equal(one.placed, lanes[i].placed);
        assert_true(one.style.size_px >= 8); /* 0.4 of the ground's em */
        assert_true(!one.placed || (one.style.size_px < 16 && one.width_px < 0.85 * usual_px &&
                                    one.at.where.right <= far));
        close_ground(&on);
    }
}

static void a_crowd_forgets_what_is_taken_back_and_passes_over_what_is_lifted(void **state)
{
    (void)state;
    spatial_index taken;
    box first = {10, 10, 90, 30}, second = {50, 20, 140, 60};
    assert_true(spatial_index_open(&taken, (box){0, 0, 200, 100}, 16));
    spatial_index_add(&taken, (index_item){.where = first, .kind = INDEX_LABEL, .owner = 7});
    spatial_index_add(&taken, (index_item){.where = second, .kind = INDEX_EDGE, .owner = 9});
    spatial_index_add_line(&taken, (place){5, 80}, (place){190, 80}, 4, INDEX_LEADER, 11);
    place from = {100, 70}, to = {100, 95};
    assert_int_equal(spatial_index_meets(&taken, second, INDEX_ALL, 0), INDEX_LABEL | INDEX_EDGE);
    assert_int_equal(spatial_index_owner_met(&taken, first, INDEX_LABEL), 7);
    assert_int_equal(spatial_index_owner_crossed(&taken, from, to, 3, INDEX_ALL, NULL), 11);
    spatial_index_lift(&taken, 0, 1, true);
    assert_int_equal(spatial_index_meets(&taken, second, INDEX_ALL, 0), INDEX_EDGE);
    spatial_index_lift(&taken, 0, 1, false);
    spatial_index_take_back(&taken, 1);
    assert_int_equal(spatial_index_meets(&taken, second, INDEX_ALL, 0), INDEX_LABEL);
    assert_int_equal(spatial_index_owner_crossed(&taken, from, to, 3, INDEX_ALL, NULL), 0);
    spatial_index_add(&taken, (index_item){.where = second, .kind = INDEX_EDGE, .owner = 13});
    assert_int_equal(spatial_index_owner_met(&taken, second, INDEX_EDGE), 13);
    spatial_index_close(&taken);
}

static void a_reading_is_named_inside_a_large_can_and_beside_a_small_one(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    text_style style = {.size_px = 12, .laid = PEN_DARK};
    static const double radii_px[] = {70, 14};
    for (int i = 0; i < 2; i++) {
        place centre = {150 + 300 * i, 200};
        double radius_px = radii_px[i];
        assert_true(spatial_index_add(
            &on.taken, (index_item){.where = box_about(centre, 2 * radius_px, 2 * radius_px),
                                    .shape = INDEX_RING,
                                    .kind = INDEX_SYMBOL}));
        label one = label_make(on.face, &style, centre, 6, 6, "63");
        assert_true(labels_place(&on.on, &one, 0, 1));
        assert_true(one.placed && !one.at.led);
        double away_px = one.at.where.left - centre.x_px;
        assert_true(i == 0 ? away_px < 12 : away_px > 14 && away_px < 22);
    }
    close_ground(&on);
}

/* Labels of parts that stand in one place; returns how many things were looked at. */
static size_t looked_for_coincident(size_t count)
{
    ground on;
    open_ground(&on);
    label *labels = calloc(count, sizeof *labels);
    assert_non_null(labels);
    for (size_t i = 0; i < count; i++) {
        labels[i] = disc_label(&on, (place){300, 200}, "C31");
        labels[i].may_lead = true;
    }
    assert_true(labels_place(&on.on, labels, 0, count));
    assert_true(labels[0].placed);
    size_t looked = on.taken.looked;
    free(labels);
    close_ground(&on);
    return looked;
}

static void many_parts_in_one_place_do_not_hold_the_search(void **state)
{
    (void)state;
    /* bounded by the budget of 30 million and one pass of the closest places, which are taken at
     * the first look: without a bound 400 parts take thousands of millions, 1,600 sixteen times so
     * many */
    size_t few = looked_for_coincident(400), many = looked_for_coincident(1600);
    print_message("looked at: %zu for 400, %zu for 1,600\n", few, many);
    assert_true(few < 40000000);
    assert_true(many < 40000000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_lone_label_stands_to_the_right_of_its_symbol),
        cmocka_unit_test(at_the_frame_a_label_goes_to_the_other_side),
        cmocka_unit_test(a_symbol_hemmed_in_gets_a_leader_through_the_gap_and_no_name_without_one),
        cmocka_unit_test(a_label_makes_room_for_one_that_has_no_other_place),
        cmocka_unit_test(a_name_is_written_smaller_rather_than_not_at_all_but_never_too_small),
        cmocka_unit_test(a_crowd_forgets_what_is_taken_back_and_passes_over_what_is_lifted),
        cmocka_unit_test(a_reading_is_named_inside_a_large_can_and_beside_a_small_one),
        cmocka_unit_test(many_parts_in_one_place_do_not_hold_the_search),
    };
    return cmocka_run_group_tests_name("draw: labels", tests, NULL, NULL);
}
