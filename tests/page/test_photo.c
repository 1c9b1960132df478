/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The photo of a board: what is refused undecoded, its EXIF turn, and the perspective taken out. */
#include "support/check.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <gd.h>
#include <gsl/gsl_errno.h>

#include "page/marks_map.h"
#include "page/photo.h"
#include "readings/marks.h"

/* 90 x 60 pixels, left half red, right half blue. */
static unsigned char *two_colours(int *size)
{
    gdImagePtr drawn = gdImageCreateTrueColor(90, 60);
    assert_non_null(drawn);
    gdImageFilledRectangle(drawn, 0, 0, 44, 59, gdTrueColor(220, 30, 30));
    gdImageFilledRectangle(drawn, 45, 0, 89, 59, gdTrueColor(30, 30, 220));
    void *bytes = gdImageJpegPtr(drawn, size, 95);
    assert_non_null(bytes);
    gdImageDestroy(drawn);
    return bytes;
}

/* A JPEG with an EXIF segment that holds the orientation alone (CIPA DC-008, 4.5.2 and 4.6.2; the
 * numbers of TIFF 6.0, tag 274, type SHORT). */
static unsigned char *with_turn(const unsigned char *plain, size_t plain_size, int turn,
                                size_t *size)
{
    const unsigned char segment[] = {0xFF, 0xE1, 0, 34, 'E', 'x', 'i', 'f', 0, 0,
                                     'M',  'M',  0, 42, 0,   0,   0,   8,   0, 1,
                                     1,    18,   0, 3,  0,   0,   0,   1,   0, (unsigned char)turn,
                                     0,    0,    0, 0,  0,   0};
    unsigned char *made = malloc(plain_size + sizeof segment);
    assert_non_null(made);
    memcpy(made, plain, 2);
    memcpy(made + 2, segment, sizeof segment);
    memcpy(made + 2 + sizeof segment, plain + 2, plain_size - 2);
    *size = plain_size + sizeof segment;
    return made;
}

static unsigned char *turned(int turn, size_t *size)
{
    int plain_size = 0;
    unsigned char *plain = two_colours(&plain_size);
    unsigned char *made = with_turn(plain, (size_t)plain_size, turn, size);
    gdFree(plain);
    return made;
}

static void a_photo_taken_upright_is_told_with_its_sides_changed(void **state)
{
    (void)state;
    size_t size = 0;
    unsigned char *bytes = turned(6, &size);
    photo_header seen = photo_look(bytes, size);
    assert_int_equal(seen.kind, PHOTO_JPEG);
    assert_int_equal(seen.turn, 6);
    assert_int_equal(seen.width_px, 60);
    assert_int_equal(seen.height_px, 90);
    free(bytes);
}

static void a_header_that_ends_early_is_no_picture(void **state)
{
    (void)state;
    size_t size = 0;
    unsigned char *bytes = turned(3, &size);
    for (size_t cut = 0; cut < 60; cut++) {
        unsigned char *head = malloc(cut + 1);
        assert_non_null(head);
        memcpy(head, bytes, cut);
        assert_int_equal(photo_look(head, cut).kind, PHOTO_NONE);
        free(head);
    }
    free(bytes);
}

static void assert_refused(const void *bytes, size_t size)
{
    sf_diagnostics diagnostics = {0};
    text kept = {0};
    photo_kind kind = PHOTO_JPEG;
    assert_int_equal(photo_check(bytes, size, &kind, &diagnostics), SF_ERROR_DATA);
    assert_int_equal(diagnostics.error_count, 1);
    assert_int_equal(photo_read(test_folder, &kept, &kind), SF_OK);
    assert_int_equal(kind, PHOTO_NONE);
    sf_diagnostics_clear(&diagnostics);
}

/* A PNG header of 65,000 x 65,000 pixels in 33 bytes: no pixel of it may be asked for. */
static void too_many_pixels_are_refused_by_the_header_alone(void **state)
{
    (void)state;
    const unsigned char header[] = {0x89, 'P',  'N', 'G', '\r', '\n', 0x1A, '\n', 0,    0, 0,
                                    13,   'I',  'H', 'D', 'R',  0,    0,    0xFD, 0xE8, 0, 0,
                                    0xFD, 0xE8, 8,   2,   0,    0,    0,    0,    0,    0, 0};
    photo_header seen = photo_look(header, sizeof header);
    assert_int_equal(seen.width_px, 65000);
    assert_refused(header, sizeof header);
}

