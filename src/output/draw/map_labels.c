/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is named on the map, and in which order labels get their places. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "output/draw/map_plan.h"

/* share of the plot that names of parts may cover: by eye, no source */
static const double cover_names = 0.12;

/* how much of the plot the labels of parts marked `least` or graver would cover */
static double part_cover(const map *in, part_mark least)
{
    double letters = 0, size_px = 0.8 * in->page.em_px;
    for (size_t i = 0; i < in->scene->job->part_count; i++)
        if (map_part_mark(in->scene, i) >= least)
            letters += 0.7 + (double)strlen(in->scene->job->parts[i].ref);
    box plot = in->page.plot;
    double area_px2 = (plot.right - plot.left) * (plot.bottom - plot.top);
    return letters * 0.62 * size_px * size_px / area_px2;
}

/* the gravest that are there are named, and others as long as all their names leave the map free */
static part_mark choose_named(const map *in)
{
    int from = PART_REPLACE;
    while (from > PART_LEAVE && (part_cover(in, (part_mark)from) == 0 ||
                                 part_cover(in, (part_mark)(from - 1)) <= cover_names))
        from--;
    return (part_mark)from;
}

/* Names keep off the frame of what is on the solder side; within it they may stand. */
static bool spatial_index_frame(map *placed, const place corners[4])
{
    bool whole = true;
    for (int i = 0; whole && i < 4; i++)
        whole = spatial_index_add_line(&placed->taken, corners[i], corners[(i + 1) % 4],
                                       0.2 * placed->page.em_px, INDEX_SYMBOL, 0);
    return whole;
}

static bool spatial_index_parts(map *placed)
{
    const sf_job *job = placed->scene->job;
    for (size_t i = 0; i < job->part_count; i++) {
        double width_px = 2 * map_part_radius(placed, &job->parts[i]) + 0.2 * placed->page.em_px;
        place centre = map_place(placed, job->parts[i].x_mm, job->parts[i].y_mm);
        index_shape shape = map_part_mark(placed->scene, i) == PART_LEAVE ? INDEX_RING : INDEX_DISC;
        if (!spatial_index_add(&placed->taken,
                               (index_item){.where = box_about(centre, width_px, width_px),
                                            .shape = shape,
                                            .kind = INDEX_SYMBOL}))
            return false;
        place frame[4];
        if (map_part_frame(placed, &job->parts[i], frame) && !spatial_index_frame(placed, frame))
            return false;
    }
    return true;
}

/* From the middle of a part to where a word or a line may begin. */
static double clear_radius(const map *in, const sf_part *part, bool *framed)
{
    place frame[4];
    *framed = map_part_frame(in, part, frame);
    return map_part_radius(in, part) + (0.1 + (*framed ? SOLDER_MARGIN : 0)) * in->page.em_px;
}

/* places to read are rounded to half a millimetre */
static const double off_middle_mm = 0.36;

/* The number of a place to read next; the place is a can, or a spot with a sign of its own. */
static label number_make(const map *in, size_t point)
{
    const sf_point *of = &in->scene->points[point];
    double em_px = in->page.em_px, reach_px = SPOT_RADIUS * em_px;
    place at = map_place(in, of->x_mm, of->y_mm);
    bool framed = false;
    for (size_t i = 0; i < in->scene->job->part_count; i++) {
        const sf_part *part = &in->scene->job->parts[i];
        if (hypot(part->x_mm - of->x_mm, part->y_mm - of->y_mm) > off_middle_mm)
            continue;
        reach_px = clear_radius(in, part, &framed);
        at = map_place(in, part->x_mm, part->y_mm);
    }
    text_style style = {.size_px = (point < 9    ? 0.95
                                    : point < 99 ? 0.8
                                                 : 0.6) *
                                   em_px,
                        .bold = true,
                        .laid = PEN_DARK};
    char words[24];
    snprintf(words, sizeof words, "%zu", point + 1);
    label made = label_make(in->face, &style, at, reach_px, reach_px, words);
    made.width_px = made.height_px = (2 * POINT_RADIUS + 0.3) * em_px;
    made.round = !framed;
    made.keeps_size = true;
    return made;
}

static bool keep_disc(map *placed, box where)
{
    return spatial_index_add(
        &placed->taken, (index_item){.where = where, .shape = INDEX_DISC, .kind = INDEX_SYMBOL});
}

static bool stand_on_place(map *placed, label *number)
{
    number->at =
        (label_position){.where = box_about(number->anchor, number->width_px, number->height_px)};
    number->placed = true;
    return keep_disc(placed, number->at.where);
}

