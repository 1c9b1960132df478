/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Names of zones, what is to be done in them, and where parts stand. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/board_place.h"
#include "life/heated_board.h"

static sf_source source_at(const char *ref, double x_mm, double y_mm)
{
    return (sf_source){
        .ref = (char *)ref, .x_mm = x_mm, .y_mm = y_mm, .width_mm = 5, .height_mm = 3};
}

static void without_run_hours_the_board_is_divided_by_its_own_heat(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 21, 19, 9, 83);
    sf_part part = part_at("C1", 11, 13);
    sf_part_result result = result_of(SF_CHECK);
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = NAN;
    sf_zones *zones = zones_of(&job, &result, &on);
    assert_int_equal(zones->count, 2);
    assert_string_equal(zones->zones[0].name, "hot around C1");
    assert_string_equal(zones->zones[1].sentence, "check the only part here");
    assert_true(isnan(zones->hot_from_c));
    sf_zones_free(zones);
}

static void a_warm_zone_is_named_by_the_hottest_of_the_sources_in_and_within_it(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 40, 30, 27, 61); /* warm, with three hot islands and two warm sources in it */
    heat(&on, 27, 33, 6, 83);
    heat(&on, 41, 21, 6, 95);
    heat(&on, 55, 33, 6, 89);
    heat(&on, 81, 51, 8, 97); /* hot, and apart */
    sf_source sources[] = {source_at("R4", 27, 33), source_at("U1", 41, 21),
                           source_at("H8", 40, 44), source_at("D2", 55, 33),
                           source_at("Q1", 81, 51), source_at("R7", 47, 49)};
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    job.sources = sources;
    const struct {
        size_t sources;
        const char *name;
    } expected[] = {{1, "warm around R4"},
                    {2, "warm around U1 and R4"},
                    {3, "warm around U1, R4 and H8"},
                    {4, "warm around U1, D2 and 2 more"},
                    {5, "warm around U1, D2 and 2 more"},
                    {6, "warm around U1, D2 and 3 more"}};
    for (size_t i = 0; i < 6; i++) {
        job.source_count = expected[i].sources;
        sf_zones *zones = zones_of(&job, NULL, &on);
        assert_int_equal(zones->zones[4].kind, SF_ZONE_WARM);
        assert_string_equal(zones->zones[4].name, expected[i].name);
        sf_zones_free(zones);
    }
}

static void a_source_smaller_than_a_cell_heats_where_it_stands(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 45, 30, 41, 61); /* its peak is too far to be told by what stands there */
    sf_source small = {.ref = "D5", .x_mm = 82.1, .y_mm = 30.9, .width_mm = 0.3, .height_mm = 0.3};
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    job.sources = &small;
    job.source_count = 1;
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_string_equal(zones->zones[0].name, "warm around D5");
    sf_zones_free(zones);
}

static void cool_zones_are_named_by_where_they_lie(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    /* two warm walls leave a cool strip on the left, and the right in an upper and lower half */
    for (size_t cell = 0; cell < CELLS; cell++)
        if ((cell % COLUMNS > 8 && cell % COLUMNS < 19) ||
            (cell % COLUMNS > 8 && cell / COLUMNS > 11 && cell / COLUMNS < 18))
            on.temps_c[cell] = 61;
    on.temps_c[3] = 33;           /* the left strip peaks first, */
    on.temps_c[CELLS - 1] = 32.5; /* then the upper right */
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    sf_zones *zones = zones_of(&job, NULL, &on);
    const char *names[] = {"cool along the left edge", "cool upper right", "cool lower right"};
    assert_int_equal(zones->count, 4);
    for (size_t i = 0; i < 3; i++)
        assert_string_equal(zones->zones[1 + i].name, names[i]);
    sf_zones_free(zones);
}

