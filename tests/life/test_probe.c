/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Places where a reading could be taken: where they stand, how they are read, how well. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "life/fixture.h"
#include "life/probe.h"

enum { PARTS = 700 };

/* 150 x 110 mm with a slot, a no-touch corner with H1 in it, H2 turned by 30 degrees, and up to
 * 700 small cans. */
typedef struct deck {
    sf_part parts[PARTS];
    bool wanted[PARTS];
    sf_source sources[2];
    sf_point corners[12];
    sf_ring rings[2], keepout;
    sf_job job;
    probes found;
} deck;

static sf_ring rectangle(sf_point *corners, double left, double low, double right, double high)
{
    corners[0] = (sf_point){left, low};
    corners[1] = (sf_point){right, low};
    corners[2] = (sf_point){right, high};
    corners[3] = (sf_point){left, high};
    return (sf_ring){.points = corners, .count = 4, .reason = "mains"};
}

static deck *deck_new(size_t parts)
{
    deck *on = calloc(1, sizeof *on);
    assert_non_null(on);
    for (size_t i = 0; i < parts; i++) {
        on->parts[i] = plain_part("C1");
        on->parts[i].x_mm = 5 + fmod(37.7 * (double)i, 140);
        on->parts[i].y_mm = 5 + fmod(23.3 * (double)i, 100);
        on->parts[i].diameter_mm = 5;
        on->wanted[i] = true;
    }
    on->sources[0] = (sf_source){"H1", 24.2, 31.7,           14, 10, 0, SF_MOUNT_UNKNOWN, NAN,
                                 NAN,  NAN,  SF_SIDE_EITHER, 2};
    on->sources[1] = (sf_source){"H2", 101.3, 62.1,           24, 9, 30, SF_MOUNT_UNKNOWN, NAN,
                                 NAN,  NAN,   SF_SIDE_EITHER, 3};
    on->rings[0] = rectangle(on->corners, 0, 0, 150, 110);
    on->rings[1] = rectangle(on->corners + 4, 58, 10, 60, 80);
    on->keepout = rectangle(on->corners + 8, 0, 0, 50, 60);
    on->job = plain_job(on->parts, parts);
    on->job.board.width_mm = 150;
    on->job.board.height_mm = 110;
    on->job.rings = on->rings;
    on->job.ring_count = 2;
    on->job.sources = on->sources;
    on->job.source_count = 2;
    on->job.keepouts = &on->keepout;
    on->job.keepout_count = 1;
    return on;
}

static void find(deck *on)
{
    assert_int_equal(probes_find(&on->job, on->wanted, SF_METHOD_THERMOCOUPLE_T, &on->found),
                     SF_OK);
    assert_true(on->found.count > 0 && on->found.count <= PROBES_MOST);
}

static void deck_free(deck *on)
{
    probes_clear(&on->found);
    free(on);
}

static size_t count_spots(const probes *of, probe_spot spot)
{
    size_t count = 0;
    for (size_t i = 0; i < of->count; i++)
        count += of->list[i].spot == spot;
    return count;
}

static double outside_h2(double x_mm, double y_mm)
{
    double angle = acos(-1) / 6, dx = x_mm - 101.3, dy = y_mm - 62.1;
    double along = fabs(dx * cos(angle) + dy * sin(angle)) - 12;
    double across = fabs(dy * cos(angle) - dx * sin(angle)) - 4.5;
    return fmax(along, across);
}

static void every_place_has_room(void **state)
{
    (void)state;
    deck *on = deck_new(24);
    find(on);
    assert_true(on->found.count > 24);
    for (size_t i = 0; i < on->found.count; i++) {
        const probe *at = &on->found.list[i];
        double x = at->place.x_mm, y = at->place.y_mm;
        if (at->spot == PROBE_CAN) { /* wherever it stands */
            const sf_part *can = &on->parts[at->index];
            assert_true(hypot(x - can->x_mm, y - can->y_mm) < 0.36);
            continue;
        }
        assert_true(board_contains(on->rings, 2, x, y));
        assert_true(x >= 2 && y >= 2 && x <= 148 && y <= 108);
        assert_false(x > 56 && x < 62 && y > 8 && y < 82);
        for (size_t p = 0; p < 24; p++)
            assert_true(hypot(x - on->parts[p].x_mm, y - on->parts[p].y_mm) >= 2.5 + 1);
        if (at->spot != PROBE_SOURCE)
            assert_true(outside_h2(x, y) > 0.7);
    }
    deck_free(on);
}

static void places_beside_a_can_are_at_arms_length_of_a_bead(void **state)
{
    (void)state;
    deck *on = deck_new(24);
    find(on);
    assert_true(count_spots(&on->found, PROBE_PART) > 15);
    for (size_t i = 0; i < on->found.count; i++) {
        const probe *at = &on->found.list[i];
        if (at->spot != PROBE_PART)
            continue;
        const sf_part *can = &on->parts[at->index];
        double away = hypot(at->place.x_mm - can->x_mm, at->place.y_mm - can->y_mm);
        assert_close(away, 2.5 + 2, 0, 0.4); /* a ruler's half millimetre off */
    }
    deck_free(on);
}

