/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays the bench, and corrects what the camera saw of it. */
#include "readings/camera_bench.h"

#include <math.h>
#include <string.h>

/* Central projection: the board turned about its x axis by the tilt, shifted, divided by depth. */
static void project(double x_mm, double y_mm, double *column, double *row)
{
    double tilt = 0.35, away_mm = 210, focal_px = 128;
    double depth = away_mm + (y_mm - 45) * sin(tilt);
    *column = 47.5 + focal_px * (x_mm - 65) / depth;
    *row = 35.5 - focal_px * (y_mm - 45) * cos(tilt) / depth;
}

/* Back from a pixel to the board: the two equations above solved for x and y. */
void unproject(double column, double row, double *x_mm, double *y_mm)
{
    double tilt = 0.35, away_mm = 210, focal_px = 128, up = (35.5 - row) / focal_px;
    double y = up * away_mm / (cos(tilt) - up * sin(tilt));
    *y_mm = 45 + y;
    *x_mm = 65 + (column - 47.5) / focal_px * (away_mm + y * sin(tilt));
}

double true_c(double x_mm, double y_mm)
{
    return 31.7 + 0.083 * x_mm - 0.047 * y_mm + 0.0011 * x_mm * y_mm;
}

void add_mark(bench *on, double x_mm, double y_mm)
{
    sf_mark *mark = &on->marks[on->job.thermogram.mark_count++];
    project(x_mm, y_mm, &mark->column, &mark->row);
    mark->x_mm = x_mm;
    mark->y_mm = y_mm;
    mark->line = on->job.thermogram.mark_count + 1;
}

void lay_bench(bench *on)
{
    memset(on, 0, sizeof *on);
    const sf_point edge[4] = {{0, 0}, {130, 0}, {130, 90}, {0, 90}};
    const sf_point hole[4] = {{70, 30}, {90, 30}, {90, 50}, {70, 50}};
    memcpy(on->edge, edge, sizeof edge);
    memcpy(on->hole, hole, sizeof hole);
    on->rings[0] = (sf_ring){0, on->edge, 4, ""};
    on->rings[1] = (sf_ring){1, on->hole, 4, ""};
    on->job.rings = on->rings;
    on->job.ring_count = 1;
    on->job.board.width_mm = 130;
    on->job.board.height_mm = 90;
    on->job.board.ambient_c = AIR_C;
    on->job.board.camera = (sf_camera){SF_UNIT_CELSIUS, NAN, NAN, NAN};
    on->job.policy.position_sd_mm = 1;
    on->job.thermogram = (sf_thermogram){COLUMNS, ROWS, on->shown_c, on->marks, 0};
    add_mark(on, 4, 5);
    add_mark(on, 127, 3);
    add_mark(on, 126, 86);
    add_mark(on, 3, 88);
    add_mark(on, 66, 47);
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        unproject((double)(i % COLUMNS), (double)(i / COLUMNS), &x_mm, &y_mm);
        on->shown_c[i] = (float)true_c(x_mm, y_mm);
    }
}

void add_can(bench *on)
{
    on->part = (sf_part){.x_mm = 40, .y_mm = 60, .diameter_mm = 18, .height_mm = 25};
    on->job.parts = &on->part;
    on->job.part_count = 1;
}

void make_even(bench *on, double temp_c)
{
    for (size_t i = 0; i < PIXELS; i++)
        on->shown_c[i] = (float)temp_c;
}

void correct(bench *on)
{
    on->status = sf_thermogram_correct(&on->job, &on->pixels, &on->diagnostics);
}

void clear_bench(bench *on)
{
    sf_pixels_free(on->pixels);
    sf_diagnostics_clear(&on->diagnostics);
}

void correct_quietly(bench *on)
{
    correct(on);
    assert_string_equal(diagnostic(&on->diagnostics, 0), "");
    assert_int_equal(on->status, SF_OK);
}

size_t count_in(const sf_pixels *of, double left, double right, double low, double high)
{
    size_t found = 0;
    for (size_t i = 0; i < of->count; i++)
        found +=
            of->x_mm[i] > left && of->x_mm[i] < right && of->y_mm[i] > low && of->y_mm[i] < high;
    return found;
}
