/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Headers of pictures, byte by byte: what is no picture, and what a broken turn counts as. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "page/photo.h"

/* ISO/IEC 15948, 5.2 and 11.2.2: signature, then IHDR with width and height. */
static photo_header look_at_png(unsigned long width, unsigned long height)
{
    unsigned char bytes[33] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n',
                               0,    0,   0,   13,  'I',  'H',  'D',  'R'};
    for (int i = 0; i < 4; i++) {
        bytes[16 + i] = (unsigned char)(width >> (24 - 8 * i));
        bytes[20 + i] = (unsigned char)(height >> (24 - 8 * i));
    }
    return photo_look(bytes, sizeof bytes);
}

static void a_png_without_an_extent_or_beyond_all_pictures_is_none(void **state)
{
    (void)state;
    assert_int_equal(look_at_png(640, 480).kind, PHOTO_PNG);
    assert_int_equal(look_at_png(640, 480).width_px, 640);
    assert_int_equal(look_at_png(640, 480).height_px, 480);
    assert_int_equal(look_at_png(65535, 7).kind, PHOTO_PNG);
    assert_int_equal(look_at_png(0, 480).kind, PHOTO_NONE);
    assert_int_equal(look_at_png(640, 0).kind, PHOTO_NONE);
    assert_int_equal(look_at_png(65536, 480).kind, PHOTO_NONE);
    assert_int_equal(look_at_png(640, 0xFFFFFFFF).kind, PHOTO_NONE);
}

/* Start of image, the bytes before the frame, a frame of 300 x 200 by the marker, and room. */
static photo_header look_at_jpeg(const void *before, size_t count, unsigned char frame)
{
    unsigned char bytes[256] = {0xFF, 0xD8};
    const unsigned char opened[] = {0xFF, frame, 0, 17, 8, 0, 200, 1, 44, 3};
    memcpy(bytes + 2, before, count);
    memcpy(bytes + 2 + count, opened, sizeof opened);
    return photo_look(bytes, 2 + count + sizeof opened + 16);
}

static void assert_opened(photo_header seen)
{
    assert_int_equal(seen.kind, PHOTO_JPEG);
    assert_int_equal(seen.width_px, 300);
    assert_int_equal(seen.height_px, 200);
    assert_int_equal(seen.turn, 1);
}

/* ITU-T T.81, table B.1: C0 to CF open a frame, but C4 (Huffman tables), C8 (reserved) and CC
 * (arithmetic conditioning). */
static void every_start_of_a_frame_is_known_and_nothing_else(void **state)
{
    (void)state;
    for (unsigned marker = 0xC0; marker <= 0xD0; marker++) {
        photo_header seen = look_at_jpeg("", 0, (unsigned char)marker);
        if (marker == 0xC4 || marker == 0xC8 || marker == 0xCC || marker == 0xD0)
            assert_int_equal(seen.kind, PHOTO_NONE);
        else
            assert_opened(seen);
    }
}

/* ITU-T T.81, B.1.1.2: a marker may be preceded by any number of fill bytes FF. */
static void fill_bytes_before_a_marker_are_passed_over(void **state)
{
    (void)state;
    assert_opened(look_at_jpeg("\xFF\xFF\xFF", 3, 0xC2));
    assert_opened(look_at_jpeg("\xFF\xFF\xFE\x00\x05"
                               "abc\xFF",
                               9, 0xC0));
}

/* ITU-T T.81, B.1.1.4: a length counts its own two bytes; DA opens the scan, D9 ends the image. */
static void what_comes_before_a_frame_must_be_whole_segments(void **state)
{
    (void)state;
    assert_opened(look_at_jpeg("\xFF\xFE\x00\x05"
                               "abc",
                               7, 0xC0));
    assert_int_equal(look_at_jpeg("\xFF\xFE\x00\x01", 4, 0xC0).kind, PHOTO_NONE);
    assert_int_equal(look_at_jpeg("\xFF\xDA\x00\x02", 4, 0xC0).kind, PHOTO_NONE);
    assert_int_equal(look_at_jpeg("\xFF\xD9\x00\x02", 4, 0xC0).kind, PHOTO_NONE);
    assert_int_equal(look_at_jpeg("ab", 2, 0xC0).kind, PHOTO_NONE);
    assert_int_equal(look_at_jpeg("\xFF\xFE\xFF\xFF", 4, 0xC0).kind, PHOTO_NONE);
}

/* ITU-T T.81, B.2.2: 0 lines are told later, by DNL; such a picture cannot be judged by its head.
 */
