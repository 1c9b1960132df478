/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* thermogram.csv and marks.csv: a picture of the board in temperatures, and the places that tie it
 * to the board. Neither is of use without the other. */
#include <math.h>
#include <stdlib.h>

#include "job/files.h"
#include "job/matrix.h"
#include "job/rows.h"

#define MARKS_LEAST 4

/* A mark may lie beyond the board: a corner of its frame, as long as it lies level with it. */
#define MARK_OFF_MM 500.0

#define ROW sf_mark

static const struct column mark_columns[] = {
    {NUMBER_COLUMN("col", column, -0.5, SF_THERMOGRAM_COLUMNS_MAX - 0.5, ""),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("row", row, -0.5, SF_THERMOGRAM_PIXELS_MAX - 0.5, ""), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("x_mm", x_mm, -MARK_OFF_MM, SF_BOARD_MM_MAX + MARK_OFF_MM, "mm"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("y_mm", y_mm, -MARK_OFF_MM, SF_BOARD_MM_MAX + MARK_OFF_MM, "mm"),
     .flags = COLUMN_REQUIRED},
};

const struct row_kind mark_kind = {
    .file = "marks.csv",
    .things = "marks",
    ROWS_OF(mark_columns),
    .line_offset = offsetof(sf_mark, line),
};

/* --- the picture --- */

static const char *unit_of(const sf_camera *camera)
{
    return word_text(temperature_words, (int)camera->unit);
}

static file_state read_picture(struct intake *intake)
{
    sf_thermogram *thermogram = &intake->job->thermogram;
    const struct matrix_kind kind = {
        .file = "thermogram.csv",
        .expected = "a temperature from -100 to 1500 C, or a blank cell or NaN where there is "
                    "none",
        .columns_most = SF_THERMOGRAM_COLUMNS_MAX,
        .cells_most = SF_THERMOGRAM_PIXELS_MAX,
        .held = "C",
        .written = unit_of(&intake->job->board.camera),
        .least = -100,
        .most = 1500,
    };
    struct matrix read = {0};
    file_state state = matrix_read(intake, &kind, &read);
    thermogram->columns = read.columns;
    thermogram->rows = read.rows;
    thermogram->shown_c = read.values;
    return state;
}

static void check_size(struct intake *intake)
{
    const sf_thermogram *thermogram = &intake->job->thermogram;
    if (thermogram->columns < 2 || thermogram->rows < 2)
        diagnose_error(intake, (where){"thermogram.csv", 0, ""},
                       "rows of cells parted by commas, semicolons or tabs",
                       "%zu x %zu pixels are no picture", thermogram->columns, thermogram->rows);
}

static void assume_of_camera(struct intake *intake)
{
    const sf_board *board = &intake->job->board;
    if (isnan(board->camera.emissivity))
        assume(intake, "camera_emissivity not given: the thermogram counts as corrected for "
                       "emissivity already");
    else if (isnan(board->camera.reflected_c))
        assume(intake, "camera_reflected not given: %.10g C assumed, the air at the bench",
               board->ambient_c);
    if (isnan(board->camera.sd_k))
        assume(intake, "camera_u not given: the camera may be off by 2 K, or by 2 %% of what it "
                       "shows, whichever is more");
}

/* --- the marks --- */

static bool is_off_picture(const sf_mark *mark, const sf_thermogram *thermogram)
{
    return mark->column > (double)thermogram->columns - 0.5 ||
           mark->row > (double)thermogram->rows - 0.5;
}

bool marks_lie_sideways(const sf_thermogram *picture)
{
    const sf_thermogram turned = {.columns = picture->rows, .rows = picture->columns};
    bool some_off = false, all_on = true;
    for (size_t i = 0; i < picture->mark_count; i++) {
        some_off |= is_off_picture(&picture->marks[i], picture);
        all_on &= !is_off_picture(&picture->marks[i], &turned);
    }
    return some_off && all_on;
}

/* Whether two marks are one in the picture, or one on the board. */
static bool are_twins(const sf_mark *a, const sf_mark *b)
{
    return (a->column == b->column && a->row == b->row) ||
           (a->x_mm == b->x_mm && a->y_mm == b->y_mm);
}

static void check_twins(struct intake *intake, const sf_mark *marks, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (are_twins(&marks[i], &marks[index])) {
            diagnose_error(intake, (where){"marks.csv", marks[index].line, ""},
                           "places apart in the picture and on the board",
                           "the mark lies where that of line %zu does", marks[i].line);
            return;
        }
}

static void check_marks(struct intake *intake, bool has_picture)
{
    const sf_thermogram *thermogram = &intake->job->thermogram;
    /* told as one fault when the picture is laid on the board */
    bool are_held = has_picture && !marks_lie_sideways(thermogram);
    for (size_t i = 0; i < thermogram->mark_count; i++) {
        const sf_mark *mark = &thermogram->marks[i];
        if (are_held && is_off_picture(mark, thermogram))
            diagnose_error(intake, (where){"marks.csv", mark->line, ""},
                           "column and row counted from 0 at its upper left corner",
                           "(%.10g, %.10g) lies off the picture of %zu x %zu pixels", mark->column,
                           mark->row, thermogram->columns, thermogram->rows);
        check_twins(intake, thermogram->marks, i);
    }
    if (thermogram->mark_count < MARKS_LEAST)
        diagnose_error(intake, (where){"marks.csv", 0, ""},
                       "four or more places seen both in the picture and on the board",
                       "the file holds %zu mark%s", thermogram->mark_count,
                       thermogram->mark_count == 1 ? "" : "s");
}

static file_state read_marks(struct intake *intake)
{
    sf_thermogram *thermogram = &intake->job->thermogram;
    void *rows = NULL;
    file_state state = rows_read(intake, &mark_kind, &rows, &thermogram->mark_count);
    thermogram->marks = rows;
    return state;
}

static void diagnose_of_absence(struct intake *intake, const char *absent, const char *present)
{
    diagnose_error(intake, (where){absent, 0, ""}, "both files or neither",
                   "is missing, and %s is of no use without it", present);
}

void thermogram_file_read(struct intake *intake)
{
    file_state picture = read_picture(intake);
    if (intake->memory_short)
        return;
    file_state marks = read_marks(intake);
    if (intake->memory_short)
        return;
    intake->may_be_unread = intake->may_be_unread || picture != FILE_ABSENT;
    if (picture == FILE_READ) {
        check_size(intake);
        assume_of_camera(intake);
    }
    if (marks == FILE_READ)
        check_marks(intake, picture == FILE_READ);
    if (picture == FILE_ABSENT && marks != FILE_ABSENT)
        diagnose_of_absence(intake, "thermogram.csv", "marks.csv");
    if (marks == FILE_ABSENT && picture != FILE_ABSENT)
        diagnose_of_absence(intake, "marks.csv", "thermogram.csv");
}
