/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads photo-marks.csv as every other file of a job. */
#include "job/photo_marks.h"

#include <math.h>
#include <stdlib.h>

#include "job/rows.h"

#define NUMBER(member, its_unit)                                                                   \
    .name = #member, .kind = COLUMN_NUMBER, .offset = offsetof(photo_mark, member),                \
    .flags = COLUMN_REQUIRED, .least = -PHOTO_MARK_MOST, .most = PHOTO_MARK_MOST,                  \
    .unit = (its_unit)

static const struct column mark_columns[] = {
    {.name = "mark", .kind = COLUMN_TEXT, .offset = offsetof(photo_mark, mark)},
    {NUMBER(column_px, "")},
    {NUMBER(row_px, "")},
    {NUMBER(x_mm, "mm")},
    {NUMBER(y_mm, "mm")},
};

static const photo_mark blank_mark = {NULL, NAN, NAN, NAN, NAN};

static const struct row_kind photo_mark_kind = {
    .file = "photo-marks.csv",
    .things = "marks",
    .columns = mark_columns,
    .column_count = sizeof mark_columns / sizeof mark_columns[0],
    .row_size = sizeof(photo_mark),
    .line_offset = ROWS_NO_LINE,
    .blank = &blank_mark,
};

void photo_marks_clear(photo_marks *discarded)
{
    for (size_t i = 0; i < discarded->count; i++)
        free(discarded->items[i].mark);
    free(discarded->items);
    *discarded = (photo_marks){0};
}

sf_status photo_marks_read(const char *folder, photo_marks *marks, sf_diagnostics *diagnostics)
{
    sf_job beside = {0}; /* of a job the folder alone is asked for */
    struct intake intake = {.job = &beside, .diagnostics = diagnostics};
    void *rows = NULL;
    size_t count = 0;
    beside.folder = keep_text(&intake, folder);
    if (intake_open(&intake))
        rows_read(&intake, &photo_mark_kind, &rows, &count);
    *marks = (photo_marks){rows, rows ? count : 0};
    sf_status status = intake_close(&intake);
    free(beside.folder);
    if (status != SF_OK)
        photo_marks_clear(marks);
    return status;
}
