/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Letters in the discs of parts to replace, that tell why. */
#include <math.h>

#include "output/draw/map_plan.h"
#include "survey/facts.h"

/* height of the em in radii of the disc, so that an M is well inside it, and at most in ems of the
 * picture; below the least a letter cannot be read. By eye, no source. */
static const double em_of_radius = 1.45, em_most = 2.2, em_least_px = 9.5;

static text_style style_in(double radius_px, double em_px)
{
    return (text_style){.size_px = fmin(em_of_radius * radius_px, em_most * em_px),
                        .bold = true,
                        .laid = PEN_PAPER};
}

const char *map_letter(const sf_scene *scene, size_t part)
{
    return scene->results ? part_cause_letter(part_cause_of(&scene->results[part])) : "";
}

/* whether a reading's notch or a place to read next lies over it */
static bool is_covered(const map *in, box letter)
{
    const sf_scene *scene = in->scene;
    double point_px = 2 * POINT_RADIUS * in->page.em_px;
    for (size_t i = 0; in->readings && i < scene->observation_count; i++) {
        place corners[3];
        notch_corners(&in->readings[i], in->page.em_px, corners);
        if (boxes_meet(letter, box_around(corners, 3)))
            return true;
    }
    for (size_t i = 0; i < scene->point_count; i++) {
        place centre = map_place(in, scene->points[i].x_mm, scene->points[i].y_mm);
        if (boxes_meet(letter, box_about(centre, point_px, point_px)))
            return true;
    }
    return false;
}

bool map_letter_inside(const map *in, size_t part)
{
    const sf_part *of = &in->scene->job->parts[part];
    text_style style = style_in(map_part_radius(in, of), in->page.em_px);
    double height_px = CAPITAL_HEIGHT * style.size_px;
    return style.size_px >= em_least_px &&
           !is_covered(in, box_about(map_place(in, of->x_mm, of->y_mm), height_px, height_px));
}

void letter_draw(canvas *page, font *face, const char *letter, place centre, double radius_px,
                 double em_px)
{
    text_style style = style_in(radius_px, em_px);
    words_draw_centred(page, face, &style, centre, letter);
}
