/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What board, rings and policy of a sound job are read into: values, units, defaults and what they
 * are said to be. */
#include "job_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"

static const char full_board[] = "key,value,unit\n"
                                 "name,\"supply, left\",\n"
                                 "width,12.5,cm\n"
                                 "height,3.5,in\n"
                                 "grade,CEM-1,\n"
                                 "thickness,62,mil\n"
                                 "copper_layers,1,\n"
                                 "copper_thickness,2,oz\n"
                                 "copper_cover,37.5,%\n"
                                 "air,enclosed,\n"
                                 "ambient,77,F\n"
                                 "service_ambient,306.15,K\n"
                                 "service_ambient_u,4.5,F\n"
                                 "run_hours,1250,d\n"
                                 "run_hours_sd,2750,h\n"
                                 "made,2010,\n"
                                 "surveyed,2025-07-02,\n"
                                 "hours_per_year,4380,h\n"
                                 "service_goal,17500,h\n";

static void each_key_of_the_board_is_read_in_its_unit(void **state)
{
    (void)state;
    sf_job *job = read_sound("board.csv", full_board);
    const sf_board *board = &job->board;
    assert_string_equal(board->name, "supply, left");
    assert_close(board->width_mm, 125, 1e-15, 0);
    assert_close(board->height_mm, 88.9, 1e-15, 0);
    assert_int_equal(board->laminate, SF_LAMINATE_CEM1);
    assert_close(board->thickness_mm, 1.5748, 1e-15, 0);
    assert_int_equal(board->copper_layers, 1);
    assert_close(board->copper_thickness_um, 70, 1e-15, 0);
    assert_close(board->copper_cover, 0.375, 1e-15, 0);
    assert_int_equal(board->air, SF_AIR_ENCLOSED);
    assert_close(board->ambient_c, 25, 1e-14, 0);
    assert_close(board->service_ambient_c, 33, 1e-13, 0);
    assert_close(board->service_ambient_sd_k, 2.5, 1e-14, 0); /* a difference: 9 F are 5 K */
    assert_close(board->run_hours, 30000, 1e-15, 0);
    assert_close(board->run_hours_sd, 2750, 0, 0);
    assert_int_equal(board->made_year, 2010);
    assert_string_equal(board->surveyed, "2025-07-02");
    /* computed: 2 July is day 183 of 365 */
    assert_close(board->survey_year, 2025 + 182 / 365.0, 1e-15, 0);
    assert_close(board->hours_per_year, 4380, 0, 0);
    assert_close(board->service_goal_h, 17500, 0, 0);
    sf_job_free(job);
}

static void what_the_board_does_not_give_is_assumed_and_said(void **state)
{
    (void)state;
    /* with the rise of the covers nobody is asked for the air in service */
    sf_job *job = read_sound_pair("board.csv", "key,value\nwidth,120\nheight,90\nambient,23.5\n",
                                  "policy.csv", "key,value\ncover_rise_k,8.5\n");
    const sf_board *board = &job->board;
    assert_int_equal(board->laminate, SF_LAMINATE_FR4);
    assert_close(board->thickness_mm, 1.6, 0, 0);
    assert_int_equal(board->copper_layers, 2);
    assert_close(board->copper_thickness_um, 35, 0, 0);
    assert_close(board->copper_cover, 0.4, 1e-15, 0);
    assert_int_equal(board->air, SF_AIR_STILL);
    assert_close(board->service_ambient_c, 23.5, 0, 0);
    assert_true(has_assumption(job, "grade not given: taken as FR-4"));
    assert_true(has_assumption(job, "thickness not given: taken as 1.6 mm"));
    assert_true(has_assumption(job, "copper_layers not given: taken as 2 for FR-4"));
    assert_true(has_assumption(job, "copper_thickness not given: taken as 35 um"));
    assert_true(has_assumption(job, "copper_cover not given: taken as 40 %"));
    assert_true(has_assumption(job, "air not given: taken as still"));
    assert_true(
        has_assumption(job, "service_ambient not given: taken as 23.5 C, the air at the bench"));
    assert_close(board->service_ambient_sd_k, 2, 0, 0);
    assert_close(board->run_hours_sd_pct, 10, 0, 0);
    assert_true(has_assumption(job, "service_ambient_u not given: taken as 2 K, since the air is "
                                    "seldom logged for years"));
    assert_true(has_assumption(
        job, "run_hours_u not given: taken as 10 %, since hours are seldom metered"));
    sf_job_free(job);
}