static void damaged_and_foreign_files_are_refused(void **state)
{
    (void)state;
    static const char words[] = "<svg xmlns='http://www.w3.org/2000/svg'/>";
    int size = 0;
    unsigned char *bytes = two_colours(&size);
    assert_refused(words, sizeof words - 1);
    assert_refused(bytes, 40);
    gdFree(bytes);
}

/* The picture with its scan so many times over: what libjpeg would walk through each time, as it
 * does with the scans of a progressive picture. */
static unsigned char *repeat_scan(unsigned times, size_t *size)
{
    gdImagePtr drawn = gdImageCreateTrueColor(37, 23);
    int count = 0;
    gdImageInterlace(drawn, 1);
    unsigned char *once = gdImageJpegPtr(drawn, &count, 70);
    size_t last = (size_t)count - 2; /* of the last scan, which ends before EOI */
    gdImageDestroy(drawn);
    assert_non_null(once);
    while (once[last] != 0xFF || once[last + 1] != 0xDA)
        last--;
    size_t scan = (size_t)count - 2 - last;
    unsigned char *made = malloc((size_t)count + times * scan);
    assert_non_null(made);
    memcpy(made, once, (size_t)count - 2);
    *size = (size_t)count - 2;
    for (unsigned i = 0; i < times; i++, *size += scan)
        memcpy(made + *size, once + last, scan);
    memcpy(made + *size, "\xFF\xD9", 2);
    *size += 2;
    gdFree(once);
    return made;
}

static void a_picture_of_too_many_scans_is_refused_undecoded(void **state)
{
    (void)state;
    size_t size = 0;
    unsigned char *bytes = repeat_scan(0, &size);
    unsigned scans = photo_look(bytes, size).scans;
    free(bytes);
    assert_int_equal(scans, 10); /* from memory of jpeg_simple_progression of libjpeg */
    bytes = repeat_scan(PHOTO_SCANS_MAX - scans, &size);
    assert_int_equal(photo_look(bytes, size).scans, PHOTO_SCANS_MAX);
    free(bytes);
    bytes = repeat_scan(PHOTO_SCANS_MAX - scans + 1, &size);
    sf_diagnostics diagnostics = {0};
    photo_kind kind = PHOTO_NONE;
    assert_int_equal(photo_check(bytes, size, &kind, &diagnostics), SF_ERROR_DATA);
    assert_int_equal(diagnostics.count, 1);
    assert_string_equal(diagnostics.items[0].what, "it is stored in too many scans");
    sf_diagnostics_clear(&diagnostics);
    char path[sizeof test_folder + 16];
    snprintf(path, sizeof path, "%s/photo.jpg", test_folder);
    /* nor is one that has come into the folder by another way */
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, size, file), size);
    fclose(file);
    text read = {0};
    assert_int_equal(photo_read(test_folder, &read, &kind), SF_OK);
    assert_int_equal(kind, PHOTO_NONE);
    assert_int_equal(unlink(path), 0);
    text_clear(&read);
    free(bytes);
}

/* FF DA inside a segment, as in a thumbnail, is no scan. */
static void what_stands_in_a_segment_is_no_scan(void **state)
{
    (void)state;
    static const unsigned char bytes[] = {
        0xFF, 0xD8, 0xFF, 0xC0, 0,    17, 8,    0,    200,  1,    44,   3,    1,
        0x11, 0,    2,    0x11, 1,    3,  0x11, 1,    0xFF, 0xE1, 0,    6,    0xFF,
        0xDA, 0xFF, 0xDA, 0xFF, 0xDA, 0,  2,    7,    0xFF, 0,    0xFF, 0xD3, 7,
        0xFF, 0xFF, 0xDA, 0,    2,    7,  0xFF, 0xD9, 0xFF, 0xDA, 0,    2};
    assert_int_equal(photo_look(bytes, sizeof bytes).scans, 2);
}

