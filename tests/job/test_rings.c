/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Outlines and no-touch areas that are at fault, and what lies off them. */
#include "job_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"

static const char edge[] = "ring,x_mm,y_mm\n0,0,0\n0,120,0\n0,120,90\n0,0,90\n";

static const char *with_edge(const char *rows)
{
    static char content[2048];
    snprintf(content, sizeof content, "%s%s", edge, rows);
    return content;
}

static void an_outline_without_ring_0_is_refused(void **state)
{
    (void)state;
    assert_refused("outline.csv", "ring,x_mm,y_mm\n1,5,5\n1,15,5\n1,15,15\n",
                   "outline.csv: ring: ring 0 is missing, expected the edge of the board as ring "
                   "0\n");
    assert_refused("outline.csv", "ring,x_mm,y_mm\n",
                   "outline.csv: ring: ring 0 is missing, expected the edge of the board as ring "
                   "0\n");
}

static void a_ring_of_two_corners_is_refused(void **state)
{
    (void)state;
    assert_refused("outline.csv", with_edge("4,10,10\n4,20,10\n4,10,10\n"),
                   "outline.csv:6: ring 4 has 2 different corners, expected at least 3\n");
}

static void a_ring_without_area_is_refused(void **state)
{
    (void)state;
    assert_refused("outline.csv", with_edge("4,10,10\n4,20,15\n4,30,20\n"),
                   "outline.csv:6: ring 4 has no area, expected a ring that encloses some board\n");
}

static void a_ring_that_crosses_itself_is_refused_at_the_crossing_edge(void **state)
{
    (void)state;
    assert_refused("outline.csv", with_edge("4,10,10\n4,30,10\n4,32,35\n4,12,5\n"),
                   "outline.csv:8: ring 4 crosses or touches itself: the edge that begins here "
                   "meets the one that begins on line 6, expected corners in order around the "
                   "ring\n");
}

static void a_ring_that_runs_back_along_itself_is_refused(void **state)
{
    (void)state;
    assert_refused("outline.csv", with_edge("4,10,10\n4,30,10\n4,20,10\n4,20,30\n"),
                   "outline.csv:7: ring 4 crosses or touches itself: the edge that begins here "
                   "meets the one that begins on line 6, expected corners in order around the "
                   "ring\n");
}

static void a_ring_that_touches_itself_in_a_corner_is_refused(void **state)
{
    (void)state;
    assert_refused("outline.csv",
                   with_edge("4,10,10\n4,30,10\n4,20,20\n4,30,30\n4,10,30\n4,20,20\n"),
                   "outline.csv:10: ring 4 crosses or touches itself: the edge that begins here "
                   "meets the one that begins on line 7, expected corners in order around the "
                   "ring\n");
}

static void a_corner_outside_the_box_is_refused_on_its_line(void **state)
{
    (void)state;
    assert_refused("outline.csv", "ring,x_mm,y_mm\n0,-0.4,0\n0,120.75,0\n0,120,90\n0,0,91.5\n",
                   "outline.csv:3: corner (120.75, 0) of ring 0 lies 0.8 mm outside the board of "
                   "120 x 90 mm, expected corners inside that box\n"
                   "outline.csv:5: corner (0, 91.5) of ring 0 lies 1.5 mm outside the board of 120 "
                   "x 90 mm, expected corners inside that box\n");
}

static void a_ring_number_that_is_no_whole_number_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "outline.csv", with_edge("1.5,10,10\n"),
        "outline.csv:6: ring: \"1.5\" is not a whole number, expected a whole number from 0 "
        "to 100000\n");
}

static void a_no_touch_area_is_checked_like_a_ring(void **state)
{
    (void)state;
    assert_refused(
        "keepout.csv", "ring,x_mm,y_mm,reason\n2,10,10,mains\n2,130,10,\n2,10,40,\n",
        "keepout.csv:3: corner (130, 10) of ring 2 lies 10.0 mm outside the board of 120 "
        "x 90 mm, expected corners inside that box\n");
}

static void check_off_board(const char *outline, const char *parts, const char *expected)
{
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    write_file(folder, "outline.csv", outline);
    write_file(folder, "parts.csv", parts);
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    sf_status status = sf_job_read(folder, &job, &diagnostics);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, expected);
    assert_int_equal(status, expected[0] ? SF_ERROR_DATA : SF_OK);
    free(lines);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

static void an_edge_at_fault_is_not_held_against_the_parts(void **state)
{
    (void)state;
    assert_refused("outline.csv", "ring,x_mm,y_mm\n0,0,0\n0,20,10\n",
                   "outline.csv:2: ring 0 has 2 different corners, expected at least 3\n");
    assert_refused("outline.csv", "ring,x_mm,y_mm\n0,0,0\n0,20,10\n0,40,20\n",
                   "outline.csv:2: ring 0 has no area, expected a ring that encloses some board\n");
}

static void a_part_inside_a_cut_out_is_refused(void **state)
{
    (void)state;
    const char *outline = with_edge("1,50,40\n1,60,40\n1,60,50\n1,50,50\n");
    check_off_board(
        outline, "ref,x_mm,y_mm\nC1,51.75,41\nC2,55,46.5\n",
        "parts.csv:3: part C2 at (55, 46.5) lies 3.5 mm from the nearest board, outside "
        "the edge or in a cut-out, expected a place on the board\n");
}

