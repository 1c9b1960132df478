/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The photo of the board over the page's socket, as a browser would ask. */
#include "support/check.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include <gd.h>
#include <gsl/gsl_errno.h>

#include "served.h"

/* A picture of the board, 125 x 85 pixels of noise that compresses badly. */
static void *draw_photo(int *size, int png)
{
    gdImagePtr drawn = gdImageCreateTrueColor(125, 85);
    assert_non_null(drawn);
    for (int i = 0; i < 125 * 85; i++)
        gdImageSetPixel(drawn, i % 125, i / 125, gdTrueColor(i * 37 % 251, i * 11 % 241, i % 239));
    void *bytes = png ? gdImagePngPtr(drawn, size) : gdImageJpegPtr(drawn, size, 90);
    gdImageDestroy(drawn);
    assert_non_null(bytes);
    return bytes;
}

/* Sends it and has it taken. */
static void send_photo(const void *bytes, int size)
{
    answer kept = served_ask("photo", bytes, (size_t)size);
    assert_int_equal(kept.status, 200);
    answer_clear(&kept);
}

static void assert_photo_served(int png, const char *type)
{
    int size = 0;
    void *bytes = draw_photo(&size, png);
    send_photo(bytes, size);
    answer got = served_ask("photo", NULL, 0);
    assert_int_equal(got.status, 200);
    assert_non_null(strstr(got.bytes, type));
    assert_int_equal(got.size - (size_t)(got.body - got.bytes), size);
    assert_memory_equal(got.body, bytes, (size_t)size);
    answer_clear(&got);
    gdFree(bytes);
}

static void a_photo_is_kept_as_it_came_and_the_last_one_counts(void **state)
{
    (void)state;
    assert_int_equal(served_status("photo", NULL), 404);
    assert_photo_served(0, "Content-Type: image/jpeg");
    assert_photo_served(1, "Content-Type: image/png");
    assert_photo_served(0, "Content-Type: image/jpeg");
    assert_int_equal(served_status("photo", "no picture at all"), 409);
}

static void a_photo_tells_how_well_its_marks_fit_and_comes_straightened(void **state)
{
    (void)state;
    int size = 0;
    void *bytes = draw_photo(&size, 1);
    send_photo(bytes, size);
    gdFree(bytes);
    assert_int_equal(served_status("straight", NULL), 404);
    /* five marks of one pixel a millimetre: nothing is left over, computed from the definition */
    write_file(served_folder, "photo-marks.csv",
               "mark,column_px,row_px,x_mm,y_mm\n1,0,85,0,0\n2,125,85,125,0\n3,125,0,125,85\n"
               "4,0,0,0,85\n5,47,31,47,54\n");
    json_t *job = served_json("job", NULL, 200);
    const json_t *photo = json_object_get(job, "photo");
    assert_int_equal(json_integer_value(json_object_get(photo, "width_px")), 125);
    assert_int_equal(json_integer_value(json_object_get(photo, "height_px")), 85);
    assert_true(json_is_true(json_object_get(photo, "fits")));
    assert_int_equal(json_array_size(json_object_get(photo, "residuals_mm")), 5);
    assert_close(json_number_value(json_object_get(photo, "rms_mm")), 0, 0, 1e-6);
    json_decref(job);
    answer got = served_ask("straight", NULL, 0);
    assert_int_equal(got.status, 200);
    size_t head = (size_t)(got.body - got.bytes);
    gdImagePtr read = gdImageCreateFromJpegPtr((int)(got.size - head), (void *)(got.bytes + head));
    assert_non_null(read);
    /* the board's rectangle alone, whose sides are as 125 to 85 */
    assert_close((double)gdImageSX(read) / gdImageSY(read), 125.0 / 85, 2e-3, 0);
    gdImageDestroy(read);
    answer_clear(&got);
}