static void a_doubt_of_hours_that_is_told_is_not_assumed(void **state)
{
    (void)state;
    sf_job *job = read_sound("board.csv", full_board);
    for (size_t i = 0; i < job->assumption_count; i++)
        assert_null(strstr(job->assumptions[i], "_u not given"));
    sf_job_free(job);
    job = read_sound("board.csv", "key,value,unit\nwidth,120,mm\nheight,90,mm\nambient,23.5,C\n"
                                  "service_ambient,31.5,C\nrun_hours,41000,h\n"
                                  "run_hours_u,22.5,%\n");
    assert_close(job->board.run_hours_sd_pct, 22.5, 0, 0);
    assert_true(isnan(job->board.run_hours_sd));
    sf_job_free(job);
    assert_refused(
        "board.csv",
        "key,value,unit\nwidth,120,mm\nheight,90,mm\nambient,23.5,C\nservice_ambient,31.5,C\n"
        "run_hours,41000,h\nrun_hours_sd,3000,h\nrun_hours_u,22.5,%\n",
        "board.csv: run_hours_u: run_hours_sd gives the uncertainty of the hours too, expected "
        "one of the two\n");
}

static void what_nobody_knows_stays_unknown(void **state)
{
    (void)state;
    sf_job *job = read_sound("board.csv", sound_board);
    assert_string_equal(job->board.name, "");
    assert_string_equal(job->board.surveyed, "");
    assert_true(isnan(job->board.survey_year));
    assert_true(isnan(job->board.run_hours));
    assert_true(isnan(job->board.run_hours_sd));
    assert_true(isnan(job->board.hours_per_year));
    assert_true(isnan(job->board.service_goal_h));
    assert_int_equal(job->board.made_year, 0);
    sf_job_free(job);
}

static void a_single_sided_grade_has_one_layer_unless_told(void **state)
{
    (void)state;
    static const char *const grades[] = {"FR-1", "FR-2", "CEM-1", "CEM-3"};
    static const int layers[] = {1, 1, 1, 2};
    for (size_t i = 0; i < 4; i++) {
        char content[256];
        snprintf(content, sizeof content, "%sgrade,%s,\n", sound_board, grades[i]);
        sf_job *job = read_sound("board.csv", content);
        assert_int_equal(job->board.copper_layers, layers[i]);
        sf_job_free(job);
    }
}

static void the_edge_is_the_rectangle_of_the_board_without_an_outline(void **state)
{
    (void)state;
    sf_job *job = read_sound("board.csv", sound_board);
    assert_int_equal(job->ring_count, 1);
    assert_int_equal(job->rings[0].count, 4);
    assert_close(job->rings[0].points[2].x_mm, 120, 0, 0);
    assert_close(job->rings[0].points[2].y_mm, 90, 0, 0);
    sf_job_free(job);
}

static void rings_are_sorted_by_number_and_a_closing_corner_is_dropped(void **state)
{
    (void)state;
    sf_job *job = read_sound("outline.csv", "ring,x_mm,y_mm\n"
                                            "7,60.5,50\n0,0,0\n0,120,0\n7,70.5,50\n0,120,90\n"
                                            "7,70.5,51.5\n0,0,90\n7,60.5,51.5\n0,0,0\n7,60.5,50\n");
    assert_int_equal(job->ring_count, 2);
    assert_int_equal(job->rings[0].number, 0);
    assert_int_equal(job->rings[0].count, 4);
    assert_int_equal(job->rings[1].number, 7);
    assert_int_equal(job->rings[1].count, 4);
    assert_close(job->rings[1].points[1].x_mm, 70.5, 0, 0);
    assert_string_equal(job->rings[1].reason, "");
    sf_job_free(job);
}

