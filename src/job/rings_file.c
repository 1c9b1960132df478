/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* outline.csv, keepout.csv and mask.csv: rings, one row a corner. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "job/files.h"
#include "job/intake.h"
#include "job/rows.h"

/* --- whether a ring is a sound outline --- */

/* One row of outline.csv or keepout.csv. */
struct corner {
    int ring;
    double x_mm, y_mm;
    char *reason;
    size_t line;
};

/* A typed corner may miss the box by the width of a pencil line. */
static const double outside_mm_max = 0.5;

/* Less than a hair: a thousandth of a millimetre by a millimetre. */
static const double area_mm2_least = 1e-3;

static double beyond(double value_mm, double most_mm)
{
    return fmax(-value_mm, value_mm - most_mm);
}

static bool check_box(struct intake *intake, const char *file, const sf_ring *ring,
                      const struct corner *corners)
{
    const sf_board *board = &intake->job->board;
    bool sound = true;
    if (isnan(board->width_mm) || isnan(board->height_mm))
        return true;
    for (size_t i = 0; i < ring->count; i++) {
        sf_point point = ring->points[i];
        double outside_mm =
            fmax(beyond(point.x_mm, board->width_mm), beyond(point.y_mm, board->height_mm));
        if (outside_mm <= outside_mm_max)
            continue;
        sound = false;
        diagnose_error(intake, (where){file, corners[i].line, ""}, "corners inside that box",
                       "corner (%.10g, %.10g) of ring %d lies %.1f mm outside the board of %.10g "
                       "x %.10g mm",
                       point.x_mm, point.y_mm, ring->number, outside_mm, board->width_mm,
                       board->height_mm);
    }
    return sound;
}

static sf_point corner_after(const sf_ring *ring, size_t index)
{
    return ring->points[index + 1 == ring->count ? 0 : index + 1];
}

/* Cheap test that spares most pairs the exact one. */
static bool boxes_meet(sf_point a, sf_point b, sf_point c, sf_point d)
{
    return fmax(a.x_mm, b.x_mm) >= fmin(c.x_mm, d.x_mm) &&
           fmax(c.x_mm, d.x_mm) >= fmin(a.x_mm, b.x_mm) &&
           fmax(a.y_mm, b.y_mm) >= fmin(c.y_mm, d.y_mm) &&
           fmax(c.y_mm, d.y_mm) >= fmin(a.y_mm, b.y_mm);
}

/* Edges that share the corner b: they meet elsewhere only when b-c runs back along a-b. */
static bool runs_back(sf_point a, sf_point b, sf_point c)
{
    double first_x = b.x_mm - a.x_mm, first_y = b.y_mm - a.y_mm;
    double second_x = c.x_mm - b.x_mm, second_y = c.y_mm - b.y_mm;
    return first_x * second_y == first_y * second_x && first_x * second_x + first_y * second_y < 0;
}

static bool edges_cross(const sf_ring *ring, size_t first, size_t second)
{
    sf_point a = ring->points[first], b = corner_after(ring, first);
    sf_point c = ring->points[second], d = corner_after(ring, second);
    if (second == first + 1)
        return runs_back(a, b, d);
    if (first == 0 && second + 1 == ring->count)
        return runs_back(c, a, b);
    return boxes_meet(a, b, c, d) && segments_meet(a, b, c, d);
}

static bool check_crossing(struct intake *intake, const char *file, const sf_ring *ring,
                           const struct corner *corners)
{
    for (size_t i = 0; i < ring->count; i++)
        for (size_t j = i + 1; j < ring->count; j++) {
            if (!edges_cross(ring, i, j))
                continue;
            diagnose_error(intake, (where){file, corners[j].line, ""},
                           "corners in order around the ring",
                           "ring %d crosses or touches itself: the edge that begins here meets the "
                           "one that begins on line %zu",
                           ring->number, corners[i].line);
            return false;
        }
    return true;
}

/* Tells a fault where a ring has fewer than three corners, too many, no area, crosses itself or
 * lies outside the box of the board by more than 0.5 mm. corners[i] stands where ring->points[i]
 * came from. False where it did. */
