/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The marks of readings: on which side of its spot each stands, and where its number goes. */
#include <math.h>
#include <stdio.h>

#include "core/memory.h"
#include "output/draw/map_plan.h"

/* share of the board that marks of readings may cover: by eye, no source */
static const double cover_most = 0.3;

/* what a side costs where a mark or its number would cover something: by eye, no source */
static const double cost_covers = 10, cost_number_covers = 4, cost_number_on_source = 1,
                    cost_outside = 100;

/* share of a notch, from its tip, that is too thin to be in the way of another's far end */
static const double thin = 0.35;

static const label_side beyond[NOTCH_SIDE_COUNT] = {[NOTCH_ABOVE] = LABEL_ABOVE,
                                                    [NOTCH_RIGHT] = LABEL_RIGHT,
                                                    [NOTCH_LEFT] = LABEL_LEFT,
                                                    [NOTCH_BELOW] = LABEL_BELOW};

static bool fit_on_board(const map *in)
{
    box board = in->page.board;
    double mark_px = 1.4 * in->page.em_px;
    return (double)in->scene->observation_count * mark_px * mark_px <=
           cover_most * (board.right - board.left) * (board.bottom - board.top);
}

static notch reading_notch(const map *in, size_t reading, notch_side side)
{
    const sf_observation *of = &in->scene->observations[reading];
    return (notch){.tip = map_place(in, of->x_mm, of->y_mm),
                   .side = side,
                   .infrared = of->method == SF_METHOD_INFRARED,
                   .in_fit = of->in_fit};
}

/* the box about a notch between two shares of its length */
static box notch_box(const notch *of, double from, double to, double em_px)
{
    place corners[3], cut[4];
    notch_corners(of, em_px, corners);
    for (int i = 0; i < 4; i++) {
        double share = i < 2 ? from : to;
        place end = corners[1 + i % 2];
        cut[i] = (place){of->tip.x_px + share * (end.x_px - of->tip.x_px),
                         of->tip.y_px + share * (end.y_px - of->tip.y_px)};
    }
    return box_around(cut, 4);
}

/* where its number would stand, of three digits at most */
static box number_box(const notch *of, double em_px)
{
    box far = notch_box(of, 1, 1, em_px);
    double x = of->side == NOTCH_RIGHT ? 0.7 : of->side == NOTCH_LEFT ? -0.7 : 0;
    double y = of->side == NOTCH_ABOVE ? -0.5 : of->side == NOTCH_BELOW ? 0.5 : 0;
    place middle = box_centre(far);
    return box_about((place){middle.x_px + x * em_px, middle.y_px + y * em_px}, 1.1 * em_px,
                     0.6 * em_px);
}

static double side_cost(map *in, const notch *tried)
{
    double em_px = in->page.em_px;
    box far = notch_box(tried, thin, 1, em_px), number = number_box(tried, em_px);
    unsigned met = spatial_index_meets(&in->taken, number, INDEX_SYMBOL | INDEX_SOURCE, 0);
    return (spatial_index_meets(&in->taken, far, INDEX_SYMBOL, INDEX_SYMBOL) ? cost_covers : 0) +
           (met & INDEX_SYMBOL ? cost_number_covers : 0) +
           (met & INDEX_SOURCE ? cost_number_on_source : 0) +
           (box_holds(in->page.plot, notch_extent(tried, em_px)) ? 0 : cost_outside);
}

/* the best side, the first of those that are alike */
static notch aim(map *in, size_t reading)
{
    notch best = {0};
    double least = INFINITY;
    for (int side = 0; side < NOTCH_SIDE_COUNT; side++) {
        notch tried = reading_notch(in, reading, (notch_side)side);
        double cost = side_cost(in, &tried);
        if (cost < least) {
            least = cost;
            best = tried;
        }
    }
    return best;
}

static bool keep_notch(map *in, const notch *of)
{
    const double cuts[] = {0, thin, 1};
    bool whole = true;
    for (int i = 0; i < 2; i++)
        whole = whole && spatial_index_add(&in->taken,
                                           (index_item){.where = notch_box(of, cuts[i], cuts[i + 1],
                                                                           in->page.em_px),
                                                        .shape = INDEX_BOX,
                                                        .kind = INDEX_SYMBOL});
    return whole;
}

bool map_aim_readings(map *aimed)
{
    size_t count = aimed->scene->observation_count;
    if (!fit_on_board(aimed))
        return true;
    aimed->readings = array_new(count, sizeof *aimed->readings);
    bool whole = aimed->readings != NULL;
    for (size_t i = 0; whole && i < count; i++) {
        aimed->readings[i] = aim(aimed, i);
        whole = keep_notch(aimed, &aimed->readings[i]);
    }
    return whole;
}

void map_name_readings(map *named)
{
    const sf_scene *scene = named->scene;
    text_style style = map_lettering(named, 0.68, false, PEN_DARK);
    bool whole = named->scale.step >= 2;
    for (size_t i = 0; named->readings && i < scene->observation_count; i++) {
        if (!scene->observation_labels || !isfinite(scene->observation_labels[i]))
            continue;
        char number[SCALE_TEXT];
        snprintf(number, sizeof number, whole ? "%.0f" : "%.1f", scene->observation_labels[i]);
        box mark = notch_box(&named->readings[i], 0, 1, named->page.em_px);
        label made = label_make(named->face, &style, box_centre(mark), (mark.right - mark.left) / 2,
                                (mark.bottom - mark.top) / 2, number);
        made.side = beyond[named->readings[i].side];
        named->labels[named->label_count++] = made;
    }
}
