/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Size and turn of a JPEG or PNG from its first bytes: what is too large is refused undecoded. */
#include <stdbool.h>
#include <string.h>

#include <libexif/exif-data.h>

#include "page/photo.h"

static unsigned two_bytes(const unsigned char *at)
{
    return (unsigned)at[0] << 8 | at[1];
}

static unsigned long four_bytes(const unsigned char *at)
{
    return (unsigned long)two_bytes(at) << 16 | two_bytes(at + 2);
}

/* PNG (ISO/IEC 15948) 11.2.2: the first chunk is IHDR, width and height first. */
static photo_header look_at_png(const unsigned char *bytes, size_t size)
{
    static const unsigned char opening[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n',
                                            0,    0,   0,   13,  'I',  'H',  'D',  'R'};
    photo_header found = {.turn = 1};
    if (size < 24 || memcmp(bytes, opening, sizeof opening) != 0)
        return found;
    unsigned long width = four_bytes(bytes + 16), height = four_bytes(bytes + 20);
    if (width == 0 || height == 0 || width > 65535 || height > 65535)
        return found;
    return (photo_header){PHOTO_PNG, (unsigned)width, (unsigned)height, 1, 1};
}

/* A start of frame; C4, C8 and CC of that row are something else (ITU-T T.81, table B.1). */
static bool opens_frame(unsigned char marker)
{
    return marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC;
}

/* ITU-T T.81, B.1.1: between two segments, and in the coded data of a scan, stands no FF but before
 * a marker, another FF, or the 00 that makes it a byte of data. RST (D0 to D7) and TEM (01) are
 * markers without a segment. */
static unsigned count_scans(const unsigned char *bytes, size_t size, size_t at)
{
    unsigned scans = 0;
    while (at + 3 < size) {
        unsigned char marker = bytes[at + 1];
        if (bytes[at] != 0xFF || marker == 0xFF || marker <= 1 ||
            (marker >= 0xD0 && marker <= 0xD7)) {
            at++;
            continue;
        }
        if (marker == 0xD9)
            break;
        scans += marker == 0xDA;
        at += 2 + two_bytes(bytes + at + 2);
    }
    return scans;
}

/* ITU-T T.81, B.1.1: segments are FF, marker, length; B.2.2: a frame holds its height and width. */
static photo_header look_at_jpeg(const unsigned char *bytes, size_t size)
{
    photo_header none = {.turn = 1};
    if (size < 4 || bytes[0] != 0xFF || bytes[1] != 0xD8)
        return none;
    for (size_t at = 2; at + 9 < size;) {
        if (bytes[at] != 0xFF)
            return none;
        unsigned char marker = bytes[at + 1];
        if (marker == 0xFF) {
            at++;
            continue;
        }
        unsigned height = two_bytes(bytes + at + 5), width = two_bytes(bytes + at + 7);
        if (opens_frame(marker))
            return width && height
                       ? (photo_header){PHOTO_JPEG, width, height, 1, count_scans(bytes, size, at)}
                       : none;
        unsigned length = two_bytes(bytes + at + 2);
        if (length < 2 || marker == 0xDA || marker == 0xD9)
            return none;
        at += 2 + length;
    }
    return none;
}

static int exif_turn(const void *bytes, size_t size)
{
    int turn = 1;
    ExifData *data = exif_data_new_from_data(bytes, (unsigned)size);
    ExifEntry *entry = data ? exif_data_get_entry(data, EXIF_TAG_ORIENTATION) : NULL;
    if (entry && entry->format == EXIF_FORMAT_SHORT && entry->size >= 2)
        turn = exif_get_short(entry->data, exif_data_get_byte_order(data));
    if (data)
        exif_data_unref(data);
    return turn >= 1 && turn <= 8 ? turn : 1;
}

photo_header photo_look(const void *bytes, size_t size)
{
    photo_header found = look_at_png(bytes, size);
    if (found.kind != PHOTO_NONE)
        return found;
    found = look_at_jpeg(bytes, size);
    if (found.kind != PHOTO_JPEG || size > PHOTO_BYTES_MAX)
        return found;
    found.turn = exif_turn(bytes, size);
    if (found.turn >= 5) {
        unsigned width = found.width_px;
        found.width_px = found.height_px;
        found.height_px = width;
    }
    return found;
}