static void a_cut_out_may_touch_and_overlap_the_edge(void **state)
{
    (void)state;
    sf_job *job = read_sound("outline.csv", "ring,x_mm,y_mm\n"
                                            "0,0,0\n0,120,0\n0,120,90\n0,0,90\n"
                                            "1,110,40\n1,120.4,40\n1,120.4,50\n1,110,50\n"
                                            "2,0,70\n2,5,70\n2,5,75\n2,0,75\n");
    assert_int_equal(job->ring_count, 3);
    sf_job_free(job);
}

static void a_no_touch_area_keeps_its_reason(void **state)
{
    (void)state;
    sf_job *job = read_sound("keepout.csv", "ring;x_mm;y_mm;reason\n"
                                            "3;10,5;20;\n3;30,5;20;mains\n3;30,5;45;\n");
    assert_int_equal(job->keepout_count, 1);
    assert_int_equal(job->keepouts[0].number, 3);
    assert_string_equal(job->keepouts[0].reason, "mains");
    assert_close(job->keepouts[0].points[1].x_mm, 30.5, 0, 0);
    sf_job_free(job);
}

static void each_word_of_mount_is_read_and_a_blank_one_is_assumed(void **state)
{
    (void)state;
    static const struct {
        const char *written;
        sf_mount mount;
    } words[] = {{"flat", SF_MOUNT_FLAT},
                 {"standing", SF_MOUNT_STANDING},
                 {"heat-sink", SF_MOUNT_HEAT_SINK},
                 {"HeatSink", SF_MOUNT_HEAT_SINK},
                 {"wound", SF_MOUNT_WOUND},
                 {"unknown", SF_MOUNT_UNKNOWN},
                 {"", SF_MOUNT_UNKNOWN}};
    enum { COUNT = sizeof words / sizeof words[0] };
    text rows = {0};
    text_add(&rows, "ref,x_mm,y_mm,width_mm,height_mm,mount\n");
    for (size_t i = 0; i < COUNT; i++)
        text_addf(&rows, "H%zu,%g,40.5,8,6,%s\n", i, 12.5 + 15 * (double)i, words[i].written);
    char *content = text_take(&rows);
    sf_job *job = read_sound("sources.csv", content);
    assert_int_equal(job->source_count, COUNT);
    for (size_t i = 0; i < COUNT; i++) {
        assert_int_equal(job->sources[i].mount, words[i].mount);
        if (words[i].written[0] && i != 3)
            assert_string_equal(sf_mount_text(job->sources[i].mount), words[i].written);
    }
    assert_true(has_assumption(job, "mount not given for 1 of 7 sources: taken as unknown"));
    sf_job_free(job);
    free(content);
}

static void a_source_says_the_side_that_it_is_on(void **state)
{
    (void)state;
    sf_job *job = read_sound("sources.csv", "ref,x_mm,y_mm,width_mm,height_mm,side\n"
                                            "H1,40,40,8,6,Solder\nH2,60,40,8,6,component side\n"
                                            "H3,80,40,8,6,\n");
    assert_int_equal(job->sources[0].side, SF_SIDE_SOLDER);
    assert_int_equal(job->sources[1].side, SF_SIDE_COMPONENT);
    assert_int_equal(job->sources[2].side, SF_SIDE_EITHER);
    sf_job_free(job);
    assert_refused("sources.csv", "ref,x_mm,y_mm,width_mm,height_mm,side\nH1,40,40,8,6,below\n",
                   "sources.csv:2: side: \"below\" is not known, expected component or solder\n");
}

static void another_word_for_mount_is_refused_with_those_that_are_known(void **state)
{
    (void)state;
    assert_refused(
        "sources.csv",
        "ref,x_mm,y_mm,width_mm,height_mm,mount\nH1,40,40,8,6,flat\n"
        "H2,70,40,8,6,glued\n",
        "sources.csv:3: mount: \"glued\" is not known, expected unknown, flat, standing, "
        "heat-sink or wound\n");
}

