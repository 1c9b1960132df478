/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Keeps the photo of a board, and takes its perspective out. */
#include "page/photo.h"

#include <gd.h>
#include <libexif/exif-data.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/atomic.h"
#include "core/json_values.h"
#include "core/memory.h"
#include "page/folder_file.h"
#include "page/marks_map.h"
#include "readings/marks.h"

static const char *const photo_names[] = {[PHOTO_JPEG] = "photo.jpg", [PHOTO_PNG] = "photo.png"};

static sf_status refuse(sf_diagnostics *diagnostics, const char *what, const char *expected)
{
    sf_diagnose(diagnostics, SF_ERROR, "photo", 0, "", what, expected);
    return SF_ERROR_DATA;
}

static gdImagePtr decode(photo_kind kind, const text *bytes)
{
    if (kind == PHOTO_JPEG)
        return gdImageCreateFromJpegPtr((int)bytes->length, bytes->bytes);
    return gdImageCreateFromPngPtr((int)bytes->length, bytes->bytes);
}

static void remove_other(const char *folder, photo_kind kept)
{
    photo_kind other = kept == PHOTO_JPEG ? PHOTO_PNG : PHOTO_JPEG;
    char *path = text_format("%s/%s", folder, photo_names[other]);
    if (path)
        unlink(path);
    free(path);
}

sf_status photo_check(const void *bytes, size_t size, photo_kind *kind, sf_diagnostics *diagnostics)
{
    photo_header seen = photo_look(bytes, size);
    if (seen.kind == PHOTO_NONE)
        return refuse(diagnostics, "it is not a picture that this page can read",
                      "a JPEG or PNG file");
    if (size > PHOTO_BYTES_MAX || (double)seen.width_px * seen.height_px > PHOTO_PIXELS_MAX)
        return refuse(diagnostics, "it is too large", "at most 20 MiB and 50 megapixels");
    if (seen.scans > PHOTO_SCANS_MAX)
        return refuse(diagnostics, "it is stored in too many scans", "at most 32 scans of a JPEG");
    text whole = {.bytes = (char *)bytes, .length = size};
    gdImagePtr decoded = decode(seen.kind, &whole);
    if (!decoded)
        return refuse(diagnostics, "the picture is damaged", "a file that opens");
    gdImageDestroy(decoded);
    *kind = seen.kind;
    return SF_OK;
}

sf_status photo_keep(const char *folder, const void *bytes, size_t size, photo_kind kind,
                     sf_diagnostics *diagnostics)
{
    file_block block = {photo_names[kind], bytes, size};
    sf_status status = atomic_write(folder, &block, 1, diagnostics);
    if (status == SF_OK)
        remove_other(folder, kind);
    return status;
}

static bool is_bounded(const photo_header *seen)
{
    return (double)seen->width_px * seen->height_px <= PHOTO_PIXELS_MAX &&
           seen->scans <= PHOTO_SCANS_MAX;
}

sf_status photo_read(const char *folder, text *into, photo_kind *kind)
{
    for (*kind = PHOTO_JPEG; *kind <= PHOTO_PNG; ++*kind) {
        bool absent = false;
        sf_status status =
            folder_file_read(folder, photo_names[*kind], PHOTO_BYTES_MAX, into, &absent);
        photo_header seen = {0};
        if (status == SF_OK && into->length > 0)
            seen = photo_look(into->bytes, into->length);
        if (seen.kind == *kind && is_bounded(&seen))
            return SF_OK;
        text_clear(into);
        if (status == SF_ERROR_MEMORY) {
            *kind = PHOTO_NONE;
            return status;
        }
    }
    *kind = PHOTO_NONE;
    return SF_OK;
}

/* How the marks hold the photo; those that do not hold it are told so. */
static json_t *tied_json(const photo_header *seen, size_t size, const char *folder)
{
    marks_found found = {0};
    sf_status status = marks_file_fit(folder, &found);
    if (status == SF_ERROR_MEMORY)
        return NULL;
    json_t *residuals = json_array();
    for (size_t i = 0; i < found.count; i++)
        residuals = list_append(residuals, value_number(found.residual_mm[i]));
    json_t *made = json_pack("{s:i, s:i, s:b, s:s, s:o, s:o, s:o}", "width_px", (int)seen->width_px,
                             "height_px", (int)seen->height_px, "fits", status == SF_OK, "why",
                             marks_lack(status), "residuals_mm", residuals, "rms_mm",
                             value_number(found.rms_mm), "bytes", value_count(size));
    marks_found_clear(&found);
    return made;
}

json_t *photo_json(const char *folder)
{
    text bytes = {0};
    photo_kind kind = PHOTO_NONE;
    if (photo_read(folder, &bytes, &kind) != SF_OK)
        return NULL;
    if (kind == PHOTO_NONE)
        return json_null();
    photo_header seen = photo_look(bytes.bytes, bytes.length);
    json_t *made = tied_json(&seen, bytes.length, folder);
    text_clear(&bytes);
    return made;
}

/* --- taking the perspective out --- */