static void a_part_in_the_missing_corner_of_an_l_is_refused(void **state)
{
    (void)state;
    check_off_board(
        "ring,x_mm,y_mm\n0,0,0\n0,120,0\n0,120,30\n0,60,30\n0,60,90\n0,0,90\n",
        "ref,x_mm,y_mm\nC1,66.5,77\nC2,20,77\n",
        "parts.csv:2: part C1 at (66.5, 77) lies 6.5 mm from the nearest board, outside "
        "the edge or in a cut-out, expected a place on the board\n");
}

/* `count` corners on a circle of 40 mm about the middle of the board. */
static void add_circle(text *content, unsigned ring, unsigned count)
{
    for (unsigned i = 0; i < count; i++) {
        double angle = 6.283185307179586 * i / count;
        text_addf(content, "%u,%.6f,%.6f\n", ring, 60 + 40 * cos(angle), 45 + 40 * sin(angle));
    }
}

static char *round_outline(unsigned count)
{
    text content = {0};
    text_add(&content, "ring,x_mm,y_mm\n");
    add_circle(&content, 0, count);
    return text_take(&content);
}

static void a_ring_may_have_as_many_corners_as_the_limit_and_no_more(void **state)
{
    (void)state;
    char *fits = round_outline(SF_RING_CORNERS_MAX);
    sf_job *job = read_sound("outline.csv", fits);
    assert_int_equal(job->rings[0].count, SF_RING_CORNERS_MAX);
    sf_job_free(job);
    free(fits);

    char *more = round_outline(SF_RING_CORNERS_MAX + 1);
    assert_refused("outline.csv", more,
                   "outline.csv:2: ring 0 has 2001 corners, more than the limit of 2000\n");
    free(more);
}

static void a_file_may_have_as_many_corners_as_the_limit(void **state)
{
    (void)state;
    text rows = {0};
    text_add(&rows, "ring,x_mm,y_mm\n");
    for (unsigned ring = 0; ring < SF_CORNERS_MAX / SF_RING_CORNERS_MAX; ring++)
        add_circle(&rows, ring, SF_RING_CORNERS_MAX);
    char *content = text_take(&rows);
    const char *folder = fresh_folder();
    write_sound_job(folder);
    /* no contact reading lies where the circles do */
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method,spot\n"
               "r2,87.5,21.75,36.4,C,infrared,part\n");
    write_file(folder, "keepout.csv", content);
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    assert_int_equal(diagnostics.count, 0);
    assert_int_equal(job->keepout_count, SF_CORNERS_MAX / SF_RING_CORNERS_MAX);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
    free(content);
}

static void more_corners_in_a_file_than_the_limit_are_refused(void **state)
{
    (void)state;
    char *content = round_outline(SF_CORNERS_MAX + 1);
    assert_refused("outline.csv", content,
                   "outline.csv:20002: the file has more corners than the limit of 20000\n");
    free(content);
}

static void a_reading_on_a_source_that_hangs_over_the_edge_is_kept(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    write_file(folder, "sources.csv",
               "ref,x_mm,y_mm,width_mm,height_mm,angle_deg\nQ1,125,45,16,8,90\nQ2,125,70,16,8,0\n");
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method\n"
               "a,124.25,69.5,81.5,C,infrared\n"
               "b,123.5,41,80.5,C,infrared\n"
               "c,124.25,30,61.5,C,infrared\n");
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_ERROR_DATA);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(
        lines,
        "readings.csv:2: warning: reading a at (124.25, 69.5) lies 4.2 mm off the board and is "
        "taken "
        "at its nearest place\n"
        "readings.csv:3: warning: reading b at (123.5, 41) lies 3.5 mm off the board and is taken "
        "at "
        "its nearest place\n"
        "readings.csv:4: reading c at (124.25, 30) lies 4.2 mm from the nearest board, outside the "
        "edge or in a cut-out, expected a place on the board\n");
    free(lines);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_outline_without_ring_0_is_refused),
        cmocka_unit_test(a_ring_of_two_corners_is_refused),
        cmocka_unit_test(a_ring_without_area_is_refused),
        cmocka_unit_test(a_ring_that_crosses_itself_is_refused_at_the_crossing_edge),
        cmocka_unit_test(a_ring_that_runs_back_along_itself_is_refused),
        cmocka_unit_test(a_ring_that_touches_itself_in_a_corner_is_refused),
        cmocka_unit_test(a_corner_outside_the_box_is_refused_on_its_line),
        cmocka_unit_test(a_ring_number_that_is_no_whole_number_is_refused),
        cmocka_unit_test(a_no_touch_area_is_checked_like_a_ring),
        cmocka_unit_test(a_part_inside_a_cut_out_is_refused),
        cmocka_unit_test(a_part_in_the_missing_corner_of_an_l_is_refused),
        cmocka_unit_test(a_ring_may_have_as_many_corners_as_the_limit_and_no_more),
        cmocka_unit_test(a_file_may_have_as_many_corners_as_the_limit),
        cmocka_unit_test(an_edge_at_fault_is_not_held_against_the_parts),
        cmocka_unit_test(more_corners_in_a_file_than_the_limit_are_refused),
        cmocka_unit_test(a_reading_on_a_source_that_hangs_over_the_edge_is_kept),
    };
    return cmocka_run_group_tests_name("job rings", tests, NULL, NULL);
}