static void parts_stand_where_their_rows_say_in_their_order(void **state)
{
    (void)state;
    sf_job *job = read_sound("parts.csv", "ref,x_mm,y_mm\nC7,33.5,47.25\nC2,91.5,17.75\n"
                                          "C5,12.25,80.5\n");
    sf_point *places = sf_part_places(job);
    assert_non_null(places);
    static const double at_mm[][2] = {{33.5, 47.25}, {91.5, 17.75}, {12.25, 80.5}};
    for (size_t i = 0; i < 3; i++) {
        assert_close(places[i].x_mm, at_mm[i][0], 0, 0);
        assert_close(places[i].y_mm, at_mm[i][1], 0, 0);
    }
    free(places);
    job->part_count -= 3; /* none is no failure */
    places = sf_part_places(job);
    job->part_count += 3;
    assert_non_null(places);
    free(places);
    sf_job_free(job);
}

static void parts_without_a_year_take_the_boards(void **state)
{
    (void)state;
    sf_job *job = read_sound("board.csv", full_board);
    assert_true(has_assumption(job, "year not given for 2 of 2 parts: taken as 2010, the board's"));
    sf_job_free(job);
}

static void every_policy_key_can_be_changed(void **state)
{
    (void)state;
    text rows = {0};
    text_add(&rows, "key,value,unit\n");
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++)
        text_addf(&rows, "%s,%.17g,%s\n", key->key, key->least + 0.625 * (key->most - key->least),
                  key->unit);
    char *content = text_take(&rows);
    assert_non_null(sf_policy_keys()[0].key);
    sf_job *job = read_sound("policy.csv", content);
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++) {
        double value = *(const double *)((const char *)&job->policy + key->offset);
        assert_close(value, key->least + 0.625 * (key->most - key->least), 1e-15, 0);
    }
    sf_job_free(job);
    free(content);
}

static void a_policy_value_is_converted_from_its_unit(void **state)
{
    (void)state;
    sf_job *job = read_sound("policy.csv", "key;value;unit\ncover_rise_k;13,5;F\n"
                                           "position_sd_mm;0,125;in\nlife_floor_c;95;F\n");
    assert_close(job->policy.cover_rise_k, 7.5, 1e-15, 0);
    assert_close(job->policy.position_sd_mm, 3.175, 1e-15, 0);
    assert_close(job->policy.life_floor_c, 35, 1e-15, 0);
    assert_close(job->policy.case_offset_sd_k, sf_policy_default().case_offset_sd_k, 0, 0);
    sf_job_free(job);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_key_of_the_board_is_read_in_its_unit),
        cmocka_unit_test(what_the_board_does_not_give_is_assumed_and_said),
        cmocka_unit_test(a_doubt_of_hours_that_is_told_is_not_assumed),
        cmocka_unit_test(what_nobody_knows_stays_unknown),
        cmocka_unit_test(a_single_sided_grade_has_one_layer_unless_told),
        cmocka_unit_test(the_edge_is_the_rectangle_of_the_board_without_an_outline),
        cmocka_unit_test(rings_are_sorted_by_number_and_a_closing_corner_is_dropped),
        cmocka_unit_test(a_cut_out_may_touch_and_overlap_the_edge),
        cmocka_unit_test(a_no_touch_area_keeps_its_reason),
        cmocka_unit_test(each_word_of_mount_is_read_and_a_blank_one_is_assumed),
        cmocka_unit_test(a_source_says_the_side_that_it_is_on),
        cmocka_unit_test(another_word_for_mount_is_refused_with_those_that_are_known),
        cmocka_unit_test(parts_stand_where_their_rows_say_in_their_order),
        cmocka_unit_test(parts_without_a_year_take_the_boards),
        cmocka_unit_test(every_policy_key_can_be_changed),
        cmocka_unit_test(a_policy_value_is_converted_from_its_unit),
    };
    return cmocka_run_group_tests_name("job read", tests, NULL, NULL);
}
