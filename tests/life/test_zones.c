/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Zones: bounds, regions and counts. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/heated_board.h"
#include "life/region.h"

static void bounds_are_where_the_commonest_part_uses_its_life(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    sf_part part = part_at("C1", 11, 13);
    sf_part_result result = result_of(SF_LEAVE);
    sf_job job = job_of_bounds(&part, 1);
    sf_zones *zones = zones_of(&job, &result, &on);
    /* computed: 85 - 10 log2(4,000 / 2,000) and 85 - 10 log2(4 x 4,000 / 2,000) */
    assert_close(zones->hot_from_c, 75, 0, 1e-6);
    assert_close(zones->warm_from_c, 55, 0, 1e-6);
    assert_close(zones->endurance_h, 2000, 0, 0);
    assert_close(zones->rated_c, 85, 0, 0);
    sf_zones_free(zones);
}

static void bounds_hold_for_the_history_of_the_board(void **state)
{
    (void)state;
    sf_job job = job_of_bounds(NULL, 0);
    sf_period periods[] = {{900, 28, 1, ""}, {2100, 41, 0.8, ""}};
    job.periods = periods;
    job.period_count = 2;
    job.policy.cover_rise_k = 3.5;
    const grade of = {105, 1500, 10};
    double rise_k = bound_temp_c(&job, &of, 0.62) - 23 - 3.5;
    double used = 900 / sf_life_hours(1500, 105, rise_k + 31.5, 40) +
                  2100 / sf_life_hours(1500, 105, 0.8 * rise_k + 44.5, 40);
    assert_close(used, 0.62, 1e-8, 0);
}

static void the_commonest_grade_is_the_mode_and_the_shorter_lived_of_equals(void **state)
{
    (void)state;
    enum { MANY = 7 };
    sf_part parts[MANY];
    sf_part_result results[MANY];
    const double rated_c[MANY] = {105, 85, 105, 85, 85, 105, 85};
    const double endurance_h[MANY] = {2000, 1000, 5000, 2000, 2000, 5000, 1000};
    for (size_t i = 0; i < MANY; i++) {
        parts[i] = part_at("C1", 11, 13);
        parts[i].rated_c = rated_c[i];
        results[i].endurance_h = endurance_h[i];
    }
    sf_job job = plain_job(parts, MANY);
    grade commonest;
    assert_int_equal(grade_commonest(&job, results, &commonest), SF_OK);
    assert_close(commonest.rated_c, 85, 0, 0);
    assert_close(commonest.endurance_h, 1000, 0, 0);
    results[1].endurance_h = 2000;
    assert_int_equal(grade_commonest(&job, results, &commonest), SF_OK);
    assert_close(commonest.endurance_h, 2000, 0, 0);
    const double mixed_h[MANY] = {3000, 1000, 2000, 3000, 1000, 1000, 3000};
    for (size_t i = 0; i < MANY; i++) {
        parts[i].rated_c = 85;
        results[i].endurance_h = mixed_h[i];
    }
    assert_int_equal(grade_commonest(&job, results, &commonest), SF_OK);
    assert_close(commonest.endurance_h, 1000, 0, 0);
    job.part_count = 0;
    assert_int_equal(grade_commonest(&job, NULL, &commonest), SF_OK);
    assert_close(commonest.endurance_h, 1000, 0, 0);
}

static void bounds_that_divide_nothing_say_why(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    sf_part part = part_at("C1", 11, 13);
    sf_part_result result = result_of(SF_LEAVE);
    sf_job job = plain_job(&part, 1);
    /* 24,000 h are 0.53 of the 45,255 h at the floor: nothing has a quarter left */
    sf_zones *zones = zones_of(&job, &result, &on);
    assert_close(zones->hot_from_c, 85 - 10 * log2(12), 0, 1e-6);
    assert_true(zones->warm_from_c == -INFINITY);
    sf_zones_free(zones);
    /* more than at the floor; none; no board so hot */
    const double hours[] = {46000, 0, 1e-30}, bounds_c[] = {-INFINITY, INFINITY, INFINITY};
    for (size_t i = 0; i < 3; i++) {
        job.board.run_hours = hours[i];
        zones = zones_of(&job, &result, &on);
        assert_true(zones->hot_from_c == bounds_c[i] && zones->warm_from_c == bounds_c[i]);
        sf_zones_free(zones);
    }
}