/* Numbers stay where they cover no part; of the others, the place alone is taken. */
static bool spatial_index_points(map *placed)
{
    bool whole = true;
    for (size_t i = 0; whole && i < placed->scene->point_count; i++) {
        label *number = &placed->labels[placed->label_count++];
        *number = number_make(placed, i);
        box on = box_about(number->anchor, number->width_px, number->height_px);
        if (spatial_index_meets(&placed->taken, on, INDEX_SYMBOL, INDEX_SYMBOL) == 0)
            whole = stand_on_place(placed, number);
        else
            whole = keep_disc(
                placed, box_about(number->anchor, 2 * number->reach_x_px, 2 * number->reach_y_px));
    }
    return whole;
}

/* The others stand beside, with a line; where there is no room anywhere, on their place. */
static bool place_numbers(map *placed)
{
    label_ground ground = {&placed->taken, &placed->canvas.board, placed->face, placed->page.em_px};
    bool whole = true;
    for (size_t i = 0; whole && i < placed->scene->point_count; i++) {
        if (!placed->labels[i].placed)
            whole = labels_place(&ground, placed->labels, i, i + 1);
        if (whole && !placed->labels[i].placed)
            whole = stand_on_place(placed, &placed->labels[i]);
    }
    return whole;
}

static bool spatial_index_sources(map *placed)
{
    for (size_t i = 0; i < placed->scene->source_count; i++) {
        place corners[4];
        map_source_corners(placed, &placed->scene->sources[i], corners);
        if (!spatial_index_add(&placed->taken, (index_item){.where = box_around(corners, 4),
                                                            .shape = INDEX_BOX,
                                                            .kind = INDEX_SOURCE}))
            return false;
        if (map_source_frame(placed, i, corners) && !spatial_index_frame(placed, corners))
            return false;
    }
    return true;
}

static bool spatial_index_edges(map *placed)
{
    const sf_job *job = placed->scene->job;
    for (size_t i = 0; i < job->keepout_count; i++) {
        size_t count = job->keepouts[i].count;
        place *corners = map_ring(placed, &job->keepouts[i]);
        bool whole = corners != NULL;
        for (size_t k = 0; whole && k < count; k++)
            whole = spatial_index_add_line(&placed->taken, corners[k], corners[(k + 1) % count],
                                           0.24 * placed->page.em_px, INDEX_EDGE, 0);
        free(corners);
        if (!whole)
            return false;
    }
    return true;
}

text_style map_lettering(const map *in, double size, bool bold, pen laid)
{
    return (text_style){.size_px = size * in->page.em_px,
                        .bold = bold,
                        .laid = laid,
                        .halo_px = 0.14 * in->page.em_px,
                        .halo = PEN_PAPER};
}

static void add_source_labels(map *placed)
{
    text_style style = map_lettering(placed, 0.8, true, PEN_DARK);
    for (size_t i = 0; i < placed->scene->source_count; i++) {
        const sf_source_fit *source = &placed->scene->sources[i];
        place corners[4];
        if (!map_source_frame(placed, i, corners))
            map_source_corners(placed, source, corners);
        box around = box_around(corners, 4);
        label made =
            label_make(placed->face, &style, box_centre(around), (around.right - around.left) / 2,
                       (around.bottom - around.top) / 2, source->ref);
        made.may_stand_inside = true;
        placed->labels[placed->label_count++] = made;
    }
}

/* a no-touch area is named at its hatched corner */
static bool add_keepout_labels(map *placed)
{
    const sf_job *job = placed->scene->job;
    text_style style = map_lettering(placed, 0.8, true, PEN_DARK);
    for (size_t i = 0; i < job->keepout_count; i++) {
        const sf_ring *ring = &job->keepouts[i];
        double left = INFINITY, top = -INFINITY;
        for (size_t k = 0; k < ring->count; k++) {
            left = fmin(left, ring->points[k].x_mm);
            top = fmax(top, ring->points[k].y_mm);
        }
        double half_px = 0.8 * placed->page.em_px;
        place corner = map_place(placed, left, top);
        place middle = {corner.x_px + half_px, corner.y_px + half_px};
        label made = label_make(placed->face, &style, middle, half_px, half_px, "no-touch");
        made.keeps_off_edges = true;
        placed->labels[placed->label_count++] = made;
        box hatched = box_about(middle, 2 * half_px, 2 * half_px);
        if (!spatial_index_add(
                &placed->taken,
                (index_item){.where = hatched, .shape = INDEX_BOX, .kind = INDEX_SYMBOL}))
            return false;
    }
    return true;
}

/* with the letter that tells why it may not stay where its disc has no room for that */
static void write_name(const map *in, size_t part, char *words, size_t size)
{
    const char *ref = in->scene->job->parts[part].ref, *letter = map_letter(in->scene, part);
    if (letter[0] && !map_letter_inside(in, part))
        snprintf(words, size, "%.32s (%s)", ref, letter);
    else
        snprintf(words, size, "%s", ref);
}

