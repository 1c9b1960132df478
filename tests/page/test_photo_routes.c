/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The photo of the board over the page's socket, as a browser would ask. */
#include "support/check.h"

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

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        WITH_PAGE(a_photo_is_kept_as_it_came_and_the_last_one_counts),
        WITH_PAGE(a_photo_tells_how_well_its_marks_fit_and_comes_straightened),
        WITH_PAGE(a_photo_whose_marks_hold_nothing_is_told_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