static void a_frame_without_an_extent_is_no_picture(void **state)
{
    (void)state;
    static const unsigned char frames[][10] = {{0xFF, 0xC0, 0, 17, 8, 0, 0, 1, 44, 3},
                                               {0xFF, 0xC0, 0, 17, 8, 0, 200, 0, 0, 3}};
    for (size_t i = 0; i < 2; i++) {
        unsigned char bytes[32] = {0xFF, 0xD8};
        memcpy(bytes + 2, frames[i], sizeof frames[i]);
        assert_int_equal(photo_look(bytes, sizeof bytes).kind, PHOTO_NONE);
    }
    assert_int_equal(photo_look("\xFF\xD8\xFF", 3).kind, PHOTO_NONE);
}

/* An EXIF segment with one entry (CIPA DC-008, 4.5.2 and 4.6.2; TIFF 6.0, section 2). */
static photo_header look_at_entry(unsigned char tag, unsigned char type, unsigned char count,
                                  unsigned char value)
{
    const unsigned char segment[] = {0xFF, 0xE1, 0, 34,    'E', 'x',   'i', 'f', 0, 0,   'M', 'M',
                                     0,    42,   0, 0,     0,   8,     0,   1,   1, tag, 0,   type,
                                     0,    0,    0, count, 0,   value, 0,   0,   0, 0,   0,   0};
    return look_at_jpeg(segment, sizeof segment, 0xC0);
}

/* TIFF 6.0, tag 274 (0x112), type SHORT (3), one value from 1 to 8; ASCII is type 2, LONG is 4. */
static void a_turn_that_is_none_counts_as_upright(void **state)
{
    (void)state;
    photo_header seen = look_at_entry(0x12, 3, 1, 6);
    assert_int_equal(seen.turn, 6);
    assert_int_equal(seen.width_px, 200);
    assert_int_equal(seen.height_px, 300);
    assert_int_equal(look_at_entry(0x12, 3, 1, 3).turn, 3);
    assert_int_equal(look_at_entry(0x12, 3, 1, 4).width_px, 300);
    assert_int_equal(look_at_entry(0x12, 3, 1, 5).width_px, 200); /* mirrored on its diagonal */
    assert_int_equal(look_at_entry(0x12, 3, 1, 8).width_px, 200);
    assert_opened(look_at_entry(0x12, 3, 1, 0));
    assert_opened(look_at_entry(0x12, 3, 1, 9));
    assert_opened(look_at_entry(0x12, 2, 1, 6));
    assert_opened(look_at_entry(0x12, 3, 0, 6));
    assert_opened(look_at_entry(0x0F, 2, 1, 6));
    assert_opened(look_at_jpeg("\xFF\xE1\x00\x0A"
                               "Exif\0\0MM",
                               12, 0xC0));
}

/* A photo too large to be kept is not looked through for its turn. */
static void beyond_the_limit_of_bytes_no_turn_is_looked_for(void **state)
{
    (void)state;
    const unsigned char head[] = {0xFF, 0xD8, 0xFF, 0xE1, 0, 34, 'E', 'x', 'i', 'f', 0,  0,
                                  'M',  'M',  0,    42,   0, 0,  0,   8,   0,   1,   1,  18,
                                  0,    3,    0,    0,    0, 1,  0,   6,   0,   0,   0,  0,
                                  0,    0,    0xFF, 0xC0, 0, 17, 8,   0,   200, 1,   44, 3};
    size_t size = (size_t)PHOTO_BYTES_MAX + 1;
    unsigned char *bytes = calloc(size, 1);
    assert_non_null(bytes);
    memcpy(bytes, head, sizeof head);
    assert_int_equal(photo_look(bytes, size - 1).turn, 6);
    assert_opened(photo_look(bytes, size));
    sf_diagnostics diagnostics = {0};
    photo_kind kind = PHOTO_NONE;
    assert_int_equal(photo_check(bytes, size, &kind, &diagnostics), SF_ERROR_DATA);
    assert_int_equal(diagnostics.error_count, 1);
    assert_string_equal(diagnostics.items[0].what, "it is too large");
    sf_diagnostics_clear(&diagnostics);
    free(bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_png_without_an_extent_or_beyond_all_pictures_is_none),
        cmocka_unit_test(every_start_of_a_frame_is_known_and_nothing_else),
        cmocka_unit_test(fill_bytes_before_a_marker_are_passed_over),
        cmocka_unit_test(what_comes_before_a_frame_must_be_whole_segments),
        cmocka_unit_test(a_frame_without_an_extent_is_no_picture),
        cmocka_unit_test(a_turn_that_is_none_counts_as_upright),
        cmocka_unit_test(beyond_the_limit_of_bytes_no_turn_is_looked_for),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
