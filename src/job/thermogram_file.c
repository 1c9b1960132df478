/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* photo-marks.csv; thermogram.csv and marks.csv: a picture of the board in temperatures, and the
 * places that tie it to the board. Neither is of use without the other. */
#include <gsl/gsl_sort_float.h>
#include <gsl/gsl_statistics_float.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/files.h"
#include "job/matrix.h"
#include "job/number.h"
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
        .written = word_text(temperature_words, (int)intake->job->board.camera.unit),
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
                       "rows of cells separated by commas, semicolons or tabs",
                       "%zu x %zu pixels are not a picture", thermogram->columns, thermogram->rows);
}

static void assume_of_camera(struct intake *intake)
{
    const sf_board *board = &intake->job->board;
    if (isnan(board->camera.emissivity))
        assume(intake, "camera_emissivity not given: the thermogram is taken as already corrected "
                       "for emissivity");
    else if (isnan(board->camera.reflected_c))
        assume(intake, "camera_reflected not given: taken as %.10g C, the air at the bench",
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
                           "the mark is in the same place as that of line %zu", marks[i].line);
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

/* --- whether it is in Celsius: a picture has board or bench that is little warmer than the air,
 * and what was read on the board lies within its range; in the wrong unit neither holds --- */

/* The coolest twentieth of a picture, over the air. Judgements: a board that fills the picture may
 * be warm all over, but not by so much that its coolest is beyond COOLEST_MOST_K. */
#define COOLEST_SHARE 0.05
#define COOLEST_LEAST_K (-6.0)
#define COOLEST_MOST_K 20.0
#define HOTTEST_SHARE 0.995
#define RANGE_MARGIN_K 6.0
#define READINGS_LEAST 2

/* What is asked: the cool and the hot end of a picture. */
typedef struct picture_range {
    double cool, hot;
} picture_range;

static bool find_range(struct intake *intake, picture_range *found)
{
    const sf_thermogram *of = &intake->job->thermogram;
    size_t all = of->columns * of->rows, count = 0;
    float *sorted = keep_array(intake, all, sizeof *sorted);
    for (size_t i = 0; sorted && i < all; i++)
        if (isfinite(of->shown_c[i]))
            sorted[count++] = of->shown_c[i];
    if (count > 0) {
        gsl_sort_float(sorted, 1, count);
        found->cool = gsl_stats_float_quantile_from_sorted_data(sorted, 1, count, COOLEST_SHARE);
        found->hot = gsl_stats_float_quantile_from_sorted_data(sorted, 1, count, HOTTEST_SHARE);
    }
    free(sorted);
    return count > 0;
}

static bool fits_air(double cool_c, double air_c)
{
    return cool_c >= air_c + COOLEST_LEAST_K && cool_c <= air_c + COOLEST_MOST_K;
}

/* Readings of board and cans that lie in a range, and all of them. */
static size_t count_inside(const sf_job *job, double cool_c, double hot_c, size_t *all)
{
    size_t inside = 0;
    *all = 0;
    for (size_t i = 0; i < job->reading_count; i++) {
        const sf_reading *of = &job->readings[i];
        if (of->spot == SF_SPOT_SOURCE || of->unit != SF_UNIT_CELSIUS || !isnan(of->minute))
            continue;
        ++*all;
        inside += of->value >= cool_c - RANGE_MARGIN_K && of->value <= hot_c + RANGE_MARGIN_K;
    }
    return inside;
}

static void take_as_fahrenheit(struct intake *intake, size_t readings)
{
    sf_thermogram *of = &intake->job->thermogram;
    for (size_t i = 0; i < of->columns * of->rows; i++)
        of->shown_c[i] = (float)fahrenheit_to_c((double)of->shown_c[i]);
    intake->job->board.camera.unit = SF_UNIT_FAHRENHEIT;
    diagnose_warning(intake, (where){"thermogram.csv", 0, ""},
                     "camera_unit in board.csv, F or C, to say so yourself",
                     "its numbers fit the air and all %zu readings as degrees "
                     "Fahrenheit, and not as Celsius: they are taken as Fahrenheit",
                     readings);
}

void picture_unit_ask(struct intake *intake)
{
    const sf_job *job = intake->job;
    double air_c = job->board.ambient_c;
    picture_range found;
    if (job->thermogram.columns == 0 || isnan(air_c) ||
        board_place(intake, "camera_unit").line > 0 ||
        intake->diagnostics->error_count > intake->errors_before || !find_range(intake, &found))
        return;
    double cool_c = fahrenheit_to_c(found.cool), hot_c = fahrenheit_to_c(found.hot);
    size_t all = 0, as_typed = count_inside(job, found.cool, found.hot, &all);
    if (fits_air(found.cool, air_c) || !fits_air(cool_c, air_c))
        return;
    size_t turned = count_inside(job, cool_c, hot_c, &all);
    if (all >= READINGS_LEAST && turned == all && 2 * as_typed <= all)
        take_as_fahrenheit(intake, all);
    else
        diagnose_warning(
            intake, (where){"thermogram.csv", 0, ""},
            "camera_unit,F in board.csv if it is in Fahrenheit, else camera_unit,C",
            "its coldest pixel is %.0f, its air %.0f C: the picture looks as if it were in "
            "degrees Fahrenheit",
            found.cool, air_c);
}

/* --- photo-marks.csv --- */

#undef ROW
#define ROW photo_mark

static const struct column photo_mark_columns[] = {
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
    ROWS_OF(photo_mark_columns),
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