static void a_photo_whose_marks_hold_nothing_is_told_so(void **state)
{
    (void)state;
    int size = 0;
    void *bytes = draw_photo(&size, 0);
    send_photo(bytes, size);
    gdFree(bytes);
    write_file(served_folder, "photo-marks.csv", "mark,column_px,row_px,x_mm,y_mm\n1,7,9,3,4\n");
    json_t *job = served_json("job", NULL, 200);
    assert_true(json_is_false(json_object_get(json_object_get(job, "photo"), "fits")));
    json_decref(job);
}

/* 125 x 85 mm at four pixels a millimetre, with a light disc of 20 mm and one of 10 mm. */
static void send_two_discs(void)
{
    int size = 0;
    gdImagePtr drawn = gdImageCreateTrueColor(500, 340);
    assert_non_null(drawn);
    gdImageFilledRectangle(drawn, 0, 0, 499, 339, gdTrueColor(40, 90, 50));
    gdImageFilledEllipse(drawn, 120, 140, 80, 80, gdTrueColor(190, 190, 190));
    gdImageFilledEllipse(drawn, 360, 220, 40, 40, gdTrueColor(190, 190, 190));
    void *bytes = gdImagePngPtr(drawn, &size);
    gdImageDestroy(drawn);
    assert_non_null(bytes);
    send_photo(bytes, size);
    gdFree(bytes);
    write_file(served_folder, "photo-marks.csv",
               "mark,column_px,row_px,x_mm,y_mm\n1,0,340,0,0\n2,500,340,125,0\n3,500,0,125,85\n"
               "4,0,0,0,85\n");
}

static double member(const json_t *of, const char *name)
{
    return json_number_value(json_object_get(of, name));
}

static void circles_of_the_photo_are_told_where_they_lie(void **state)
{
    (void)state;
    assert_int_equal(served_status("circles", NULL), 404);
    send_two_discs();
    json_t *told = served_json("circles", NULL, 200);
    const json_t *circles = json_object_get(told, "circles");
    assert_int_equal(json_array_size(circles), 2);
    for (size_t i = 0; i < 2; i++) {
        const json_t *circle = json_array_get(circles, i);
        bool large = member(circle, "diameter_mm") > 15;
        assert_close(member(circle, "x_mm"), large ? 30 : 90, 0, 0.3);
        assert_close(member(circle, "y_mm"), large ? 50 : 30, 0, 0.3);
        assert_close(member(circle, "diameter_mm"), large ? 20 : 10, 0, 0.4);
        assert_close(member(circle, "seen"), 1, 0, 0.2);
    }
    /* a lens of 45 degrees sees 125 mm from 151 */
    assert_close(member(json_object_get(told, "camera"), "above_mm"), 125 * 1.207, 0.02, 0);
    json_decref(told);
    /* a search that was ended leaves nothing for the next one */
    assert_int_equal(served_status("leave-circles", ""), 200);
    assert_int_equal(served_status("circles", NULL), 200);
}

/* The photo is there to place the first part by. */
static void a_photo_is_straightened_before_the_job_is_whole(void **state)
{
    (void)state;
    char path[sizeof served_folder + 16];
    send_two_discs();
    snprintf(path, sizeof path, "%s/parts.csv", served_folder);
    assert_int_equal(remove(path), 0);
    write_file(served_folder, "board.csv", "key,value,unit\nwidth,125,mm\nheight,85,mm\n");
    assert_int_equal(served_status("straight", NULL), 200);
    assert_int_equal(served_status("circles", NULL), 200);
    write_file(served_folder, "board.csv", "key,value,unit\nwidth,125,mm\n");
    assert_int_equal(served_status("straight", NULL), 404);
    assert_int_equal(served_status("circles", NULL), 404);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        WITH_PAGE(a_photo_is_kept_as_it_came_and_the_last_one_counts),
        WITH_PAGE(a_photo_tells_how_well_its_marks_fit_and_comes_straightened),
        WITH_PAGE(a_photo_whose_marks_hold_nothing_is_told_so),
        WITH_PAGE(circles_of_the_photo_are_told_where_they_lie),
        WITH_PAGE(a_photo_is_straightened_before_the_job_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