static void add_part_labels(map *placed, part_mark mark)
{
    const sf_scene *scene = placed->scene;
    pen laid = mark == PART_REPLACE ? PEN_ALERT : PEN_DARK;
    bool crowded = placed->named_from > PART_LEAVE;
    text_style style = map_lettering(placed, mark == PART_LEAVE || crowded ? 0.72 : 0.8,
                                     mark == PART_REPLACE, laid);
    /* a search for each of very many would take long and find nothing */
    bool may_lead = part_cover(placed, mark) <= 2 * cover_names;
    for (size_t i = 0; mark >= placed->named_from && i < scene->job->part_count; i++) {
        const sf_part *part = &scene->job->parts[i];
        if (map_part_mark(scene, i) != mark)
            continue;
        bool framed = false;
        double radius_px = clear_radius(placed, part, &framed);
        char words[64];
        write_name(placed, i, words, sizeof words);
        label made = label_make(placed->face, &style, map_place(placed, part->x_mm, part->y_mm),
                                radius_px, radius_px, words);
        made.round = !framed;
        made.may_stand_inside = mark == PART_LEAVE;
        made.may_lead = may_lead;
        placed->labels[placed->label_count++] = made;
    }
}

static bool place_from(map *placed, size_t first)
{
    label_ground ground = {&placed->taken, &placed->canvas.board, placed->face, placed->page.em_px};
    return labels_place(&ground, placed->labels, first, placed->label_count);
}

/* dark ground asks for white words; red ones keep their white halo everywhere */
static void choose_pen(map *placed)
{
    const sf_picture_frame *frame = &placed->page.frame;
    for (size_t i = placed->scene->point_count; i < placed->label_count; i++) {
        label *written = &placed->labels[i];
        place middle = box_centre(written->at.where);
        if (written->style.laid == PEN_ALERT ||
            mask_share(&placed->canvas.board, written->at.where) < 1)
            continue;
        double value =
            padded_field_at(&placed->field, (middle.x_px - frame->left_px) / frame->px_per_mm,
                            (frame->bottom_px - middle.y_px) / frame->px_per_mm);
        written->style.laid =
            pen_over_map(placed->scale.colours, scale_share(&placed->scale, value));
        written->style.halo = written->style.laid == PEN_PAPER ? PEN_DARK : PEN_PAPER;
    }
}

/* adds the names of one mark and counts those that found a place */
static bool place_parts(map *placed, part_mark mark, size_t *named)
{
    size_t first = placed->label_count;
    add_part_labels(placed, mark);
    bool whole = place_from(placed, first);
    for (size_t i = first; i < placed->label_count; i++)
        *named += placed->labels[i].placed;
    return whole;
}

static bool place_readings(map *placed)
{
    size_t first = placed->label_count;
    map_name_readings(placed);
    return place_from(placed, first);
}

/* what matters most is placed first; words along isotherms have the least choice */
static bool place_all(map *placed)
{
    size_t first = placed->label_count;
    add_source_labels(placed);
    if (!add_keepout_labels(placed) || !place_from(placed, first) ||
        isotherms_place_words(&placed->lines, placed->face, &placed->taken, &placed->canvas.board,
                              placed->page.em_px) != SF_OK)
        return false;
    size_t named[PART_MARK_COUNT] = {0};
    bool whole = true;
    for (int mark = PART_REPLACE; whole && mark > PART_LEAVE; mark--)
        whole = place_parts(placed, (part_mark)mark, &named[mark]);
    whole = whole && place_readings(placed) && place_parts(placed, PART_LEAVE, &named[PART_LEAVE]);
    legend_tell_named(&placed->signs, named);
    return whole;
}

sf_status map_place_labels(map *placed)
{
    const sf_scene *scene = placed->scene;
    size_t most = scene->point_count + scene->source_count + scene->job->keepout_count +
                  scene->job->part_count + scene->observation_count;
    placed->labels = array_new(most, sizeof *placed->labels);
    if (!placed->labels ||
        !spatial_index_open(&placed->taken, placed->page.plot, 2 * placed->page.em_px))
        return SF_ERROR_MEMORY;
    placed->named_from = choose_named(placed);
    bool whole = spatial_index_parts(placed) && spatial_index_points(placed) &&
                 spatial_index_sources(placed) && spatial_index_edges(placed) &&
                 map_aim_readings(placed) && place_numbers(placed) && place_all(placed);
    choose_pen(placed);
    return whole ? SF_OK : SF_ERROR_MEMORY;
}