static void a_board_of_one_heat_is_not_divided(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    on.temps_c[77] = 31.9;
    sf_job job = job_of_bounds(NULL, 0);
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_int_equal(zones->count, 1);
    assert_string_equal(zones->zones[0].name, "undivided board");
    assert_true(isnan(zones->hot_zone_c) && isnan(zones->warm_zone_c));
    sf_zones_free(zones);
}

/* Whatever the hours: on a board past its rated life everywhere the map still says where it is hot.
 */
static void every_board_has_its_hot_and_its_cool_region(void **state)
{
    (void)state;
    static heated_board on;
    for (size_t spots = 1; spots < 8; spots++) {
        lay_board(&on, 38);
        for (size_t i = 0; i < spots; i++)
            heat(&on, 9 + 11 * (double)i, 7 + 7 * (double)i, 5 + (double)i, 41 + 2 * (double)i);
        sf_job job = plain_job(NULL, 0);
        job.board.run_hours = 1e6;
        sf_zones *zones = NULL;
        assert_int_equal(sf_zones_find(&job, NULL, &on.grid, on.temps_c, &zones), SF_OK);
        double area_mm2[SF_ZONE_KIND_COUNT] = {0};
        for (size_t i = 0; i < zones->count; i++)
            area_mm2[zones->zones[i].kind] += zones->zones[i].area_mm2;
        assert_true(area_mm2[SF_ZONE_HOT] >= 40);
        assert_true(area_mm2[SF_ZONE_COOL] >= 0.4 * CELLS * CELL_MM * CELL_MM);
        sf_zones_free(zones);
    }
}

/* A field that falls from the left: the policy's shares are those of the area. */
static void the_shares_of_the_area_are_those_of_the_policy(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    for (size_t cell = 0; cell < CELLS; cell++)
        on.temps_c[cell] = 70 - 0.7 * (double)(cell % COLUMNS);
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.zone_hot_pct = 20;  /* 9 of 45 columns */
    job.policy.zone_cool_pct = 40; /* 18 of them */
    sf_zones *zones = NULL;
    assert_int_equal(sf_zones_find(&job, NULL, &on.grid, on.temps_c, &zones), SF_OK);
    assert_int_equal(zones->count, 3);
    const double columns[] = {9, 18, 18};
    for (size_t i = 0; i < 3; i++)
        assert_close(zones->zones[i].area_mm2, columns[i] * ROWS * CELL_MM * CELL_MM, 1e-12, 0);
    sf_zones_free(zones);
}

static void a_zone_of_half_the_parts_is_split_by_the_source_that_warms_it(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 21, 29, 6, 83);
    heat(&on, 69, 29, 6, 91);
    sf_source sources[] = {{.ref = "H1", .x_mm = 21, .y_mm = 29, .width_mm = 4, .height_mm = 4},
                           {.ref = "H2", .x_mm = 69, .y_mm = 29, .width_mm = 4, .height_mm = 4}};
    sf_part parts[] = {part_at("C1", 9, 9), part_at("C2", 80, 50), part_at("C3", 11, 50)};
    sf_part_result results[] = {result_of(SF_LEAVE), result_of(SF_LEAVE), result_of(SF_LEAVE)};
    sf_job job = job_of_bounds(parts, 3);
    job.sources = sources;
    job.source_count = 2;
    sf_zones *zones = zones_of(&job, results, &on);
    assert_string_equal(zones->zones[zones->part_zone[0]].name, "cool, nearest to H1");
    assert_string_equal(zones->zones[zones->part_zone[1]].name, "cool, nearest to H2");
    assert_int_equal(zones->part_zone[2], zones->part_zone[0]);
    sf_zones_free(zones);
    job.source_count = 1; /* nothing to split by */
    zones = zones_of(&job, results, &on);
    assert_int_equal(zones->part_zone[0], zones->part_zone[1]);
    sf_zones_free(zones);
}

