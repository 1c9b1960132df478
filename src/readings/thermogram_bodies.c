/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Means over the middle of each top, where the camera sees it. */

#include <gsl/gsl_math.h>
#include <math.h>

#include "core/memory.h"
#include "job/places.h"
#include "readings/ground.h"
#include "readings/marks.h"
#include "readings/pixels.h"

/* Of a top's half width: beyond, a pixel might show its rim. Judgement. */
#define MIDDLE_SHARE 0.6

/* A body higher than this share of the camera's own height cannot be seen from above. */
#define HEIGHT_SHARE_MOST 0.8

/* The middle of a top as it is seen against the board. */
typedef struct top {
    sf_point centre;
    double half_width_mm, half_height_mm, cosine, sine;
    bool is_round;
    double emissivity;
} top;

/* NAN where the job gives none; jobs built from arrays may hold 0 for it. */
static bool has_emissivity(double emissivity)
{
    return emissivity > 0 && emissivity <= 1;
}

/* The camera sees the component side. */
static bool shows_own_heat(double emissivity, sf_side side)
{
    return has_emissivity(emissivity) && side != SF_SIDE_SOLDER;
}

size_t bodies_count(const sf_job *job)
{
    size_t count = 0;
    for (size_t i = 0; i < job->part_count; i++)
        count += shows_own_heat(job->parts[i].emissivity, job->parts[i].side);
    for (size_t i = 0; i < job->source_count; i++)
        count += shows_own_heat(job->sources[i].emissivity, job->sources[i].side);
    return count;
}

static bool is_amid(const top *of, sf_point at)
{
    double x = at.x_mm - of->centre.x_mm, y = at.y_mm - of->centre.y_mm;
    if (of->is_round)
        return hypot(x, y) <= of->half_width_mm;
    return fabs(x * of->cosine + y * of->sine) <= of->half_width_mm &&
           fabs(y * of->cosine - x * of->sine) <= of->half_height_mm;
}

/* A span of columns or rows: from `first` up to, and without, `end`. */
typedef struct span {
    size_t first, end;
} span;

static span span_of(double least, double most, size_t count)
{
    double first = fmin(fmax(ceil(least), 0), (double)count);
    double end = fmin(fmax(floor(most) + 1, first), (double)count);
    return (span){(size_t)first, (size_t)end};
}

/* The pixels about a top: those between the corners of a square that holds it. */
static void find_spans(const top *of, const double map[9], const sf_thermogram *picture,
                       span *columns, span *rows)
{
    double reach_mm = hypot(of->half_width_mm, of->half_height_mm);
    double left = INFINITY, right = -INFINITY, above = INFINITY, below = -INFINITY;
    for (int i = 0; i < 4; i++) {
        sf_point at = marks_apply(map, of->centre.x_mm + (i % 2 ? reach_mm : -reach_mm),
                                  of->centre.y_mm + (i / 2 ? reach_mm : -reach_mm));
        left = fmin(left, at.x_mm);
        right = fmax(right, at.x_mm);
        above = fmin(above, at.y_mm);
        below = fmax(below, at.y_mm);
    }
    *columns = span_of(left, right, picture->columns);
    *rows = span_of(above, below, picture->rows);
}

static void read_top(const sf_job *job, const double homography[9], const top *of, sf_body *into)
{
    const sf_thermogram *picture = &job->thermogram;
    double map[9], sum_c = 0, mirrored_c = pixels_reflected_c(job);
    span columns, rows;
    viewpoint_invert(homography, map);
    find_spans(of, map, picture, &columns, &rows);
    for (size_t row = rows.first; row < rows.end; row++)
        for (size_t i = columns.first; i < columns.end; i++) {
            if (!is_amid(of, marks_apply(homography, (double)i, (double)row)))
                continue;
            double temp_c = pixel_corrected_c((double)picture->shown_c[row * picture->columns + i],
                                              of->emissivity, mirrored_c);
            if (isnan(temp_c))
                continue;
            sum_c += temp_c;
            into->pixels++;
        }
    into->temp_c = sum_c / (double)into->pixels;
}

/* How much larger than on the board a top is seen, being nearer to the camera. */
static double stretch_of(const viewpoint *from, double height_mm)
{
    return from->above_mm / (from->above_mm - height_mm);
}

static top part_top(const sf_part *part, const viewpoint *from)
{
    double height_mm = fmin(part_height_mm(part), HEIGHT_SHARE_MOST * from->above_mm);
    double reach_mm = MIDDLE_SHARE * part->diameter_mm / 2 * stretch_of(from, height_mm);
    return (top){.centre = viewpoint_cast(from, (sf_point){part->x_mm, part->y_mm}, height_mm),
                 .half_width_mm = reach_mm,
                 .half_height_mm = reach_mm,
                 .is_round = true,
                 .emissivity = part->emissivity};
}

static top source_top(const sf_source *source, const viewpoint *from)
{
    double height_mm = fmin(source_height_mm(source), HEIGHT_SHARE_MOST * from->above_mm);
    double share = MIDDLE_SHARE / 2 * stretch_of(from, height_mm);
    double angle = source->angle_deg * M_PI / 180;
    return (top){.centre = viewpoint_cast(from, (sf_point){source->x_mm, source->y_mm}, height_mm),
                 .half_width_mm = share * source->width_mm,
                 .half_height_mm = share * source->height_mm,
                 .cosine = cos(angle),
                 .sine = sin(angle),
                 .emissivity = source->emissivity};
}

static void add_body(const sf_job *job, const double homography[9], const top *of, sf_body body,
                     sf_pixels *into)
{
    read_top(job, homography, of, &body);
    if (body.pixels > 0)
        into->bodies[into->body_count++] = body;
}

bool bodies_read(const sf_job *job, const double homography[9], const viewpoint *from,
                 sf_pixels *into)
{
    size_t count = from->above_mm > 0 ? bodies_count(job) : 0;
    into->bodies = array_new(count, sizeof *into->bodies);
    for (size_t i = 0; into->bodies && count > 0 && i < job->part_count; i++) {
        const sf_part *part = &job->parts[i];
        top seen = part_top(part, from);
        if (shows_own_heat(part->emissivity, part->side))
            add_body(job, homography, &seen, (sf_body){.ref = part->ref, .is_part = true}, into);
    }
    for (size_t i = 0; into->bodies && count > 0 && i < job->source_count; i++) {
        const sf_source *source = &job->sources[i];
        top seen = source_top(source, from);
        if (shows_own_heat(source->emissivity, source->side))
            add_body(job, homography, &seen, (sf_body){.ref = source->ref}, into);
    }
    return into->bodies != NULL;
}