/* Where a pixel of the upright picture lies in the picture as stored, by its EXIF orientation
 * (CIPA DC-008, 4.6.5.1.F: which edge of the scene row 0 and column 0 are). */
static void turn_back(int turn, double width, double height, double *column, double *row)
{
    double x = *column, y = *row;
    switch (turn) {
    case 2:
        *column = width - 1 - x;
        break;
    case 3:
        *column = width - 1 - x;
        *row = height - 1 - y;
        break;
    case 4:
        *row = height - 1 - y;
        break;
    case 5:
        *column = y;
        *row = x;
        break;
    case 6:
        *column = y;
        *row = height - 1 - x;
        break;
    case 7:
        *column = width - 1 - y;
        *row = height - 1 - x;
        break;
    case 8:
        *column = width - 1 - y;
        *row = x;
        break;
    default:
        break;
    }
}

/* Colour between four pixels, weighed by nearness; grey beyond the picture. */
static int colour_at(gdImagePtr from, double column, double row)
{
    int left = (int)floor(column), top = (int)floor(row);
    double sums[3] = {0};
    if (!(column >= 0 && row >= 0 && column <= from->sx - 1 && row <= from->sy - 1))
        return gdTrueColor(128, 128, 128);
    for (int corner = 0; corner < 4; corner++) {
        int x = left + corner % 2, y = top + corner / 2;
        double weight = (1 - fabs(column - x)) * (1 - fabs(row - y));
        if (weight <= 0 || x >= from->sx || y >= from->sy)
            continue;
        int colour = gdImageGetTrueColorPixel(from, x, y);
        sums[0] += weight * gdTrueColorGetRed(colour);
        sums[1] += weight * gdTrueColorGetGreen(colour);
        sums[2] += weight * gdTrueColorGetBlue(colour);
    }
    return gdTrueColor((int)lround(sums[0]), (int)lround(sums[1]), (int)lround(sums[2]));
}

static void fill_straight(gdImagePtr into, gdImagePtr from, int turn, const double to_pixel[9],
                          double px_per_mm)
{
    double top_mm = into->sy / px_per_mm;
    for (int row = 0; row < into->sy; row++)
        for (int column = 0; column < into->sx; column++) {
            sf_point pixel =
                marks_apply(to_pixel, (column + 0.5) / px_per_mm, top_mm - (row + 0.5) / px_per_mm);
            turn_back(turn, from->sx, from->sy, &pixel.x_mm, &pixel.y_mm);
            gdImageSetPixel(into, column, row, colour_at(from, pixel.x_mm, pixel.y_mm));
        }
}

static sf_status encode(gdImagePtr picture, text *into)
{
    enum { QUALITY = 88 };
    int size = 0;
    void *bytes = gdImageJpegPtr(picture, &size, QUALITY);
    if (!bytes)
        return SF_ERROR_MEMORY;
    text_add_bytes(into, bytes, (size_t)size);
    gdFree(bytes);
    return into->failed ? SF_ERROR_MEMORY : SF_OK;
}

static gdImagePtr blank_straight(double width_mm, double height_mm, double px_per_mm)
{
    int width_px = (int)lround(width_mm * px_per_mm);
    int height_px = (int)lround(height_mm * px_per_mm);
    return gdImageCreateTrueColor(width_px > 0 ? width_px : 1, height_px > 0 ? height_px : 1);
}

sf_status photo_lay_straight(const char *folder, double width_mm, double height_mm,
                             double px_per_mm, straight_photo *laid)
{
    text bytes = {0};
    marks_found found = {0};
    photo_kind kind = PHOTO_NONE;
    *laid = (straight_photo){0};
    sf_status status = marks_file_fit(folder, &found);
    if (status == SF_OK)
        status = photo_read(folder, &bytes, &kind);
    gdImagePtr from = kind != PHOTO_NONE ? decode(kind, &bytes) : NULL;
    if (from)
        laid->picture = blank_straight(width_mm, height_mm, px_per_mm);
    if (laid->picture) {
        laid->seen = photo_look(bytes.bytes, bytes.length);
        for (int i = 0; i < 9; i++)
            laid->to_pixel[i] = found.to_pixel[i];
        fill_straight(laid->picture, from, laid->seen.turn, found.to_pixel, px_per_mm);
    } else if (status != SF_ERROR_MEMORY) {
        status = from ? SF_ERROR_MEMORY : SF_ERROR_MISSING;
    }
    if (from)
        gdImageDestroy(from);
    marks_found_clear(&found);
    text_clear(&bytes);
    return status;
}

/* 1,600 pixels along the longer side. */
sf_status photo_straighten(const char *folder, double width_mm, double height_mm, text *into)
{
    straight_photo laid;
    double px_per_mm = 1600 / fmax(width_mm, height_mm);
    sf_status status = photo_lay_straight(folder, width_mm, height_mm, px_per_mm, &laid);
    if (status != SF_OK)
        return status;
    status = encode(laid.picture, into);
    gdImageDestroy(laid.picture);
    return status;
}

/* --- what a picture's header says --- */

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