static void no_two_zones_share_a_name(void **state)
{
    (void)state;
    static heated_board on;
    for (size_t trial = 0; trial < 60; trial++) {
        lay_board(&on, 31);
        for (size_t i = 0; i < 9; i++)
            heat(&on, (double)((trial * 17 + i * 31) % 90), (double)((trial * 13 + i * 23) % 60),
                 4 + (double)((trial + i) % 9), i % 3 ? 61 : 83);
        sf_source sources[] = {source_at("R4", 27, 33), source_at("U1", 71, 21)};
        sf_job job = job_of_bounds(NULL, 0);
        job.policy.endurance_85_h = 2000;
        job.sources = sources;
        job.source_count = trial % 3;
        sf_zones *zones = zones_of(&job, NULL, &on);
        assert_true(zones->count > 1);
        for (size_t i = 0; i < zones->count; i++)
            for (size_t j = 0; j < i; j++)
                assert_string_not_equal(zones->zones[i].name, zones->zones[j].name);
        sf_zones_free(zones);
    }
}

static void a_zone_met_twice_is_counted(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 21, 19, 9, 83);
    heat(&on, 21, 45, 9, 81);
    cut_column(&on, 24);
    sf_source source = {.ref = "H3", .x_mm = 21, .y_mm = 31, .width_mm = 3, .height_mm = 3};
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    job.sources = &source;
    job.source_count = 1;
    sf_zones *zones = zones_of(&job, NULL, &on);
    const char *names[] = {"hot around H3", "hot around H3 (2)", "cool along the left edge",
                           "cool along the right edge"};
    assert_int_equal(zones->count, 4);
    for (size_t i = 0; i < 4; i++)
        assert_string_equal(zones->zones[i].name, names[i]);
    sf_zones_free(zones);
}

static void without_source_or_part_a_hot_zone_is_named_by_its_place(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 21, 19, 9, 83);
    sf_source far = {.ref = "H3", .x_mm = 60, .y_mm = 19, .width_mm = 3, .height_mm = 3};
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    job.sources = &far;
    job.source_count = 1;
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_string_equal(zones->zones[0].name, "hot lower left");
    sf_zones_free(zones);
}

/* The sentence of a zone with so many parts of each verdict. */
static void check_sentence(size_t replaced, size_t checked, size_t left, const char *expected)
{
    static heated_board on;
    lay_board(&on, 83);
    sf_part parts[16];
    sf_part_result results[16];
    size_t count = replaced + checked + left;
    assert_true(count <= 16);
    for (size_t i = 0; i < count; i++) {
        parts[i] = part_at("C1", 21, 19);
        results[i] = result_of(i < replaced             ? SF_REPLACE
                               : i < replaced + checked ? SF_CHECK
                                                        : SF_LEAVE);
    }
    sf_job job = job_of_bounds(parts, count);
    sf_zones *zones = zones_of(&job, results, &on);
    assert_int_equal(zones->count, 1);
    assert_string_equal(zones->zones[0].sentence, expected);
    sf_zones_free(zones);
}

static void sentences_tell_what_to_do_and_what_stays(void **state)
{
    (void)state;
    check_sentence(7, 0, 4, "replace 7 of the 11 here; the other 4 stay");
    check_sentence(7, 2, 4, "replace 7 of the 13 here, check 2; the other 4 stay");
    check_sentence(1, 0, 1, "replace 1 of the 2 here; the other one stays");
    check_sentence(5, 0, 0, "replace all 5 here");
    check_sentence(2, 0, 0, "replace both here");
    check_sentence(3, 1, 0, "replace 3 of the 4 here, check 1");
    check_sentence(0, 2, 3, "check 2 of the 5 here; the other 3 stay");
    check_sentence(0, 0, 11, "all 11 here stay");
    check_sentence(0, 0, 2, "both here stay");
    check_sentence(0, 0, 1, "the only part here stays");
}

static void check_extent(const double *box_mm, double x_mm, double y_mm, const char *name)
{
    const extent board = {10, 100, 5, 65, 55, 35};
    const extent of = {box_mm[0], box_mm[1], box_mm[2], box_mm[3], x_mm, y_mm};
    assert_string_equal(extent_place(&of, &board).name, name);
}

static void what_runs_along_an_edge_or_reaches_over_the_board_is_told(void **state)
{
    (void)state;
    const double strip_left[] = {10, 31, 7, 61}, strip_low[] = {13, 97, 5, 23};
    const double column[] = {43, 66, 7, 61}, row[] = {13, 97, 27, 43};
    const double over[] = {12, 99, 6, 63}, corner[] = {71, 100, 5, 17};
    check_extent(strip_left, 19, 33, "along the left edge");
    check_extent(strip_left, 91, 33, "along the right edge");
    check_extent(strip_low, 51, 13, "along the lower edge");
    check_extent(strip_low, 51, 57, "along the upper edge");
    check_extent(column, 54, 34, "middle");
    check_extent(row, 57, 33, "middle");
    check_extent(over, 57, 33, "rest of the board");
    check_extent(over, 87, 14, "lower right"); /* an angle about that corner */
    check_extent(corner, 89, 11, "lower right");
    check_extent(corner, 42, 11, "lower middle");
    check_extent(corner, 19, 33, "left side");
}

