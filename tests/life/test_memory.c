/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every allocation of the room fails once: a clean error, nothing leaked (seen by the sanitizer),
 * and the job as it was. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>

#include "life/fixture.h"
#include "spotfield/compare.h"
#include "spotfield/plan.h"
#include "support/allocations.h"

enum { COLUMNS = 20, ROWS = 10, CELLS = COLUMNS * ROWS, PARTS = 5 };

/* A job that walks through every kind of reason, zone and line. */
typedef struct stage {
    sf_part parts[PARTS];
    sf_estimate rises_k[PARTS];
    sf_control controls[2];
    sf_reading readings[1];
    sf_source sources[2];
    sf_job job;
    unsigned char inside[CELLS];
    double temps_c[CELLS];
    sf_grid grid;
} stage;

static void set_stage(stage *on)
{
    *on = (stage){.controls = {{47, 48.1, ""}, {22, 22.9, ""}},
                  .readings = {{.x_mm = 9, .y_mm = 4, .spot = SF_SPOT_PART}},
                  .sources = {{.ref = "U1", .x_mm = 38, .y_mm = 17, .width_mm = 9, .height_mm = 5},
                              {.ref = "R4", .x_mm = 46, .y_mm = 5, .width_mm = 9, .height_mm = 5}}};
    for (size_t i = 0; i < PARTS; i++) {
        on->parts[i] = plain_part("C1");
        on->parts[i].x_mm = 3 + 8 * (double)i;
        on->rises_k[i] = (sf_estimate){9 + 11 * (double)i, 1 + 2.5 * (double)i};
    }
    on->parts[3].capacitance_uf = 22;
    on->job = plain_job(on->parts, PARTS);
    on->job.board.service_goal_h = 200000;
    on->job.controls = on->controls;
    on->job.control_count = 2;
    on->job.readings = on->readings;
    on->job.reading_count = 1;
    on->job.sources = on->sources;
    on->job.source_count = 2;
    for (size_t cell = 0; cell < CELLS; cell++) {
        on->inside[cell] = 1;
        on->temps_c[cell] = 30 + 2 * (double)(cell % COLUMNS);
    }
    on->grid = (sf_grid){2.5, COLUMNS, ROWS, on->inside};
}

typedef sf_status (*step)(const stage *on, const sf_part_result *results);

static sf_status decide(const stage *on, const sf_part_result *results)
{
    (void)results;
    sf_part_result *decided = NULL;
    sf_status status = sf_parts_decide(&on->job, on->rises_k, &decided);
    assert_true((status == SF_OK) == (decided != NULL));
    sf_part_results_free(decided, PARTS);
    return status;
}

static sf_status find_zones(const stage *on, const sf_part_result *results)
{
    sf_zones *zones = NULL;
    sf_status status = sf_zones_find(&on->job, results, &on->grid, on->temps_c, &zones);
    assert_true((status == SF_OK) == (zones != NULL));
    sf_zones_free(zones);
    return status;
}

static sf_status tell_place(const stage *on, const sf_part_result *results)
{
    (void)results;
    const size_t parts[] = {0, 1, 4};
    char *place = sf_parts_place(&on->job, parts, 3);
    sf_status status = place ? SF_OK : SF_ERROR_MEMORY;
    free(place);
    return status;
}

static sf_status make_kit(const stage *on, const sf_part_result *results)
{
    sf_kit *kit = NULL;
    sf_status status = sf_kit_make(&on->job, results, &kit);
    assert_true((status == SF_OK) == (kit != NULL));
    sf_kit_free(kit);
    return status;
}