static void keep(const void *bytes, size_t size)
{
    sf_diagnostics diagnostics = {0};
    photo_kind kind = PHOTO_NONE;
    assert_int_equal(photo_check(bytes, size, &kind, &diagnostics), SF_OK);
    assert_int_equal(photo_keep(test_folder, bytes, size, kind, &diagnostics), SF_OK);
}

/* The straightened picture of a 45 x 30 mm board; the caller destroys it. */
static gdImagePtr straighten(void)
{
    text made = {0};
    assert_int_equal(photo_straighten(test_folder, 45, 30, &made), SF_OK);
    gdImagePtr read = gdImageCreateFromJpegPtr((int)made.length, made.bytes);
    assert_non_null(read);
    text_clear(&made);
    return read;
}

/* Whether it is rather red than blue at a place on the board. */
static bool is_red(gdImagePtr straight, double x_mm, double y_mm)
{
    int column = (int)(x_mm / 45 * gdImageSX(straight));
    int row = (int)((1 - y_mm / 30) * gdImageSY(straight));
    int colour = gdImageGetTrueColorPixel(straight, column, row);
    return gdTrueColorGetRed(colour) > gdTrueColorGetBlue(colour);
}

static void the_board_is_straightened_by_its_four_corners(void **state)
{
    (void)state;
    int size = 0;
    unsigned char *bytes = two_colours(&size);
    keep(bytes, (size_t)size);
    write_file(test_folder, "photo-marks.csv",
               "mark,column_px,row_px,x_mm,y_mm\n1,0,60,0,0\n2,90,60,45,0\n"
               "3,90,0,45,30\n4,0,0,0,30\n");
    gdImagePtr straight = straighten();
    assert_true(is_red(straight, 10.5, 21.5));
    assert_false(is_red(straight, 34.5, 21.5));
    gdImageDestroy(straight);
    gdFree(bytes);
}

/* The scene is 60 x 90 or 90 x 60 pixels with a red quarter in its upper left corner, all else
 * blue; it is stored with row 0 and column 0 on the edges of the scene that CIPA DC-008, table 6
 * of 4.6.5.1.F, names for each orientation. */
static unsigned char *stored_scene(int turn, size_t *size)
{
    static const struct {
        bool row_along_x, row_from_far, column_from_far;
    } edges[] = {[1] = {false, false, false}, [2] = {false, false, true}, [3] = {false, true, true},
                 [4] = {false, true, false},  [5] = {true, false, false}, [6] = {true, true, false},
                 [7] = {true, true, true},    [8] = {true, false, true}};
    gdImagePtr drawn = gdImageCreateTrueColor(90, 60);
    assert_non_null(drawn);
    for (int row = 0; row < 60; row++)
        for (int column = 0; column < 90; column++) {
            bool row_near = (row < 30) != edges[turn].row_from_far;
            bool column_near = (column < 45) != edges[turn].column_from_far;
            int colour =
                row_near && column_near ? gdTrueColor(220, 30, 30) : gdTrueColor(30, 30, 220);
            gdImageSetPixel(drawn, column, row, colour);
        }
    int plain_size = 0;
    unsigned char *plain = gdImageJpegPtr(drawn, &plain_size, 95);
    assert_non_null(plain);
    gdImageDestroy(drawn);
    unsigned char *made = with_turn(plain, (size_t)plain_size, turn, size);
    gdFree(plain);
    return made;
}

static void every_orientation_is_straightened_as_it_is_seen(void **state)
{
    (void)state;
    for (int turn = 1; turn <= 8; turn++) {
        size_t size = 0;
        char marks[256];
        unsigned char *bytes = stored_scene(turn, &size);
        photo_header seen = photo_look(bytes, size);
        assert_int_equal(seen.turn, turn);
        assert_int_equal(seen.width_px, turn < 5 ? 90 : 60);
        keep(bytes, size);
        snprintf(marks, sizeof marks,
                 "mark,column_px,row_px,x_mm,y_mm\n1,0,%u,0,0\n2,%u,%u,45,0\n3,%u,0,45,30\n"
                 "4,0,0,0,30\n",
                 seen.height_px, seen.width_px, seen.height_px, seen.width_px);
        write_file(test_folder, "photo-marks.csv", marks);
        gdImagePtr straight = straighten();
        assert_true(is_red(straight, 10.5, 23.5));
        assert_false(is_red(straight, 34.5, 23.5));
        assert_false(is_red(straight, 10.5, 6.5));
        assert_false(is_red(straight, 34.5, 6.5));
        gdImageDestroy(straight);
        free(bytes);
    }
}