/* Where parts at so many places stand, on a board of 90 x 60 mm with sources here and there. */
static void check_place(const double (*places_mm)[2], size_t count, const char *expected)
{
    sf_part parts[8];
    size_t chosen[8];
    sf_source sources[] = {source_at("R4", 13, 47), source_at("U1", 16, 21),
                           source_at("D2", 49, 12)};
    sources[1].angle_deg = 90; /* reaches up and down */
    sources[1].width_mm = 20;
    assert_true(count < 8);
    parts[0] = part_at("C0", 49, 13); /* not asked for */
    for (size_t i = 0; i < count; i++) {
        parts[i + 1] = part_at("C1", places_mm[i][0], places_mm[i][1]);
        chosen[i] = i + 1;
    }
    sf_job job = plain_job(parts, count + 1);
    job.sources = sources;
    job.source_count = 3;
    char *place = sf_parts_place(&job, chosen, count);
    assert_string_equal(place, expected);
    free(place);
}

static void parts_stand_around_the_source_nearest_to_them(void **state)
{
    (void)state;
    const double low[][2] = {{17, 9}, {19, 32}}, both[][2] = {{17, 9}, {19, 32}, {51, 15}};
    const double all[][2] = {{51, 15}, {12, 53}, {19, 32}};
    check_place(low, 2, "around U1");
    check_place(both, 3, "around U1 and D2");
    check_place(all, 3, "around R4, U1 and D2");
    check_place(NULL, 0, "");
}

static void parts_far_from_a_source_stand_in_a_part_of_the_board(void **state)
{
    (void)state;
    const double far[][2] = {{87, 57}, {85, 43}, {82, 44}};
    const double mixed[][2] = {{87, 57}, {85, 43}, {19, 32}};
    const double apart[][2] = {{87, 57}, {87, 29}};
    check_place(far, 3, "in the upper right");
    check_place(mixed, 3, "around U1 and in the upper right");
    check_place(apart, 2, "on the right side and in the upper right");
}

static void the_fewest_places_with_more_than_half_of_the_parts_are_told(void **state)
{
    (void)state;
    const double four[][2] = {{87, 57}, {19, 32}, {17, 9}, {14, 53}, {17, 27}, {51, 15}};
    const double more[][2] = {{87, 57}, {19, 32}, {17, 9}, {14, 53}, {17, 27}, {51, 15}, {15, 24}};
    const double even[][2] = {{87, 57}, {87, 29}, {14, 53}, {17, 27}, {51, 15}, {49, 47}};
    check_place(four, 6, "most of them around U1 and R4");
    check_place(more, 7, "most of them around U1");
    check_place(even, 6, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_run_hours_the_board_is_divided_by_its_own_heat),
        cmocka_unit_test(a_warm_zone_is_named_by_the_hottest_of_the_sources_in_and_within_it),
        cmocka_unit_test(a_source_smaller_than_a_cell_heats_where_it_stands),
        cmocka_unit_test(cool_zones_are_named_by_where_they_lie),
        cmocka_unit_test(no_two_zones_share_a_name),
        cmocka_unit_test(a_zone_met_twice_is_counted),
        cmocka_unit_test(without_source_or_part_a_hot_zone_is_named_by_its_place),
        cmocka_unit_test(sentences_tell_what_to_do_and_what_stays),
        cmocka_unit_test(what_runs_along_an_edge_or_reaches_over_the_board_is_told),
        cmocka_unit_test(parts_stand_around_the_source_nearest_to_them),
        cmocka_unit_test(parts_far_from_a_source_stand_in_a_part_of_the_board),
        cmocka_unit_test(the_fewest_places_with_more_than_half_of_the_parts_are_told),
    };
    return cmocka_run_group_tests_name("zone names", tests, NULL, NULL);
}
