/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whose can a reading was taken on, by its place and by name, and what is said where it is
 * nobody's. */
#include "job_folder.h"

#include <stdio.h>

/* parts.csv of the sound job: cans of 8 mm by default, C1 at (33.5, 47.25), C2 at (91.5, 17.75);
 * the ruler's standard uncertainty is 1 mm, so that a can reaches 2 mm over its edge. */

static const char *readings_of(const char *rows)
{
    static char content[1024];
    snprintf(content, sizeof content, "id,x_mm,y_mm,value,unit,method,spot,minute,part\n%s", rows);
    return content;
}

static size_t part_of(const sf_job *job, double x_mm, double y_mm)
{
    sf_reading reading = {.x_mm = x_mm, .y_mm = y_mm, .spot = SF_SPOT_PART};
    return sf_reading_part(job, &reading);
}

static void a_reading_belongs_to_the_can_that_it_lies_on(void **state)
{
    (void)state;
    sf_part parts[] = {{.ref = "C1", .x_mm = 30, .y_mm = 20, .diameter_mm = 18},
                       {.ref = "C2", .x_mm = 42, .y_mm = 20, .diameter_mm = 5}};
    sf_job job = {.parts = parts, .part_count = 2, .policy = sf_policy_default()};
    assert_int_equal(part_of(&job, 30, 20), 0);
    assert_int_equal(part_of(&job, 30, 11.1), 0);
    /* 0.1 mm within the edge of the large can and 0.6 mm off the small one's, though its middle
     * is nearer */
    assert_int_equal(part_of(&job, 38.9, 20), 0);
    assert_int_equal(part_of(&job, 39.3, 20), 1); /* 0.3 mm off the one, 0.2 mm off the other */
    assert_int_equal(part_of(&job, 42, 24.4), 1); /* 1.9 mm off */
    assert_int_equal(part_of(&job, 42, 24.6), SF_NO_PART);
    job.policy.position_sd_mm = 0.3;
    assert_int_equal(part_of(&job, 42, 23.05), 1); /* 0.55 mm off */
    assert_int_equal(part_of(&job, 42, 23.15), SF_NO_PART);
}

static void only_a_reading_on_a_part_belongs_to_one(void **state)
{
    (void)state;
    sf_part part = {.ref = "C1", .x_mm = 30, .y_mm = 20, .diameter_mm = 18};
    sf_job job = {.parts = &part, .part_count = 1, .policy = sf_policy_default()};
    sf_reading reading = {.x_mm = 30, .y_mm = 20, .spot = SF_SPOT_BOARD};
    assert_int_equal(sf_reading_part(&job, &reading), SF_NO_PART);
    reading.spot = SF_SPOT_SOURCE;
    assert_int_equal(sf_reading_part(&job, &reading), SF_NO_PART);
    reading.spot = SF_SPOT_PART;
    assert_int_equal(sf_reading_part(&job, &reading), 0);
    job.part_count = 0;
    assert_int_equal(sf_reading_part(&job, &reading), SF_NO_PART);
}

static void a_named_part_counts_wherever_the_reading_lies(void **state)
{
    (void)state;
    sf_job *job = read_sound("readings.csv", readings_of("a,91.5,17.75,58.5,C,infrared,part,,C2\n"
                                                         "b,92,18,58.5,C,infrared,part,,\n"
                                                         "c,60,20,41,C,infrared,board,,\n"));
    assert_string_equal(job->readings[0].part, "C2");
    assert_int_equal(sf_reading_part(job, &job->readings[0]), 1);
    assert_int_equal(sf_reading_part(job, &job->readings[1]), 1);
    assert_int_equal(sf_reading_part(job, &job->readings[2]), SF_NO_PART);
    sf_job_free(job);
    assert_warned("readings.csv", readings_of("a,91.5,27.75,58.5,C,infrared,part,,C2\n"),
                  "readings.csv:2: warning: part: reading a names C2, whose can ends 6.0 mm away "
                  "from it: the reading counts as C2's\n");
}

static void an_unknown_part_is_refused_with_the_nearest_known(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,91.5,17.75,58.5,C,infrared,part,,C12\n"),
                   "readings.csv:2: part: \"C12\" is not a part; did you mean C1, "
                   "expected a ref of parts.csv\n");
}

static void a_part_named_for_another_spot_is_refused(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,91.5,17.75,58.5,C,infrared,board,,C2\n"),
                   "readings.csv:2: part: C2 is named, but the reading was taken on the board, "
                   "expected a blank cell, or part as the spot\n");
}

static void a_reading_just_off_a_can_is_asked_about(void **state)
{
    (void)state;
    assert_warned("readings.csv", readings_of("a,42.25,47.25,58.5,C,infrared,part,,\n"),
                  "readings.csv:2: warning: part: reading a is on no can of parts.csv: C1's, the "
                  "nearest, ends 4.8 mm away, expected the part that was read, where parts.csv has "
                  "it\n");
    /* 5.2 mm: a part that parts.csv does not have */
    assert_warned("readings.csv", readings_of("a,42.75,47.25,58.5,C,infrared,part,,\n"), "");
}

