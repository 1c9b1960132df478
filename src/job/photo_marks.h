/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* photo-marks.csv: places seen both on the photo of the board and on the board. The bench page
 * alone reads it: no verdict depends on it. */
#ifndef SPOTFIELD_JOB_PHOTO_MARKS_H
#define SPOTFIELD_JOB_PHOTO_MARKS_H

#include <stddef.h>

#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* Numbers of a mark, pixels and millimetres, lie from -PHOTO_MARK_MOST to it. */
#define PHOTO_MARK_MOST 1e6

typedef struct photo_mark {
    char *mark;               /* its name */
    double column_px, row_px; /* of the photo as it is seen, from its upper left corner */
    double x_mm, y_mm;        /* on the board */
} photo_mark;

typedef struct photo_marks {
    photo_mark *items;
    size_t count;
} photo_marks;

/* Reads the file of the folder; one that is not there holds no mark. On SF_OK *marks is new, ended
 * with photo_marks_clear; else it is empty: SF_ERROR_MISSING (the file cannot be read),
 * SF_ERROR_DATA, both told in diagnostics; SF_ERROR_MEMORY. */
sf_status photo_marks_read(const char *folder, photo_marks *marks, sf_diagnostics *diagnostics);
void photo_marks_clear(photo_marks *discarded);

#endif