static void zones_are_connected_named_by_their_source_and_ordered(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 21, 19, 13, 66);
    heat(&on, 21, 19, 9, 83); /* hot in warm */
    heat(&on, 71, 41, 9, 91); /* hot, next to the cool field */
    heat(&on, 71, 9, 7, 60);  /* warm */
    sf_source sources[] = {
        {.ref = "R9", .x_mm = 45, .y_mm = 40, .width_mm = 1, .height_mm = 40, .angle_deg = 90},
        {.ref = "H3", .x_mm = 21, .y_mm = 30, .width_mm = 12, .height_mm = 6},
    };
    sf_part parts[] = {part_at("C1", 22, 18), part_at("C2", 70, 13), part_at("C7", 33, 19),
                       part_at("C5", 5, 55)};
    sf_part_result results[] = {result_of(SF_REPLACE), result_of(SF_CHECK), result_of(SF_REPLACE),
                                result_of(SF_LEAVE)};
    sf_job job = job_of_bounds(parts, 4);
    job.sources = sources;
    job.source_count = 2;
    sf_zones *zones = zones_of(&job, results, &on);
    const char *names[] = {"hot around R9", "hot around H3", "warm around H3", "warm around C2",
                           "cool rest of the board"};
    const char *sentences[] = {"there is no part here", "replace the only part here",
                               "replace the only part here", "check the only part here",
                               "the only part here stays"};
    assert_int_equal(zones->count, 5);
    for (size_t i = 0; i < 5; i++) {
        assert_string_equal(zones->zones[i].name, names[i]);
        assert_string_equal(zones->zones[i].sentence, sentences[i]);
    }
    assert_close(zones->zones[1].peak_c, 83, 0, 0.02);
    assert_close(zones->zones[1].peak_x_mm, 21, 0, 1.01);
    assert_close(zones->zones[1].peak_y_mm, 19, 0, 1.01);
    const size_t part_zones[] = {1, 3, 2, 4};
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(zones->part_zone[i], part_zones[i]);
    sf_zones_free(zones);
}

static void areas_and_counts_add_up_to_the_board(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    cut_column(&on, 20);
    heat(&on, 21, 19, 13, 66);
    heat(&on, 71, 41, 9, 91);
    cut_column(&on, 20);
    enum { MANY = 40 };
    sf_part parts[MANY];
    sf_part_result results[MANY];
    for (size_t i = 0; i < MANY; i++) {
        parts[i] = part_at("C1", (double)(i * 37 % 97) - 3, (double)(i * 23 % 61));
        results[i] = result_of((sf_verdict)(i % 3));
    }
    sf_job job = job_of_bounds(parts, MANY);
    sf_zones *zones = zones_of(&job, results, &on);
    double area_mm2 = 0;
    size_t standing = 0, verdicts[SF_VERDICT_COUNT] = {0};
    for (size_t i = 0; i < zones->count; i++) {
        area_mm2 += zones->zones[i].area_mm2;
        standing += zones->zones[i].parts;
        for (size_t v = 0; v < SF_VERDICT_COUNT; v++)
            verdicts[v] += zones->zones[i].verdicts[v];
    }
    assert_close(area_mm2, (CELLS - ROWS) * CELL_MM * CELL_MM, 1e-12, 0);
    assert_int_equal(standing, MANY);
    assert_int_equal(verdicts[SF_LEAVE], 14);
    assert_int_equal(verdicts[SF_CHECK], 13);
    assert_int_equal(verdicts[SF_REPLACE], 13);
    for (size_t cell = 0; cell < CELLS; cell++)
        assert_true((zones->cell_zone[cell] == SF_NO_ZONE) == !on.inside[cell]);
    sf_zones_free(zones);
}

