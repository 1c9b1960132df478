/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads photo-marks.csv as every other file of a job. */
#include "job/photo_marks.h"

#include <math.h>
#include <stdlib.h>

#include "job/rows.h"

#define ROW photo_mark

static const struct column mark_columns[] = {
    {TEXT_COLUMN("mark", mark)},
    {NUMBER_COLUMN("column_px", column_px, -PHOTO_MARK_MOST, PHOTO_MARK_MOST, ""),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("row_px", row_px, -PHOTO_MARK_MOST, PHOTO_MARK_MOST, ""),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("x_mm", x_mm, -PHOTO_MARK_MOST, PHOTO_MARK_MOST, "mm"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("y_mm", y_mm, -PHOTO_MARK_MOST, PHOTO_MARK_MOST, "mm"),
     .flags = COLUMN_REQUIRED},
};

static const struct row_kind photo_mark_kind = {
    .file = "photo-marks.csv",
    .things = "marks",
    ROWS_OF(mark_columns),
    .line_offset = ROWS_NO_LINE,
};

void photo_marks_clear(photo_marks *discarded)
{
    rows_free(&photo_mark_kind, discarded->items, discarded->count);
    *discarded = (photo_marks){0};
}

sf_status photo_marks_read(const char *folder, photo_marks *marks, sf_diagnostics *diagnostics)
{
    void *rows;
    size_t count;
    sf_status status = rows_read_alone(folder, &photo_mark_kind, &rows, &count, diagnostics);
    *marks = (photo_marks){rows, count};
    if (status != SF_OK)
        photo_marks_clear(marks);
    return status;
}