static void rows_of_a_series_name_one_part(void **state)
{
    (void)state;
    assert_refused("readings.csv",
                   readings_of("a,91.5,17.75,48.5,C,infrared,part,5,C2\n"
                               "a,91.5,17.75,58.5,C,infrared,part,15,\n"),
                   "readings.csv:3: part: it differs from line 2, which has the same id \"a\", "
                   "expected the same in each row of a warm-up series\n");
}

static void only_cans_of_the_side_that_is_read_are_met(void **state)
{
    (void)state;
    sf_part parts[] = {
        {.ref = "C1", .x_mm = 30, .y_mm = 20, .diameter_mm = 18},
        {.ref = "C2", .x_mm = 33, .y_mm = 20, .diameter_mm = 5, .side = SF_SIDE_SOLDER},
        {.ref = "C3", .x_mm = 60, .y_mm = 20, .diameter_mm = 5}};
    sf_job job = {.parts = parts, .part_count = 3, .policy = sf_policy_default()};
    sf_reading reading = {.x_mm = 33, .y_mm = 20, .spot = SF_SPOT_PART, .part = ""};
    assert_int_equal(sf_reading_part(&job, &reading), 0); /* not told: the component side */
    reading.side = SF_SIDE_COMPONENT;
    assert_int_equal(sf_reading_part(&job, &reading), 0);
    reading.side = SF_SIDE_SOLDER;
    assert_int_equal(sf_reading_part(&job, &reading), 1);
    reading.x_mm = 60;
    assert_int_equal(sf_reading_part(&job, &reading), SF_NO_PART);
    reading.part = "C3"; /* a name counts: that the side is another is a fault of its own */
    assert_int_equal(sf_reading_part(&job, &reading), 2);
}

static const char *sided(const char *row)
{
    static char content[256];
    snprintf(content, sizeof content, "id,x_mm,y_mm,value,unit,method,spot,side,part\n%s", row);
    return content;
}

static void a_reading_says_the_side_that_it_was_taken_from(void **state)
{
    (void)state;
    sf_job *job = read_sound("readings.csv", sided("a,60,20,41,C,infrared,board,Solder,\n"));
    assert_int_equal(job->readings[0].side, SF_SIDE_SOLDER);
    sf_job_free(job);
    job = read_sound("readings.csv", sided("a,91.5,17.75,41,C,infrared,part,component side,\n"));
    assert_int_equal(job->readings[0].side, SF_SIDE_COMPONENT);
    assert_int_equal(job->readings[0].spot, SF_SPOT_PART);
    sf_job_free(job);
    assert_refused("readings.csv", sided("a,91.5,17.75,58.5,C,infrared,part,solder,C2\n"),
                   "readings.csv:2: side: C2 is on the component side, expected the side of "
                   "the part that was read, or board as the spot\n");
    assert_refused("readings.csv", sided("a,91.5,17.75,58.5,C,infrared,board,below,\n"),
                   "readings.csv:2: side: \"below\" is not known, expected "
                   "component or solder\n");
}

static void under_a_can_there_is_the_board(void **state)
{
    (void)state;
    static const char told[] =
        "readings.csv:2: warning: spot: parts.csv has no part there on the solder side, and "
        "C2 on the other: the reading counts as one of the board, expected board as the spot, or "
        "the part of the solder side that was read\n";
    assert_warned("readings.csv", sided("a,91.5,17.75,58.5,C,infrared,part,solder,\n"), told);
    char folder[256];
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    write_sound_job(folder);
    write_file(folder, "readings.csv", sided("a,91.5,17.75,58.5,C,infrared,part,solder,\n"));
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    assert_int_equal(job->readings[0].spot, SF_SPOT_BOARD);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
}

static void rows_of_a_series_are_read_from_one_side(void **state)
{
    (void)state;
    assert_refused("readings.csv",
                   "id,x_mm,y_mm,value,unit,method,minute,side\n"
                   "a,60,20,48.5,C,infrared,5,solder\na,60,20,58.5,C,infrared,15,\n",
                   "readings.csv:3: side: it differs from line 2, which has the same id \"a\", "
                   "expected the same in each row of a warm-up series\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reading_belongs_to_the_can_that_it_lies_on),
        cmocka_unit_test(only_a_reading_on_a_part_belongs_to_one),
        cmocka_unit_test(a_named_part_counts_wherever_the_reading_lies),
        cmocka_unit_test(an_unknown_part_is_refused_with_the_nearest_known),
        cmocka_unit_test(a_part_named_for_another_spot_is_refused),
        cmocka_unit_test(a_reading_just_off_a_can_is_asked_about),
        cmocka_unit_test(rows_of_a_series_name_one_part),
        cmocka_unit_test(only_cans_of_the_side_that_is_read_are_met),
        cmocka_unit_test(a_reading_says_the_side_that_it_was_taken_from),
        cmocka_unit_test(under_a_can_there_is_the_board),
        cmocka_unit_test(rows_of_a_series_are_read_from_one_side),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