static void zones_of_one_peak_are_ordered_from_the_lower_left(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    const double places_mm[][2] = {{21, 19}, {71, 19}, {21, 45}, {71, 45}};
    for (size_t i = 0; i < 4; i++)
        heat(&on, places_mm[i][0], places_mm[i][1], 9, 83);
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_int_equal(zones->count, 5);
    for (size_t i = 0; i < 4; i++) {
        assert_close(zones->zones[i].peak_x_mm, places_mm[i][0], 0, 0.01);
        assert_close(zones->zones[i].peak_y_mm, places_mm[i][1], 0, 0.01);
    }
    sf_zones_free(zones);
}

static void a_speck_without_a_part_belongs_to_what_lies_around_it(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 21, 19, 3, 83);  /* 32 mm2: a speck */
    heat(&on, 71, 41, 13, 66); /* warm, with a hot speck inside */
    heat(&on, 71, 41, 3, 83);
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_int_equal(zones->count, 2);
    assert_int_equal(zones->zones[0].kind, SF_ZONE_WARM);
    assert_close(zones->zones[0].peak_c, 83, 0, 0.05);
    sf_zones_free(zones);
    sf_part part = part_at("C1", 21, 19);
    sf_part_result result = result_of(SF_REPLACE);
    job.parts = &part;
    job.part_count = 1;
    zones = zones_of(&job, &result, &on);
    assert_int_equal(zones->count, 3);
    assert_string_equal(zones->zones[0].name, "hot around C1");
    assert_close(zones->zones[0].area_mm2, 32, 0, 4.01);
    sf_zones_free(zones);
}

static void a_region_of_more_than_a_thumbs_breadth_is_no_speck(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    heat(&on, 41, 29, 4, 83); /* 13 cells of 4 mm2 */
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_int_equal(zones->zones[0].kind, SF_ZONE_HOT);
    assert_close(zones->zones[0].area_mm2, 52, 0, 0);
    sf_zones_free(zones);
}

static void specks_side_by_side_are_all_taken_up(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    /* a chequer of single cells, hot and warm by turns, in a cool field */
    for (size_t row = 8; row < 20; row++)
        for (size_t column = 12; column < 30; column++)
            on.temps_c[row * COLUMNS + column] = (row + column) % 2 ? 83 : 61;
    sf_job job = job_of_bounds(NULL, 0);
    job.policy.endurance_85_h = 2000;
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_true(zones->count > 0);
    for (size_t i = 0; i < zones->count; i++)
        assert_true(zones->zones[i].area_mm2 >= 40);
    sf_zones_free(zones);
}

static void an_island_too_small_for_a_zone_stays_one(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    for (size_t cell = 0; cell < CELLS; cell++)
        on.inside[cell] = cell == 3 || cell > 5 * COLUMNS;
    sf_job job = job_of_bounds(NULL, 0);
    sf_zones *zones = zones_of(&job, NULL, &on);
    assert_int_equal(zones->count, 2);
    assert_int_not_equal(zones->cell_zone[3], zones->cell_zone[CELLS - 1]);
    sf_zones_free(zones);
}

static void zones_hang_together_by_sides_not_corners(void **state)
{
    (void)state;
    unsigned char inside[] = {1, 1, 1, 1, 1, 1, 1, 1, 0};
    unsigned char kinds[] = {2, 0, 0, /**/ 0, 2, 0, /**/ 2, 2, 2};
    sf_grid grid = {1.5, 3, 3, inside};
    region_map map;
    assert_int_equal(regions_start(&map, &grid), SF_OK);
    regions_label(&map, kinds);
    const size_t labels[] = {0, 1, 1, 2, 3, 1, 3, 3, SF_NO_ZONE};
    assert_int_equal(map.count, 4);
    for (size_t cell = 0; cell < 9; cell++)
        assert_int_equal(map.labels[cell], labels[cell]);
    regions_clear(&map);
}

