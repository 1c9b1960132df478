/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The photo of the board in the job's folder, photo.jpg or photo.png, and how it lies on the board.
 */
#ifndef SPOTFIELD_PAGE_PHOTO_H
#define SPOTFIELD_PAGE_PHOTO_H

#include <jansson.h>
#include <stdatomic.h>

#include "core/text.h"
#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

#define PHOTO_BYTES_MAX (20u << 20)
#define PHOTO_PIXELS_MAX 50000000u

/* Each scan of a progressive JPEG is a walk over the whole picture. Encoders write ten of them, or
 * 18 with four colours (from memory of the script of libjpeg). */
#define PHOTO_SCANS_MAX 32u

typedef enum photo_kind { PHOTO_NONE, PHOTO_JPEG, PHOTO_PNG } photo_kind;

/* What the header of a picture says, before anything of it is decoded. width_px and height_px are
 * those of the picture turned upright, as `turn`, the EXIF orientation 1 to 8, says. */
typedef struct photo_header {
    photo_kind kind;
    unsigned width_px, height_px;
    int turn;
    unsigned scans; /* of a JPEG; a PNG has one */
} photo_header;

/* kind PHOTO_NONE where it is neither JPEG nor PNG or its size cannot be told. */
photo_header photo_look(const void *bytes, size_t size);

/* Whether it can be kept: it is decoded once. SF_ERROR_DATA: no JPEG or PNG, damaged, too many
 * pixels or scans; told in diagnostics. */
sf_status photo_check(const void *bytes, size_t size, photo_kind *kind,
                      sf_diagnostics *diagnostics);

/* Keeps a checked photo in the folder, in place of an earlier one. SF_ERROR_WRITE,
 * SF_ERROR_MEMORY. */
sf_status photo_keep(const char *folder, const void *bytes, size_t size, photo_kind kind,
                     sf_diagnostics *diagnostics);

/* The bytes of the photo as it was given; *kind is PHOTO_NONE where there is none. The one error is
 * SF_ERROR_MEMORY. */
sf_status photo_read(const char *folder, text *into, photo_kind *kind);

/* NULL when memory is short. {"width_px", "height_px", "fits", "why", "residuals_mm", "rms_mm",
 * "bytes"} of the photo and its marks; in `why` what the marks lack, "" where they fit. null where
 * there is no photo. */
json_t *photo_json(const char *folder);

/* The photo with the perspective taken out, the board's rectangle alone. */
typedef struct straight_photo {
    struct gdImageStruct *picture; /* for gdImageDestroy */
    photo_header seen;             /* what it was made from */
    double to_pixel[9];            /* from the board, mm, to the photo, as marks_apply takes it */
} straight_photo;

/* SF_ERROR_MISSING where there is no photo or the marks do not hold it. After an error there is
 * nothing to destroy. */
sf_status photo_lay_straight(const char *folder, double width_mm, double height_mm,
                             double px_per_mm, straight_photo *laid);

/* The same with 1,600 pixels along the longer side, as JPEG. */
sf_status photo_straighten(const char *folder, double width_mm, double height_mm, text *into);

/* --- circles of the photo that may be cans, for a person to accept --- */

/* On SF_OK *made is new: {"camera": {"x_mm", "y_mm", "above_mm"}, "circles": [{"x_mm", "y_mm",
 * "diameter_mm", "seen"}]}. Each circle lies where the photo shows it against the board: the top of
 * a can leans away from the camera. `seen` is the share of its edge that shows; the surest come
 * first. At most CIRCLES_MOST, from 4 to 40 mm. SF_ERROR_MISSING where there is no photo or the
 * marks do not hold it, SF_ERROR_DATA where `left` (may be NULL) became true meanwhile,
 * SF_ERROR_MEMORY. */
sf_status photo_circles(const char *folder, double width_mm, double height_mm,
                        const atomic_bool *left, json_t **made);

#endif
