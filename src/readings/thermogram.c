/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The whole correction of a thermogram: marks, ground, pixels, and every fault told. */
#include <math.h>
#include <stdlib.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "core/text.h"
#include "job/files.h"
#include "readings/cold.h"
#include "readings/correction.h"
#include "readings/ground.h"
#include "readings/marks.h"
#include "readings/pixels.h"
#include "spotfield/reading.h"

/* Judgements: marks that span less leave most of the map to extrapolation; a picture that shows
 * less leaves most of the board to the model. */
#define MARKS_SPAN_LEAST 0.25
#define COVER_LEAST 0.6

/* Marks that miss by more than this many times what ruler and pixel explain are slips. A mark is
 * read to half a pixel, and its place measured with more care than that of a reading (judgements):
 * a corner of six marks is told from some 4 mm on. */
#define MISS_MOST 3.0
#define MARK_MISS_PX 0.5
#define MARK_MISS_SHARE 0.5

/* A pixel sees a little of its neighbours: half its own side and a quarter for the lens. */
#define PIXEL_REACH 0.75

/* The coldest board is seldom so far above its air: a picture in another unit is. */
#define COLDEST_RISE_MOST_K 80.0

/* One thermogram on its way. */
typedef struct laying {
    correction run;
    double homography[9];
    mark_slip slip;
    viewpoint from;
    ground seen;
    sf_pixels *made;
} laying;

static void refuse(laying *of, const char *file, const char *column, char *what,
                   const char *expected)
{
    correction_tell(&of->run, SF_ERROR, file, 0, column, what, expected);
}

static void warn(laying *of, const char *file, const char *column, char *what, const char *expected)
{
    correction_tell(&of->run, SF_WARNING, file, 0, column, what, expected);
}

/* --- before --- */

static void check_camera(laying *of)
{
    const sf_board *board = &of->run.job->board;
    double emissivity = board->camera.emissivity;
    if (!range_holds(air_c, board->ambient_c))
        correction_refuse_range(&of->run, "board.csv", 0, "ambient",
                                text_format("%g C is out of range", board->ambient_c), air_c);
    if (!isnan(emissivity) && !range_holds(emissivities, emissivity))
        correction_refuse_range(&of->run, "board.csv", 0, "camera_emissivity",
                                text_format("%g is out of range", emissivity), emissivities);
    else if (emissivity < EMISSIVITY_LEAST)
        warn(of, "board.csv", "camera_emissivity",
             text_format("%g: so shiny a board shows more of the room than of itself", emissivity),
             "0.6 or more: solder mask has about 0.9");
}

/* --- the map --- */

static sf_point middle_of(const sf_point *points, size_t count)
{
    sf_point middle = {0, 0};
    for (size_t i = 0; i < count; i++) {
        middle.x_mm += points[i].x_mm / (double)count;
        middle.y_mm += points[i].y_mm / (double)count;
    }
    return middle;
}

/* The marks as two arrays, and their map. */
static sf_status tie_marks(laying *of, sf_point *pixel, sf_point *board)
{
    const sf_thermogram *picture = &of->run.job->thermogram;
    for (size_t i = 0; i < picture->mark_count; i++) {
        pixel[i] = (sf_point){picture->marks[i].column, picture->marks[i].row};
        board[i] = (sf_point){picture->marks[i].x_mm, picture->marks[i].y_mm};
    }
    sf_status status = marks_fit(pixel, board, picture->mark_count, of->homography,
                                 of->made->mark_residual_mm, &of->made->marks_rms_mm);
    if (status != SF_OK)
        return status;
    sf_point middle = middle_of(pixel, picture->mark_count);
    of->made->pixel_mm = pixel_side_mm(of->homography, middle.x_mm, middle.y_mm);
    double usual_mm = hypot(MARK_MISS_PX * of->made->pixel_mm,
                            MARK_MISS_SHARE * of->run.job->policy.position_sd_mm);
    return marks_check(pixel, board, picture->mark_count, of->made->mark_residual_mm, usual_mm,
                       &of->slip);
}