static void the_nearest_cell_is_found_across_cut_outs_and_from_outside(void **state)
{
    (void)state;
    static heated_board on;
    for (int trial = 0; trial < 300; trial++) {
        lay_board(&on, 31);
        for (size_t cell = 0; cell < CELLS; cell++)
            on.inside[cell] = (cell * 7919 + (size_t)trial * 104729) % 211 < (trial % 6 ? 3 : 40);
        double x_mm = -9.3 + trial * 37 % 109, y_mm = -7.1 + trial * 23 % 71;
        size_t found = cell_nearest(&on.grid, x_mm, y_mm);
        double least_mm = INFINITY, found_mm = INFINITY;
        for (size_t cell = 0; cell < CELLS; cell++) {
            double away_x = ((double)(cell % COLUMNS) + 0.5) * CELL_MM - x_mm;
            double away_y = ((double)(cell / COLUMNS) + 0.5) * CELL_MM - y_mm;
            if (on.inside[cell])
                least_mm = fmin(least_mm, hypot(away_x, away_y));
            if (cell == found)
                found_mm = hypot(away_x, away_y);
        }
        assert_true(on.inside[found]);
        assert_close(found_mm, least_mm, 1e-12, 0);
    }
}

static void a_grid_without_board_has_no_zone(void **state)
{
    (void)state;
    static heated_board on;
    lay_board(&on, 31);
    memset(on.inside, 0, sizeof on.inside);
    sf_part part = part_at("C1", 21, 19);
    sf_part_result result = result_of(SF_LEAVE);
    sf_job job = job_of_bounds(&part, 1);
    sf_zones *zones = zones_of(&job, &result, &on);
    assert_int_equal(zones->count, 0);
    assert_true(zones->part_zone[0] == SF_NO_ZONE);
    sf_zones_free(zones);
    on.grid.columns = on.grid.rows = 0;
    zones = zones_of(&job, &result, &on);
    assert_int_equal(zones->count, 0);
    assert_true(zones->part_zone[0] == SF_NO_ZONE);
    sf_zones_free(zones);
    sf_zones_free(NULL);
}

static void kinds_have_their_words(void **state)
{
    (void)state;
    assert_string_equal(sf_zone_kind_text(SF_ZONE_HOT), "hot");
    assert_string_equal(sf_zone_kind_text(SF_ZONE_WARM), "warm");
    assert_string_equal(sf_zone_kind_text(SF_ZONE_COOL), "cool");
    assert_string_equal(sf_zone_kind_text((sf_zone_kind)-1), "");
    assert_string_equal(sf_zone_kind_text(SF_ZONE_KIND_COUNT), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bounds_are_where_the_commonest_part_uses_its_life),
        cmocka_unit_test(bounds_hold_for_the_history_of_the_board),
        cmocka_unit_test(the_commonest_grade_is_the_mode_and_the_shorter_lived_of_equals),
        cmocka_unit_test(bounds_that_divide_nothing_say_why),
        cmocka_unit_test(a_board_of_one_heat_is_not_divided),
        cmocka_unit_test(every_board_has_its_hot_and_its_cool_region),
        cmocka_unit_test(the_shares_of_the_area_are_those_of_the_policy),
        cmocka_unit_test(a_zone_of_half_the_parts_is_split_by_the_source_that_warms_it),
        cmocka_unit_test(zones_are_connected_named_by_their_source_and_ordered),
        cmocka_unit_test(areas_and_counts_add_up_to_the_board),
        cmocka_unit_test(zones_of_one_peak_are_ordered_from_the_lower_left),
        cmocka_unit_test(a_speck_without_a_part_belongs_to_what_lies_around_it),
        cmocka_unit_test(a_region_of_more_than_a_thumbs_breadth_is_no_speck),
        cmocka_unit_test(specks_side_by_side_are_all_taken_up),
        cmocka_unit_test(an_island_too_small_for_a_zone_stays_one),
        cmocka_unit_test(zones_hang_together_by_sides_not_corners),
        cmocka_unit_test(the_nearest_cell_is_found_across_cut_outs_and_from_outside),
        cmocka_unit_test(a_grid_without_board_has_no_zone),
        cmocka_unit_test(kinds_have_their_words),
    };
    return cmocka_run_group_tests_name("zones", tests, NULL, NULL);
}
