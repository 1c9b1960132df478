/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Refusing what cannot be drawn, before anything is. */
#include <math.h>
#include <stddef.h>

#include "output/draw/map_plan.h"

enum { TITLE_LINES_MAX = 4, POINTS_MAX = 999, CELLS_MAX = 100000000 };

/* places further off than this are no mistake of a ruler */
static const double place_mm_max = 10 * SF_BOARD_MM_MAX;

sf_picture_options sf_picture_options_default(void)
{
    return (sf_picture_options){.width_px = 1600, .dpi = 300, .font_path = NULL, .png_level = 4};
}

static bool options_hold(const sf_picture_options *options)
{
    return options->width_px >= 400 && options->width_px <= 8000 && options->dpi >= 50 &&
           options->dpi <= 1200 && options->png_level >= 1 && options->png_level <= 9;
}

static bool is_place(double x_mm, double y_mm)
{
    return fabs(x_mm) <= place_mm_max && fabs(y_mm) <= place_mm_max;
}

static bool rings_hold(const sf_ring *rings, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (rings[i].count < 3 || !rings[i].points)
            return false;
        for (size_t k = 0; k < rings[i].count; k++)
            if (!is_place(rings[i].points[k].x_mm, rings[i].points[k].y_mm))
                return false;
    }
    return true;
}

static bool is_length(double length_mm)
{
    return length_mm > 0 && length_mm <= SF_BOARD_MM_MAX;
}

static bool parts_hold(const sf_scene *scene)
{
    for (size_t i = 0; i < scene->job->part_count; i++) {
        const sf_part *part = &scene->job->parts[i];
        if (!is_place(part->x_mm, part->y_mm) || !is_length(part->diameter_mm) || !part->ref)
            return false;
        if (scene->results && (unsigned)scene->results[i].verdict >= SF_VERDICT_COUNT)
            return false;
        if (scene->changes && (unsigned)scene->changes[i] >= SF_CHANGE_COUNT)
            return false;
    }
    return true;
}

static bool job_holds(const sf_job *job)
{
    return job && is_length(job->board.width_mm) && is_length(job->board.height_mm) &&
           job->ring_count > 0 && rings_hold(job->rings, job->ring_count) &&
           rings_hold(job->keepouts, job->keepout_count);
}

static bool sources_hold(const sf_scene *scene)
{
    for (size_t i = 0; i < scene->source_count; i++) {
        const sf_source_fit *source = &scene->sources[i];
        if (!is_place(source->x_mm, source->y_mm) || !isfinite(source->angle_deg) ||
            !is_length(source->width_mm) || !is_length(source->height_mm))
            return false;
    }
    return true;
}

static bool readings_hold(const sf_scene *scene)
{
    for (size_t i = 0; i < scene->observation_count; i++)
        if (!is_place(scene->observations[i].x_mm, scene->observations[i].y_mm))
            return false;
    return true;
}

static bool points_hold(const sf_scene *scene)
{
    if (scene->point_count > POINTS_MAX)
        return false;
    for (size_t i = 0; i < scene->point_count; i++)
        if (!is_place(scene->points[i].x_mm, scene->points[i].y_mm))
            return false;
    return true;
}

static bool texts_hold(const sf_scene *scene)
{
    if (!scene->quantity || !scene->unit || scene->title_line_count > TITLE_LINES_MAX)
        return false;
    for (size_t i = 0; i < scene->title_line_count; i++)
        if (!scene->title_lines[i])
            return false;
    return true;
}

static bool grid_holds(const sf_scene *scene)
{
    const sf_grid *grid = &scene->grid;
    return grid->columns > 0 && grid->rows > 0 && grid->columns <= CELLS_MAX / grid->rows &&
           grid->cell_mm > 0 && isfinite(grid->cell_mm) && grid->inside && scene->values;
}

sf_status scene_check(const sf_scene *scene, const sf_picture_options *options)
{
    if (!scene || !options || !options_hold(options) || !job_holds(scene->job) ||
        !grid_holds(scene) || !texts_hold(scene) || !parts_hold(scene) || !sources_hold(scene) ||
        !readings_hold(scene) || !points_hold(scene))
        return SF_ERROR_ARGUMENT;
    return SF_OK;
}