/* A can of 5 mm whose rim comes within 5 mm of the no-touch corner, which ends at 50 and 60 mm, is
 * not touched either. */
static void every_can_is_a_place_and_the_close_ones_by_infrared(void **state)
{
    (void)state;
    deck *on = deck_new(120);
    find(on);
    size_t infrared = 0;
    assert_int_equal(count_spots(&on->found, PROBE_CAN), 120);
    for (size_t i = 0; i < on->found.count; i++) {
        const probe *at = &on->found.list[i];
        if (at->spot != PROBE_CAN)
            continue;
        const sf_part *can = &on->parts[at->index];
        double off = hypot(fmax(can->x_mm - 50, 0), fmax(can->y_mm - 60, 0));
        assert_true((at->method == SF_METHOD_INFRARED) == (off < 2.5 + 5));
        assert_true((at->keepout != NULL) == (off < 2.5 + 5));
        assert_int_equal(probe_on(at), SF_SPOT_PART);
        infrared += off > 5 && off < 2.5 + 5;
    }
    assert_true(infrared > 0);
    deck_free(on);
}

static void parts_that_are_not_wanted_have_no_place(void **state)
{
    (void)state;
    deck *on = deck_new(24);
    for (size_t i = 0; i < 24; i++)
        on->wanted[i] = i == 7;
    find(on);
    size_t of_parts = 0;
    for (size_t i = 0; i < on->found.count; i++)
        if (on->found.list[i].spot == PROBE_PART) {
            assert_int_equal(on->found.list[i].index, 7);
            of_parts++;
        }
    assert_true(of_parts > 0);
    deck_free(on);
}

static void sources_are_read_under_their_middle(void **state)
{
    (void)state;
    deck *on = deck_new(0);
    find(on);
    assert_int_equal(count_spots(&on->found, PROBE_SOURCE), 2);
    assert_close(on->found.list[0].place.x_mm, 24, 0, 0);
    assert_close(on->found.list[0].place.y_mm, 31.5, 0, 0);
    assert_int_equal(on->found.list[0].method, SF_METHOD_INFRARED);
    assert_ptr_equal(on->found.list[0].keepout, &on->keepout);
    assert_int_equal(on->found.list[1].method, SF_METHOD_THERMOCOUPLE_T);
    assert_null(on->found.list[1].keepout);
    deck_free(on);
}

static void contact_keeps_five_millimetres_off_a_no_touch_area(void **state)
{
    (void)state;
    deck *on = deck_new(24);
    find(on);
    size_t close = 0;
    for (size_t i = 0; i < on->found.count; i++) {
        const probe *at = &on->found.list[i];
        double off = hypot(fmax(at->place.x_mm - 50, 0), fmax(at->place.y_mm - 60, 0));
        assert_true((at->method == SF_METHOD_INFRARED) == (off < 5));
        close += off > 0 && off < 5;
    }
    assert_true(close > 0);
    deck_free(on);
}

static void very_many_parts_leave_room_for_open_board(void **state)
{
    (void)state;
    deck *on = deck_new(PARTS);
    for (size_t i = 0; i < PARTS; i++)
        on->parts[i].diameter_mm = 0.5;
    find(on);
    size_t beside = count_spots(&on->found, PROBE_PART);
    assert_true(beside > 100 && beside <= 200);
    assert_true(count_spots(&on->found, PROBE_OPEN) > 50);
    deck_free(on);
}

static void the_usual_method_is_that_of_most_readings(void **state)
{
    (void)state;
    deck *on = deck_new(0);
    sf_reading taken[] = {{.method = SF_METHOD_INFRARED},
                          {.method = SF_METHOD_THERMOCOUPLE_J},
                          {.method = SF_METHOD_INFRARED}};
    assert_int_equal(usual_method(&on->job), SF_METHOD_THERMOCOUPLE_K);
    on->job.readings = taken;
    on->job.reading_count = 3;
    assert_int_equal(usual_method(&on->job), SF_METHOD_INFRARED);
    deck_free(on);
}

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_place_has_room),
        cmocka_unit_test(places_beside_a_can_are_at_arms_length_of_a_bead),
        cmocka_unit_test(every_can_is_a_place_and_the_close_ones_by_infrared),
        cmocka_unit_test(parts_that_are_not_wanted_have_no_place),
        cmocka_unit_test(sources_are_read_under_their_middle),
        cmocka_unit_test(contact_keeps_five_millimetres_off_a_no_touch_area),
        cmocka_unit_test(very_many_parts_leave_room_for_open_board),
        cmocka_unit_test(the_usual_method_is_that_of_most_readings),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