static void fit_marks(laying *of)
{
    size_t count = of->run.job->thermogram.mark_count;
    sf_point *pixel = array_new(count, sizeof *pixel), *board = array_new(count, sizeof *board);
    of->made->mark_residual_mm = array_new(count, sizeof *of->made->mark_residual_mm);
    of->made->mark_count = count;
    sf_status status = SF_ERROR_MEMORY;
    if (pixel && board && of->made->mark_residual_mm)
        status = tie_marks(of, pixel, board);
    free(pixel);
    free(board);
    if (status == SF_ERROR_MEMORY)
        of->run.status = SF_ERROR_MEMORY;
    else if (status != SF_OK)
        refuse(of, "marks.csv", "",
               text_format("the %zu marks do not fix the perspective: all but one nearly on a "
                           "line, or two of them mixed up",
                           count),
               "four or more well spread over the board, column and row counted from 0 at the "
               "picture's upper left corner");
}

static void lay_ground(laying *of)
{
    const sf_thermogram *picture = &of->run.job->thermogram;
    bool sideways = marks_lie_sideways(picture);
    of->from = viewpoint_find(of->homography, sideways ? picture->rows : picture->columns,
                              sideways ? picture->columns : picture->rows);
    of->made->from_below = of->from.above_mm < 0;
    double margin_mm = PIXEL_REACH * of->made->pixel_mm + of->made->marks_rms_mm;
    if (!ground_lay(of->run.job, &of->from, margin_mm, &of->seen))
        of->run.status = SF_ERROR_MEMORY;
}

/* Marks read off a picture that lies another way than the file's hold none of its pixels. */
static void refuse_sideways(laying *of)
{
    const sf_job *job = of->run.job;
    if (!marks_lie_sideways(&job->thermogram))
        return;
    if (!turn_seek(job, of->homography, &of->seen, &of->made->turned)) {
        of->run.status = SF_ERROR_MEMORY;
        return;
    }
    text what = {0};
    text_addf(&what,
              "the picture is %zu pixels wide and %zu high, but the marks fit one of %zu by %zu",
              job->thermogram.columns, job->thermogram.rows, job->thermogram.rows,
              job->thermogram.columns);
    text_addf(&what, of->made->turned ? ": it fits the listed sources %s" : ": turned by a quarter",
              of->made->turned);
    refuse(of, "marks.csv", "", text_take(&what),
           "column and row counted from 0 at the upper left corner of the picture in the file");
}

/* --- the pixels --- */

static void lay_pixels(laying *of)
{
    const sf_job *job = of->run.job;
    sf_pixels *made = of->made;
    made->covered = pixels_cover(&job->thermogram, of->homography, &of->seen);
    if (!pixels_lay(job, of->homography, &of->seen, made))
        of->run.status = SF_ERROR_MEMORY;
    else if (made->count == 0)
        refuse(of, "thermogram.csv", "",
               text_format("no pixel shows bare board: %zu are off it, %zu on parts and sources, "
                           "%zu are masked, %zu are blank",
                           made->off_board, made->on_bodies, made->masked, made->blank),
               "marks in the picture's columns and rows, and x, y in millimetres from the board's "
               "lower left corner");
    else if (!cold_leave_out(job, &of->seen, made) ||
             !turn_seek(job, of->homography, &of->seen, &made->turned))
        of->run.status = SF_ERROR_MEMORY;
    else
        pixels_doubt(job, made);
}

/* A picture that the camera has corrected by one emissivity cannot be corrected by another. */
static void lay_bodies(laying *of)
{
    const sf_job *job = of->run.job;
    if (!isnan(job->board.camera.emissivity)) {
        if (!bodies_read(job, of->homography, &of->from, of->made))
            of->run.status = SF_ERROR_MEMORY;
    } else if (bodies_count(job) > 0) {
        warn(of, "parts.csv", "emissivity",
             text_format("that of single parts and sources is ignored: the camera has corrected "
                         "its picture already"),
             "a picture taken at emissivity 1, and camera_emissivity in board.csv");
    }
}

/* --- warnings --- */

static void warn_of_misses(laying *of)
{
    if (of->slip.score <= MISS_MOST)
        return;
    correction_tell(&of->run, SF_WARNING, "marks.csv",
                    of->run.job->thermogram.marks[of->slip.mark].line, "",
                    text_format("the mark lies %.1f mm from where the other marks put it",
                                of->slip.left_out_mm),
                    "within a pixel and the ruler's error: a slip here or in another mark, or a "
                    "mark above the board");
}