/* A plan before any reading, on a small board with a source. */
static sf_status make_plan(const stage *on, const sf_part_result *results)
{
    (void)results;
    sf_point corners[] = {{0, 0}, {36, 0}, {36, 24}, {0, 24}};
    sf_ring edge = {.points = corners, .count = 4, .reason = ""};
    sf_source source = {"H1", 24, 13, 8, 7, 0, SF_MOUNT_UNKNOWN, NAN, NAN, NAN, SF_SIDE_EITHER, 2};
    sf_job job = on->job;
    job.board.width_mm = 36;
    job.board.height_mm = 24;
    job.board.copper_layers = 1;
    job.board.copper_thickness_um = 35;
    job.board.copper_cover = 0.4;
    job.board.thickness_mm = 1.6;
    job.board.service_ambient_c = 33;
    job.board.service_goal_h = NAN;
    job.part_count = 2;
    job.rings = &edge;
    job.ring_count = 1;
    job.sources = &source;
    job.source_count = 1;
    sf_plan_options options = sf_plan_options_default();
    sf_diagnostics diagnostics = {0};
    sf_plan *plan = NULL;
    sf_status status = sf_plan_make(&job, NULL, 0, &options, &plan, &diagnostics);
    assert_true((status == SF_OK) == (plan != NULL));
    assert_true(!plan || plan->count > 0);
    sf_plan_free(plan);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

static sf_status ask_what_if(const stage *on, const sf_part_result *results)
{
    const sf_what_if asked = {.air_k = -4.5, .grade_c = 105, .hours = 9000};
    sf_prospect prospect;
    return sf_parts_prospect(&on->job, on->rises_k, results, &asked, &prospect);
}

static sf_status explain(const stage *on, const sf_part_result *results)
{
    char *said = NULL;
    sf_status status = sf_part_explain(&on->job, 3, on->rises_k[3], &results[3], &said);
    assert_true((status == SF_OK) == (said != NULL));
    free(said);
    return status;
}

/* A field of one reading, fitted anew for each failure, against itself; a part more on one side. */
static sf_status compare_surveys(const stage *on, const sf_part_result *results)
{
    (void)results;
    sf_point corners[] = {{0, 0}, {36, 0}, {36, 24}, {0, 24}};
    sf_ring edge = {.points = corners, .count = 4, .reason = ""};
    sf_observation seen = {.id = "t",
                           .x_mm = 11,
                           .y_mm = 13,
                           .temp_c = 35,
                           .rise_k = 12,
                           .sd_k = 0.8,
                           .in_fit = true,
                           .remark = ""};
    sf_job job = on->job, fewer;
    job.board.width_mm = 36;
    job.board.height_mm = 24;
    job.board.copper_layers = 1;
    job.board.copper_thickness_um = 35;
    job.board.copper_cover = 0.4;
    job.board.thickness_mm = 1.6;
    job.rings = &edge;
    job.ring_count = 1;
    job.source_count = 0;
    fewer = job;
    fewer.part_count = PARTS - 1;
    fewer.parts = job.parts + 1;
    job.parts[0].ref = "C9";
    sf_field_input input = {.board = &job.board,
                            .rings = &edge,
                            .ring_count = 1,
                            .observations = &seen,
                            .observation_count = 1};
    sf_field_options options = sf_field_options_default();
    sf_diagnostics diagnostics = {0};
    sf_field *field = NULL;
    sf_comparison *found = NULL;
    sf_status status = sf_field_fit(&input, &options, &field, &diagnostics);
    if (status == SF_OK) {
        const sf_survey before = {&job, field, &seen, 1}, after = {&fewer, field, &seen, 1};
        status = sf_surveys_compare(&before, &after, &found, &diagnostics);
    }
    assert_true((status == SF_OK) == (found != NULL));
    sf_comparison_free(found);
    sf_field_free(field);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

/* Runs a step with its first, second, ... call failing until it needs no more calls. */
static void check_every_failure(step taken, long calls_least)
{
    stage on;
    set_stage(&on);
    sf_part_result *results = NULL;
    assert_int_equal(sf_parts_decide(&on.job, on.rises_k, &results), SF_OK);
    sf_status status = SF_ERROR_MEMORY;
    long failing = 0;
    for (; status != SF_OK; failing++) {
        allocations_left = failing;
        status = taken(&on, results);
        bool spent = allocations_left < 0;
        allocations_left = -1;
        assert_true(failing < 10000);
        assert_int_equal(status, spent ? SF_ERROR_MEMORY : SF_OK);
    }
    assert_true(failing > calls_least);
    sf_part_results_free(results, PARTS);
}

static void a_decision_without_memory_is_a_clean_error(void **state)
{
    (void)state;
    check_every_failure(decide, PARTS + 3);
}

static void zones_without_memory_are_a_clean_error(void **state)
{
    (void)state;
    check_every_failure(find_zones, 20);
}

static void a_place_without_memory_is_a_clean_error(void **state)
{
    (void)state;
    check_every_failure(tell_place, 1);
}

static void a_kit_without_memory_is_a_clean_error(void **state)
{
    (void)state;
    check_every_failure(make_kit, 6);
}

static void a_what_if_without_memory_is_a_clean_error(void **state)
{
    (void)state;
    check_every_failure(ask_what_if, 4 * PARTS);
}

static void an_explanation_without_memory_is_a_clean_error(void **state)
{
    (void)state;
    check_every_failure(explain, 5);
}

static void a_comparison_without_memory_is_a_clean_error(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    check_every_failure(compare_surveys, 40);
}

static void a_plan_without_memory_is_a_clean_error(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    check_every_failure(make_plan, 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_decision_without_memory_is_a_clean_error),
        cmocka_unit_test(zones_without_memory_are_a_clean_error),
        cmocka_unit_test(a_place_without_memory_is_a_clean_error),
        cmocka_unit_test(a_kit_without_memory_is_a_clean_error),
        cmocka_unit_test(a_what_if_without_memory_is_a_clean_error),
        cmocka_unit_test(an_explanation_without_memory_is_a_clean_error),
        cmocka_unit_test(a_comparison_without_memory_is_a_clean_error),
        cmocka_unit_test(a_plan_without_memory_is_a_clean_error),
    };
    return cmocka_run_group_tests_name("memory", tests, NULL, NULL);
}
