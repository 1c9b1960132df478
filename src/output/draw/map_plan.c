/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Planning and drawing a map. */
#include "output/draw/map_plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/memory.h"
#include "output/draw/axes.h"
#include "output/draw/mask.h"
#include "survey/facts.h"

place map_place(const map *in, double x_mm, double y_mm)
{
    const sf_picture_frame *frame = &in->page.frame;
    return (place){frame->left_px + x_mm * frame->px_per_mm,
                   frame->bottom_px - y_mm * frame->px_per_mm};
}

double map_part_radius(const map *in, const sf_part *part)
{
    return fmax(part->diameter_mm / 2 * in->page.frame.px_per_mm, PART_RADIUS_MIN * in->page.em_px);
}

part_mark map_part_mark(const sf_scene *scene, size_t part)
{
    static const part_mark verdicts[SF_VERDICT_COUNT] = {
        [SF_LEAVE] = PART_LEAVE, [SF_CHECK] = PART_CHECK, [SF_REPLACE] = PART_REPLACE};
    static const part_mark changes[SF_CHANGE_COUNT] = {[SF_CHANGE_UNKNOWN] = PART_LEAVE,
                                                       [SF_CHANGE_DOUBTFUL] = PART_LEAVE,
                                                       [SF_CHANGE_HOTTER] = PART_HOTTER,
                                                       [SF_CHANGE_COOLER] = PART_COOLER};
    if (scene->results)
        return verdicts[scene->results[part].verdict];
    return scene->changes ? changes[scene->changes[part]] : PART_LEAVE;
}

