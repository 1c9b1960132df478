/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Masks of a thermogram: cold metal that the browser is told of, taken as a ring of mask.csv, and
 * taken back. */
#include "support/check.h"

#include <math.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "core/text.h"
#include "fixture.h"
#include "page/job_files.h"
#include "page/view.h"

/* The lid of bare metal, on the board. */
enum { LID_LEFT = 64, LID_RIGHT = 88, LID_BELOW = 32, LID_ABOVE = 41 };

/* One pixel a millimetre: a hot place at (30, 40), and a lid that mirrors the room. */
static void write_thermogram(void)
{
    text cells = {0};
    for (int row = 0; row <= 60; row++)
        for (int column = 0; column <= 100; column++) {
            int y_mm = 60 - row;
            bool on_lid =
                column >= LID_LEFT && column <= LID_RIGHT && y_mm >= LID_BELOW && y_mm <= LID_ABOVE;
            double away_mm = hypot(column - 30, y_mm - 40);
            text_addf(&cells, "%.2f%s", on_lid ? 22.0 : 31 + 18 * exp(-away_mm / 24),
                      column < 100 ? "," : "\n");
        }
    assert_false(cells.failed);
    write_file(fixture_folder, "thermogram.csv", cells.bytes);
    text_clear(&cells);
}

static session *open_picture(void)
{
    session *opened = fixture_open();
    write_file(fixture_folder, "board.csv",
               "key,value,unit\nwidth,100,mm\nheight,60,mm\nambient,22,C\nservice_ambient,31,C\n"
               "run_hours,43000,h\nmade,1999,\nsurveyed,2019-06-01,\n");
    write_file(fixture_folder, "parts.csv",
               "ref,x_mm,y_mm,diameter_mm,rated_c,endurance_h\nC7,47.5,12,8,"
               "105,2000\n");
    write_file(fixture_folder, "sources.csv", "ref,x_mm,y_mm,width_mm,height_mm\nU1,30,40,8,8\n");
    write_file(fixture_folder, "marks.csv",
               "col,row,x_mm,y_mm\n2,58,2,2\n98,58,98,2\n98,2,98,58\n2,2,2,"
               "58\n");
    write_thermogram();
    return opened;
}

/* The patches that the browser is told of; the caller drops them. */
static json_t *patches_of(session *of)
{
    json_t *now = view_live(of);
    assert_true(json_is_object(json_object_get(now, "outcome")));
    json_t *patches = json_incref(json_object_get(json_object_get(now, "outcome"), "cold_patches"));
    json_decref(now);
    return patches;
}

static size_t count_patches(session *of)
{
    json_t *patches = patches_of(of);
    assert_true(json_is_array(patches));
    size_t count = json_array_size(patches);
    json_decref(patches);
    return count;
}

static double number_of(const json_t *of, const char *key)
{
    assert_true(json_is_number(json_object_get(of, key)));
    return json_number_value(json_object_get(of, key));
}

static void assert_near_edge(double found, double one, double other)
{
    assert_true(fabs(found - one) <= 3 || fabs(found - other) <= 3);
}

static void cold_metal_is_told_with_its_ring(void **state)
{
    (void)state;
    session *of = open_picture();
    json_t *patches = patches_of(of), *patch = json_array_get(patches, 0);
    assert_int_equal(json_array_size(patches), 1);
    assert_true(number_of(patch, "below_k") > 5);
    assert_int_equal(json_array_size(json_object_get(patch, "corners")), 4);
    size_t index;
    json_t *corner;
    json_array_foreach(json_object_get(patch, "corners"), index, corner)
    {
        assert_near_edge(number_of(corner, "x_mm"), LID_LEFT, LID_RIGHT);
        assert_near_edge(number_of(corner, "y_mm"), LID_BELOW, LID_ABOVE);
    }
    json_decref(patches);
    fixture_close(of);
}

#define CORNER(X, Y)                                                                               \
    "{\"file\": \"mask.csv\", \"op\": \"insert\", \"set\": {\"ring\": \"1\", \"x_mm\": \"" X       \
    "\", \"y_mm\": \"" Y "\"}}"

static void a_mask_is_kept_and_its_patch_is_told_no_more(void **state)
{
    (void)state;
    session *of = open_picture();
    assert_int_equal(
        fixture_edit(
            of, "{\"label\": \"mask\", \"ops\": [" CORNER("62.5", "30.5") "," CORNER(
                    "90.5", "30.5") "," CORNER("90.5", "42.5") "," CORNER("62.5", "42.5") "]}"),
        SF_OK);
    assert_file("mask.csv", "ring,x_mm,y_mm,reason\n1,62.5,30.5\n1,90.5,30.5\n1,90.5,42.5\n"
                            "1,62.5,42.5\n");
    assert_int_equal(count_patches(of), 0);
    assert_int_equal(fixture_step(of, BACK), SF_OK);
    assert_int_equal(count_patches(of), 1);
    assert_int_equal(fixture_step(of, AGAIN), SF_OK);
    assert_int_equal(count_patches(of), 0);
    fixture_close(of);
}

static void a_change_of_mask_csv_by_another_program_is_noticed(void **state)
{
    (void)state;
    session *of = open_picture();
    uint64_t before = job_files_stamp(fixture_folder);
    write_file(fixture_folder, "mask.csv", "ring,x_mm,y_mm\n1,68,28\n1,84,28\n1,84,44\n");
    assert_true(job_files_stamp(fixture_folder) != before);
    fixture_close(of);
}

static void without_a_thermogram_there_is_nothing_to_mask(void **state)
{
    (void)state;
    session *of = open_picture();
    assert_int_equal(unlink(fixture_path("thermogram.csv")), 0);
    assert_int_equal(unlink(fixture_path("marks.csv")), 0);
    write_file(fixture_folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method\nr3,44,27,58.5,C,infrared\n"
               "r5,64,51,33.5,C,infrared\nr7,21,46,41.5,C,infrared\n");
    json_t *patches = patches_of(of);
    assert_true(json_is_null(patches));
    json_decref(patches);
    fixture_close(of);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cold_metal_is_told_with_its_ring),
        cmocka_unit_test(a_mask_is_kept_and_its_patch_is_told_no_more),
        cmocka_unit_test(a_change_of_mask_csv_by_another_program_is_noticed),
        cmocka_unit_test(without_a_thermogram_there_is_nothing_to_mask),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