/* The share of the board's area that the hull of the marks spans; NAN when memory is short. */
static double marks_span(const sf_job *job)
{
    size_t count = job->thermogram.mark_count;
    sf_point *points = array_new(count, sizeof *points), *hull = array_new(count + 1, sizeof *hull);
    double share = NAN;
    if (points && hull) {
        for (size_t i = 0; i < count; i++)
            points[i] = (sf_point){job->thermogram.marks[i].x_mm, job->thermogram.marks[i].y_mm};
        sf_ring about = {.points = hull, .count = hull_find(points, count, hull)};
        share = ring_area(&about) / fabs(ring_area(&job->rings[0]));
    }
    free(points);
    free(hull);
    return share;
}

static void warn_of_marks(laying *of)
{
    double span = marks_span(of->run.job);
    warn_of_misses(of);
    if (isnan(span))
        of->run.status = SF_ERROR_MEMORY;
    else if (span < MARKS_SPAN_LEAST)
        warn(of, "marks.csv", "",
             text_format(
                 "the marks span %.0f %% of the board: an error of a pixel grows beyond them",
                 100 * span),
             "marks near the corners");
    if (of->made->from_below)
        warn(of, "marks.csv", "", text_format("the marks turn the board over"),
             "marks that do so only in a picture of the solder side, where parts hide nothing");
}

/* The largest one with its ring; the others are told with the results. */
static void warn_of_cold(laying *of)
{
    const sf_pixels *made = of->made;
    text ring = {0}, what = {0};
    if (made->patch_count == 0)
        return;
    cold_patch_tell(&made->patches[0], &what);
    if (made->patch_count > 1)
        text_addf(&what, "; so are %zu smaller ones", made->patch_count - 1);
    text_add(&ring, "a ring in mask.csv, such as ");
    cold_patch_ring(&made->patches[0], 1, "; ", &ring);
    if (ring.failed)
        of->run.status = SF_ERROR_MEMORY;
    else
        warn(of, "thermogram.csv", "", what.failed ? NULL : text_copy(what.bytes), ring.bytes);
    text_clear(&ring);
    text_clear(&what);
}

static void warn_of_turn(laying *of)
{
    if (of->made->turned)
        warn(of, "marks.csv", "",
             text_format("the picture fits the listed sources far better %s", of->made->turned),
             "column and row counted from 0 at the upper left corner of the picture in the file: "
             "check the marks");
}

static void warn_of_picture(laying *of)
{
    const sf_pixels *made = of->made;
    warn_of_turn(of);
    warn_of_cold(of);
    double ambient_c = of->run.job->board.ambient_c;
    if (made->covered < COVER_LEAST)
        warn(of, "thermogram.csv", "",
             text_format("the picture shows %.0f %% of the board", 100 * made->covered),
             "all of it: the rest is left to the model");
    if (made->least_c > ambient_c + COLDEST_RISE_MOST_K)
        warn(of, "thermogram.csv", "",
             text_format(
                 "the coldest place it shows on the board is at %.0f C, and the air is at %.0f C",
                 made->least_c, ambient_c),
             "another camera_unit in board.csv");
    if (made->most_c < ambient_c - 3 * made->offset_sd_k)
        warn(of, "thermogram.csv", "",
             text_format(
                 "the hottest place it shows on the board is at %.1f C, and the air is at %.1f C",
                 made->most_c, ambient_c),
             "a board at least as warm as its air: check ambient and camera_unit");
}

/* --- the line --- */

static void lay(laying *of)
{
    static void (*const steps[])(laying *) = {check_camera,    fit_marks,      lay_ground,
                                              refuse_sideways, lay_pixels,     lay_bodies,
                                              warn_of_marks,   warn_of_picture};
    for (size_t i = 0; of->run.status == SF_OK && i < sizeof steps / sizeof *steps; i++)
        steps[i](of);
    ground_free(&of->seen);
}

sf_status sf_thermogram_correct(const sf_job *job, sf_pixels **pixels, sf_diagnostics *diagnostics)
{
    *pixels = NULL;
    if (job->thermogram.columns == 0)
        return SF_OK;
    laying of = {.run = {job, diagnostics, SF_OK}, .made = array_new(1, sizeof *of.made)};
    if (!of.made)
        return SF_ERROR_MEMORY;
    lay(&of);
    if (of.run.status == SF_OK)
        *pixels = of.made;
    else
        sf_pixels_free(of.made);
    return of.run.status;
}

void sf_pixels_free(sf_pixels *pixels)
{
    if (!pixels)
        return;
    free(pixels->x_mm);
    free(pixels->y_mm);
    free(pixels->rise_k);
    free(pixels->mark_residual_mm);
    free(pixels->patches);
    free(pixels->bodies);
    free(pixels);
}