void map_source_corners(const map *in, const sf_source_fit *source, place corners[4])
{
    static const int signs[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
    double angle = source->angle_deg * acos(-1) / 180;
    for (int i = 0; i < 4; i++) {
        double x_mm = signs[i][0] * source->width_mm / 2,
               y_mm = signs[i][1] * source->height_mm / 2;
        corners[i] = map_place(in, source->x_mm + x_mm * cos(angle) - y_mm * sin(angle),
                               source->y_mm + x_mm * sin(angle) + y_mm * cos(angle));
    }
}

bool map_part_frame(const map *in, const sf_part *part, place corners[4])
{
    double width_px = 2 * (map_part_radius(in, part) + SOLDER_MARGIN * in->page.em_px);
    box_corners(box_about(map_place(in, part->x_mm, part->y_mm), width_px, width_px), corners);
    return part->side == SF_SIDE_SOLDER;
}

bool map_source_frame(const map *in, size_t source, place corners[4])
{
    sf_source_fit framed = in->scene->sources[source];
    double margin_mm = SOLDER_MARGIN * in->page.em_px / in->page.frame.px_per_mm;
    framed.width_mm += 2 * margin_mm;
    framed.height_mm += 2 * margin_mm;
    map_source_corners(in, &framed, corners);
    return source_side(in->scene->job, &in->scene->sources[source]) == SF_SIDE_SOLDER;
}

place *map_ring(const map *in, const sf_ring *ring)
{
    place *corners = array_new(ring->count, sizeof *corners);
    for (size_t i = 0; corners && i < ring->count; i++)
        corners[i] = map_place(in, ring->points[i].x_mm, ring->points[i].y_mm);
    return corners;
}

/* what lies within a box about a place stands out over the board by so much; no more than the
 * board's own length, so that a slip of the pen does not shrink it to a spot */
static void position_out(overhang *over, const sf_board *board, sf_point at, double reach_x_mm,
                         double reach_y_mm)
{
    double most_mm = fmax(board->width_mm, board->height_mm);
    over->left_mm = fmin(fmax(over->left_mm, reach_x_mm - at.x_mm), most_mm);
    over->right_mm = fmin(fmax(over->right_mm, at.x_mm + reach_x_mm - board->width_mm), most_mm);
    over->bottom_mm = fmin(fmax(over->bottom_mm, reach_y_mm - at.y_mm), most_mm);
    over->top_mm = fmin(fmax(over->top_mm, at.y_mm + reach_y_mm - board->height_mm), most_mm);
}

static overhang overhang_of(const sf_scene *scene)
{
    const sf_job *job = scene->job;
    overhang over = {0};
    for (size_t i = 0; i < job->part_count; i++) {
        const sf_part *part = &job->parts[i];
        position_out(&over, &job->board, (sf_point){part->x_mm, part->y_mm}, part->diameter_mm / 2,
                     part->diameter_mm / 2);
    }
    for (size_t i = 0; i < scene->source_count; i++) {
        const sf_source_fit *source = &scene->sources[i];
        double angle = source->angle_deg * acos(-1) / 180;
        double along = fabs(cos(angle)), across = fabs(sin(angle));
        position_out(&over, &job->board, (sf_point){source->x_mm, source->y_mm},
                     (along * source->width_mm + across * source->height_mm) / 2,
                     (across * source->width_mm + along * source->height_mm) / 2);
    }
    for (size_t i = 0; i < scene->observation_count; i++)
        position_out(&over, &job->board,
                     (sf_point){scene->observations[i].x_mm, scene->observations[i].y_mm}, 0, 0);
    return over;
}

static void lay_out(map *planned, int width_px)
{
    const sf_scene *scene = planned->scene;
    value_scale (*make)(double, double, const char *) =
        scene->change_sds ? scale_make_change : scale_make;
    planned->scale = make(planned->field.least, planned->field.most, scene->unit);
    planned->edges = edges_of(scene, &planned->scale);
    planned->signs = legend_make(scene, &planned->scale);
    layout_needs needs = {.width_px = width_px,
                          .board_width_mm = scene->job->board.width_mm,
                          .board_height_mm = scene->job->board.height_mm,
                          .over = overhang_of(scene),
                          .title_lines = scene->title_line_count,
                          .legend_entries = legend_rows(&planned->signs),
                          .legend_width_px =
                              legend_width(&planned->signs, planned->face, layout_em(width_px))};
    planned->page = layout_make(&needs);
}

sf_status map_plan(const sf_scene *scene, const sf_picture_options *options, map *planned)
{
    *planned = (map){.scene = scene};
    sf_status status = scene_check(scene, options);
    if (status == SF_OK)
        status = font_open(options->font_path, &planned->face);
    if (status == SF_OK)
        status = padded_field_make(&scene->grid, scene->values, &planned->field);
    if (status == SF_OK) {
        lay_out(planned, options->width_px);
        status = canvas_open(&planned->canvas, planned->page.frame.width_px,
                             planned->page.frame.height_px, planned->scale.colours);
    }
    if (status == SF_OK)
        status = map_paint_field(planned);
    if (status == SF_OK)
        status = map_hatch_doubt(planned);
    if (status == SF_OK)
        status = map_trace_lines(planned);
    if (status == SF_OK)
        status = map_place_labels(planned);
    if (status != SF_OK)
        map_close(planned);
    return status;
}

void map_close(map *closed)
{
    free(closed->readings);
    free(closed->labels);
    spatial_index_close(&closed->taken);
    isotherms_free(&closed->lines);
    canvas_close(&closed->canvas);
    padded_field_free(&closed->field);
    font_close(closed->face);
    *closed = (map){0};
}

static void draw_rings(map *drawn)
{
    const sf_job *job = drawn->scene->job;
    canvas *page = &drawn->canvas;
    for (size_t i = 0; i < job->ring_count; i++) {
        place *corners = map_ring(drawn, &job->rings[i]);
        if (corners)
            stroke_outline(&page->shapes, corners, job->rings[i].count, 0.09 * drawn->page.em_px);
        page->shapes.failed = page->shapes.failed || !corners;
        free(corners);
    }
    canvas_lay(page, PEN_DARK, 1);
}

static void draw_areas(map *drawn)
{
    const sf_scene *scene = drawn->scene;
    for (size_t i = 0; i < scene->source_count; i++) {
        place corners[4];
        map_source_corners(drawn, &scene->sources[i], corners);
        symbol_source(&drawn->canvas, corners, scene->sources[i].listed, drawn->page.em_px);
        if (map_source_frame(drawn, i, corners))
            symbol_solder(&drawn->canvas, corners, drawn->page.em_px);
    }
    for (size_t i = 0; i < scene->job->keepout_count; i++) {
        place *corners = map_ring(drawn, &scene->job->keepouts[i]);
        if (corners)
            symbol_keepout(&drawn->canvas, corners, scene->job->keepouts[i].count,
                           drawn->page.em_px);
        drawn->canvas.shapes.failed = drawn->canvas.shapes.failed || !corners;
        free(corners);
    }
}

static void draw_part(map *drawn, size_t part)
{
    const sf_part *of = &drawn->scene->job->parts[part];
    place centre = map_place(drawn, of->x_mm, of->y_mm);
    double radius_px = map_part_radius(drawn, of);
    const char *letter = map_letter(drawn->scene, part);
    part_mark mark = map_part_mark(drawn->scene, part);
    symbol_part(&drawn->canvas, mark, centre, radius_px, drawn->page.em_px);
    place frame[4];
    if (map_part_frame(drawn, of, frame))
        symbol_solder(&drawn->canvas, frame, drawn->page.em_px);
    if (letter[0] && map_letter_inside(drawn, part))
        letter_draw(&drawn->canvas, drawn->face, mark, letter, centre, radius_px,
                    drawn->page.em_px);
}

/* the gravest on top */
static void draw_parts(map *drawn)
{
    const sf_job *job = drawn->scene->job;
    for (int mark = PART_LEAVE; mark < PART_MARK_COUNT; mark++)
        for (size_t i = 0; i < job->part_count; i++)
            if ((int)map_part_mark(drawn->scene, i) == mark)
                draw_part(drawn, i);
}

static void draw_reading(map *drawn, size_t reading)
{
    double em_px = drawn->page.em_px;
    const notch *shown = &drawn->readings[reading];
    place frame[4];
    box_corners(box_about(shown->tip, 2 * SOLDER_READING * em_px, 2 * SOLDER_READING * em_px),
                frame);
    if (drawn->scene->observations[reading].side == SF_SIDE_SOLDER)
        symbol_solder(&drawn->canvas, frame, em_px);
    symbol_reading(&drawn->canvas, shown, em_px);
}

static void draw_readings(map *drawn)
{
    for (size_t i = 0; drawn->readings && i < drawn->scene->observation_count; i++)
        draw_reading(drawn, i);
}

/* the first to read on top */
static void draw_points(map *drawn)
{
    double em_px = drawn->page.em_px;
    for (size_t i = drawn->scene->point_count; i > 0; i--) {
        const label *number = &drawn->labels[i - 1];
        place centre = box_centre(number->at.where);
        symbol_point_line(&drawn->canvas, centre, number->anchor, number->reach_x_px, em_px);
        if (number->reach_x_px <= SPOT_RADIUS * em_px)
            symbol_spot(&drawn->canvas, number->anchor, em_px);
        symbol_point(&drawn->canvas, centre, em_px);
        words_draw_centred(&drawn->canvas, drawn->face, &number->style, centre, number->words);
    }
}

/* what the map does not show is told; parts without a name are told in the legend */
static void write_note(const map *drawn, char *note, size_t size)
{
    size_t left_out = 0;
    for (size_t i = 0; i < drawn->label_count; i++)
        left_out += !drawn->labels[i].placed;
    const char *dense = drawn->readings ? "" : "Readings too dense to draw. ";
    snprintf(note, size, "%s", dense);
    if (left_out > 0)
        snprintf(note, size, "%s%zu label%s left out for lack of room.", dense, left_out,
                 left_out == 1 ? "" : "s");
}

static bool draw_about(map *drawn)
{
    canvas *page = &drawn->canvas;
    char note[160];
    write_note(drawn, note, sizeof note);
    axes_title(page, drawn->face, &drawn->page, drawn->scene);
    axes_draw(page, drawn->face, &drawn->page, &drawn->scene->job->board);
    bool whole = axes_colour_bar(page, drawn->face, &drawn->page, drawn->scene, &drawn->scale,
                                 &drawn->edges);
    legend_draw(page, drawn->face, &drawn->signs, &drawn->page);
    axes_scale_bar(page, drawn->face, &drawn->page);
    axes_footer(page, drawn->face, &drawn->page, note);
    return whole;
}

/* Draws what lies over the field and about the board. SF_ERROR_MEMORY. */
static sf_status map_draw(map *planned)
{
    canvas_clip(&planned->canvas, &planned->page.plot);
    isotherms_draw_lines(&planned->canvas, &planned->lines);
    draw_rings(planned);
    draw_areas(planned);
    isotherms_draw_words(&planned->canvas, planned->face, &planned->lines);
    draw_parts(planned);
    draw_readings(planned);
    size_t numbers = planned->scene->point_count;
    labels_draw(&planned->canvas, planned->face, planned->labels + numbers,
                planned->label_count - numbers, planned->page.em_px);
    draw_points(planned);
    canvas_clip(&planned->canvas, NULL);
    bool failed =
        !draw_about(planned) || planned->canvas.shapes.failed || font_failed(planned->face);
    return failed ? SF_ERROR_MEMORY : SF_OK;
}

/* --- from scene to bytes --- */

sf_status sf_scene_draw(const sf_scene *scene, const sf_picture_options *options,
                        unsigned char **png, size_t *size, sf_picture_frame *frame)
{
    map planned;
    if (!png || !size)
        return SF_ERROR_ARGUMENT;
    *png = NULL;
    sf_status status = map_plan(scene, options, &planned);
    if (status != SF_OK)
        return status;
    status = map_draw(&planned);
    if (status == SF_OK)
        status = canvas_encode(&planned.canvas, options->dpi, options->png_level, png, size);
    if (frame)
        *frame = planned.page.frame;
    map_close(&planned);
    return status;
}