static bool ring_check(struct intake *intake, const char *file, const sf_ring *ring,
                       const struct corner *corners)
{
    where at = {file, corners[0].line, ""};
    if (ring->count < 3) {
        diagnose_error(intake, at, "at least 3", "ring %d has %zu different corners", ring->number,
                       ring->count);
        return false;
    }
    if (ring->count > SF_RING_CORNERS_MAX) {
        diagnose_error(intake, at, "", "ring %d has %zu corners, more than the limit of %u",
                       ring->number, ring->count, SF_RING_CORNERS_MAX);
        return false;
    }
    bool in_box = check_box(intake, file, ring, corners);
    if (fabs(ring_area(ring)) < area_mm2_least) {
        diagnose_error(intake, at, "a ring that encloses some board", "ring %d has no area",
                       ring->number);
        return false;
    }
    return check_crossing(intake, file, ring, corners) && in_box;
}

#define ROW struct corner

static const struct column corner_columns[] = {
    {WHOLE_COLUMN("ring", ring, 0, 100000), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("x_mm", x_mm, -SF_BOARD_MM_MAX, 2 * SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("y_mm", y_mm, -SF_BOARD_MM_MAX, 2 * SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {TEXT_COLUMN("reason", reason)},
};

/* `reason` is the last column: an outline does not know it. */
static struct row_kind corner_kind(const char *file, bool has_reason)
{
    size_t count = sizeof corner_columns / sizeof corner_columns[0];
    return (struct row_kind){
        .file = file,
        .things = "corners",
        .columns = corner_columns,
        .column_count = has_reason ? count : count - 1,
        .row_size = sizeof(struct corner),
        .line_offset = offsetof(struct corner, line),
    };
}

static int by_ring_then_line(const void *left, const void *right)
{
    const struct corner *a = left, *b = right;
    int order = (a->ring > b->ring) - (a->ring < b->ring);
    return order != 0 ? order : (a->line > b->line) - (a->line < b->line);
}

static size_t run_length(const struct corner *corners, size_t count)
{
    size_t length = 1;
    while (length < count && corners[length].ring == corners[0].ring)
        length++;
    return length;
}

static size_t count_rings(const struct corner *corners, size_t count)
{
    size_t rings = 0;
    for (size_t i = 0; i < count; i += run_length(corners + i, count - i))
        rings++;
    return rings;
}

static bool same_place(const struct corner *a, const struct corner *b)
{
    return a->x_mm == b->x_mm && a->y_mm == b->y_mm;
}

/* Drops corners that repeat the one before, and a last one that repeats the first: some people
 * close a ring by hand. Answers how many are left; the dropped ones stand behind them. */
static size_t drop_repeats(struct corner *corners, size_t count)
{
    size_t kept = 1;
    for (size_t i = 1; i < count; i++)
        if (!same_place(&corners[i], &corners[kept - 1])) {
            struct corner moved = corners[i];
            corners[i] = corners[kept];
            corners[kept++] = moved;
        }
    while (kept > 1 && same_place(&corners[kept - 1], &corners[0]))
        kept--;
    return kept;
}

static const char *first_reason(const struct corner *corners, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (corners[i].reason && corners[i].reason[0] != '\0')
            return corners[i].reason;
    return "";
}

static bool make_ring(struct intake *intake, const char *file, struct corner *corners, size_t count,
                      sf_ring *ring)
{
    ring->number = corners[0].ring;
    ring->reason = keep_text(intake, first_reason(corners, count));
    ring->count = drop_repeats(corners, count);
    ring->points = keep_array(intake, ring->count, sizeof *ring->points);
    if (!ring->points)
        return false;
    for (size_t i = 0; i < ring->count; i++)
        ring->points[i] = (sf_point){corners[i].x_mm, corners[i].y_mm};
    return ring_check(intake, file, ring, corners);
}

static bool make_rings(struct intake *intake, const char *file, struct corner *corners,
                       size_t count, sf_ring **rings, size_t *ring_count)
{
    if (count > SF_CORNERS_MAX) {
        diagnose_error(intake, (where){file, corners[SF_CORNERS_MAX].line, ""}, "",
                       "the file has more corners than the limit of %u", SF_CORNERS_MAX);
        return false;
    }
    qsort(corners, count, sizeof *corners, by_ring_then_line);
    *rings = keep_array(intake, count_rings(corners, count), sizeof **rings);
    bool sound = *rings != NULL;
    for (size_t i = 0, length; *rings && i < count; i += length) {
        length = run_length(corners + i, count - i);
        if (!make_ring(intake, file, corners + i, length, &(*rings)[(*ring_count)++]))
            sound = false;
    }
    return sound;
}

/* FILE_READ only where every ring is sound. */
static file_state read_rings(struct intake *intake, const char *file, bool has_reason,
                             sf_ring **rings, size_t *ring_count)
{
    struct row_kind kind = corner_kind(file, has_reason);
    size_t errors = intake->diagnostics->error_count, count = 0;
    void *rows = NULL;
    file_state state = rows_read(intake, &kind, &rows, &count);
    struct corner *corners = rows;
    /* a corner that could not be read would make its ring look wrong as well */
    if (state == FILE_READ && intake->diagnostics->error_count > errors)
        state = FILE_BAD;
    if (state == FILE_READ && count > 0 &&
        !make_rings(intake, file, corners, count, rings, ring_count))
        state = FILE_BAD;
    rows_free(&kind, rows, count);
    return state;
}

static void use_rectangle(struct intake *intake)
{
    sf_job *job = intake->job;
    double width_mm = job->board.width_mm, height_mm = job->board.height_mm;
    if (isnan(width_mm) || isnan(height_mm))
        return;
    job->rings = keep_array(intake, 1, sizeof *job->rings);
    sf_point *points = keep_array(intake, 4, sizeof *points);
    if (!job->rings || !points) {
        free(points);
        return;
    }
    const sf_point corners[4] = {{0, 0}, {width_mm, 0}, {width_mm, height_mm}, {0, height_mm}};
    memcpy(points, corners, sizeof corners);
    job->rings[0] = (sf_ring){0, points, 4, keep_text(intake, "")};
    job->ring_count = 1;
    intake->outline_sound = true;
}

void outline_file_read(struct intake *intake)
{
    sf_job *job = intake->job;
    file_state state = read_rings(intake, "outline.csv", false, &job->rings, &job->ring_count);
    if (state == FILE_ABSENT)
        use_rectangle(intake);
    if (state != FILE_READ)
        return;
    intake->outline_sound = job->ring_count > 0 && job->rings[0].number == 0;
    if (!intake->outline_sound)
        diagnose_error(intake, (where){"outline.csv", 0, "ring"}, "the edge of the board as ring 0",
                       "ring 0 is missing");
}

const sf_ring *no_touch_area(const sf_job *job, const sf_reading *reading)
{
    for (size_t i = 0; i < job->keepout_count; i++)
        if (ring_contains(&job->keepouts[i], reading->x_mm, reading->y_mm))
            return &job->keepouts[i];
    return NULL;
}

/* Whether a row goes on with the warm-up series of the row before. */
static bool continues_series(const sf_job *job, size_t index)
{
    return index > 0 && job->readings[index].id[0] != '\0' &&
           strcmp(job->readings[index].id, job->readings[index - 1].id) == 0;
}

/* A bead there was perhaps put on with the board dead, so this is no error. */
static void warn_of_contact(struct intake *intake)
{
    const sf_job *job = intake->job;
    for (size_t i = 0; i < job->reading_count; i++) {
        const sf_reading *reading = &job->readings[i];
        bool by_contact =
            reading->method != SF_METHOD_INFRARED && reading->method != SF_METHOD_COUNT;
        const sf_ring *ring = by_contact ? no_touch_area(job, reading) : NULL;
        if (!ring || continues_series(job, i))
            continue;
        diagnose_warning(intake, (where){"readings.csv", reading->line, "method"},
                         "infrared, from outside the area",
                         "reading %s was taken by contact in no-touch area %d (%s), where voltage "
                         "can kill",
                         excerpt_of(reading->id).text, ring->number,
                         ring->reason[0] ? excerpt_of(ring->reason).text : "no reason given");
    }
}

void keepout_file_read(struct intake *intake)
{
    sf_job *job = intake->job;
    file_state state = read_rings(intake, "keepout.csv", true, &job->keepouts, &job->keepout_count);
    job->keepout_told = state != FILE_ABSENT;
    if (intake->memory_short)
        return;
    if (state == FILE_READ)
        warn_of_contact(intake);
    else if (state == FILE_ABSENT)
        diagnose_warning(intake, (where){"keepout.csv", 0, ""},
                         "each such area as a ring in this file, or its header line alone if there "
                         "are none",
                         "where are mains and high voltage? The file is missing");
}

void mask_file_read(struct intake *intake)
{
    sf_job *job = intake->job;
    file_state state = read_rings(intake, "mask.csv", true, &job->masks, &job->mask_count);
    if (state == FILE_READ && job->mask_count > 0 && job->thermogram.columns == 0)
        diagnose_warning(intake, (where){"mask.csv", 0, ""}, "thermogram.csv and marks.csv",
                         "there is no thermogram for it to mask");
}