/* Computed from the definition: a quarter turn and 4 pixels a millimetre. */
static void two_marks_hold_a_turn_and_a_scale(void **state)
{
    (void)state;
    marks_found found;
    write_file(test_folder, "photo-marks.csv",
               "mark,column_px,row_px,x_mm,y_mm\n1,200,300,10,20\n"
               "2,200,180,40,20\n");
    assert_int_equal(marks_file_fit(test_folder, &found), SF_OK);
    sf_point pixel = marks_apply(found.to_pixel, 25, 27.5);
    assert_close(pixel.x_mm, 200 - 4 * 7.5, 1e-9, 0);
    assert_close(pixel.y_mm, 300 - 4 * 15, 1e-9, 0);
    assert_int_equal(found.count, 2);
    marks_found_clear(&found);
}

static void marks_with_a_decimal_comma_are_read_as_the_job_reads_its_files(void **state)
{
    (void)state;
    marks_found found;
    write_file(test_folder, "photo-marks.csv",
               "mark;column_px;row_px;x_mm;y_mm\n1;202;301;10,5;20,25\n2;202;181;40,5;20,25\n");
    assert_int_equal(marks_file_fit(test_folder, &found), SF_OK);
    sf_point pixel = marks_apply(found.to_pixel, 10.5, 20.25);
    assert_close(pixel.x_mm, 202, 1e-9, 0);
    assert_close(pixel.y_mm, 301, 1e-9, 0);
    marks_found_clear(&found);
}

static void marks_that_hold_nothing_are_refused(void **state)
{
    (void)state;
    marks_found found;
    assert_int_equal(marks_file_fit(test_folder, &found), SF_ERROR_MISSING);
    write_file(test_folder, "photo-marks.csv",
               "mark,column_px,row_px,x_mm,y_mm\n1,7,9,3,4\n2,7,x,5,6\n");
    assert_int_equal(marks_file_fit(test_folder, &found), SF_ERROR_DATA);
    write_file(test_folder, "photo-marks.csv",
               "mark,column_px,row_px,x_mm,y_mm\n1,1,1,0,0\n2,2,2,45,0\n"
               "3,3,3,45,30\n4,4,4,0,30\n");
    assert_int_equal(marks_file_fit(test_folder, &found), SF_ERROR_NUMERIC);
}

static void no_message(int priority, const char *format, va_list arguments)
{
    (void)priority;
    (void)format;
    (void)arguments;
}

#define WITH_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_set_up, folder_tear_down)

int main(void)
{
    gsl_set_error_handler_off();
    gdSetErrorMethod(no_message);
    const struct CMUnitTest tests[] = {
        WITH_FOLDER(a_photo_taken_upright_is_told_with_its_sides_changed),
        WITH_FOLDER(a_header_that_ends_early_is_no_picture),
        WITH_FOLDER(too_many_pixels_are_refused_by_the_header_alone),
        WITH_FOLDER(a_picture_of_too_many_scans_is_refused_undecoded),
        WITH_FOLDER(what_stands_in_a_segment_is_no_scan),
        WITH_FOLDER(damaged_and_foreign_files_are_refused),
        WITH_FOLDER(the_board_is_straightened_by_its_four_corners),
        WITH_FOLDER(every_orientation_is_straightened_as_it_is_seen),
        WITH_FOLDER(two_marks_hold_a_turn_and_a_scale),
        WITH_FOLDER(marks_with_a_decimal_comma_are_read_as_the_job_reads_its_files),
        WITH_FOLDER(marks_that_hold_nothing_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
