/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tracing, naming and drawing isotherms. */
#include "output/draw/isotherms.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

static const double between_words = 46, straight_enough = 0.965; /* ems; chord over arc */
static const double line_opacity = 0.85;

enum { WORDS_PER_LINE = 3 };

sf_status isotherms_trace(const lattice *on, const line_look *looks, size_t look_count,
                          isotherms *made)
{
    *made = (isotherms){.look_count = look_count};
    double *levels = array_new(look_count, sizeof *levels);
    made->looks = array_new(look_count, sizeof *looks);
    sf_status status = levels && made->looks ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < look_count; i++) {
        made->looks[i] = looks[i];
        levels[i] = looks[i].level;
    }
    if (status == SF_OK)
        status = contours_trace(on, levels, look_count, &made->lines);
    free(levels);
    if (status != SF_OK)
        isotherms_free(made);
    return status;
}

void isotherms_free(isotherms *freed)
{
    contours_free(&freed->lines);
    free(freed->looks);
    free(freed->words);
    *freed = (isotherms){0};
}

static const line_look *look_of(const isotherms *in, const contour *line)
{
    for (size_t i = 0; i < in->look_count; i++)
        if (in->looks[i].level == line->level)
            return &in->looks[i];
    return NULL;
}

static double step_px(place a, place b)
{
    double dx = b.x_px - a.x_px, dy = b.y_px - a.y_px;
    return sqrt(dx * dx + dy * dy);
}

/* What the words of one line need, and the line with the way along it. */
typedef struct search {
    const place *places;
    const double *along_px; /* from the first place to each */
    size_t count;
    spatial_index *taken;
    const mask *board;
    double width_px, height_px;
} search;

/* the place so far along the line */
static place at_distance(const search *on, double along_px)
{
    size_t low = 0, high = on->count - 1;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (on->along_px[middle] <= along_px)
            low = middle;
        else
            high = middle;
    }
    double step = on->along_px[high] - on->along_px[low];
    double share = step > 0 ? (along_px - on->along_px[low]) / step : 0;
    place a = on->places[low], b = on->places[high];
    return (place){a.x_px + share * (b.x_px - a.x_px), a.y_px + share * (b.y_px - a.y_px)};
}

/* whether a strip about a stroke lies on the board: its ends, its middle, both sides */
static bool strip_on_board(const mask *board, place a, place b, double height_px)
{
    double length = step_px(a, b);
    double side_x = -(b.y_px - a.y_px) / length * height_px / 2;
    double side_y = (b.x_px - a.x_px) / length * height_px / 2;
    for (int i = 0; i <= 2; i++) {
        double x = a.x_px + i / 2.0 * (b.x_px - a.x_px), y = a.y_px + i / 2.0 * (b.y_px - a.y_px);
        if (!mask_covers(board, (place){x + side_x, y + side_y}) ||
            !mask_covers(board, (place){x - side_x, y - side_y}))
            return false;
    }
    return true;
}

/* the larger the worse: bent, steep or on a source; INFINITY where the words may not stand */
static double cost_at(const search *with, double from_px)
{
    place a = at_distance(with, from_px), b = at_distance(with, from_px + with->width_px);
    double straight = step_px(a, b) / with->width_px;
    if (straight < straight_enough || !strip_on_board(with->board, a, b, with->height_px))
        return INFINITY;
    unsigned met = spatial_index_crossed(with->taken, a, b, with->height_px, INDEX_ALL, 0, NULL);
    place middle = {(a.x_px + b.x_px) / 2, (a.y_px + b.y_px) / 2};
    if (met & ~(unsigned)INDEX_SOURCE || spatial_index_symbol_at(with->taken, middle))
        return INFINITY;
    double steep = fabs(atan2(b.y_px - a.y_px, fabs(b.x_px - a.x_px)));
    return 40 * (1 - straight) + steep + (met & INDEX_SOURCE ? 2 : 0);
}

/* the best place of a stretch of the line; false where there is none */
static bool best_place(const search *with, double from_px, double to_px, double *found_px)
{
    double least = INFINITY;
    for (double at = from_px; at + with->width_px <= to_px; at += 0.5 * with->height_px) {
        double cost = cost_at(with, at);
        if (cost < least) {
            least = cost;
            *found_px = at;
        }
    }
    return isfinite(least);
}

static bool add_words(isotherms *in, const search *with, size_t line, double from_px,
                      spatial_index *taken)
{
    const line_look *look = look_of(in, &in->lines.lines[line]);
    place a = at_distance(with, from_px), b = at_distance(with, from_px + with->width_px);
    bool hatched =
        spatial_index_crossed(taken, a, b, with->height_px, INDEX_SOURCE, INDEX_SOURCE, NULL) != 0;
    if (!spatial_index_add_line(taken, a, b, with->height_px, INDEX_LABEL, 0))
        return false;
    /* words run to the right, never upside down */
    if (b.x_px < a.x_px) {
        place swapped = a;
        a = b;
        b = swapped;
    }
    double angle = atan2(a.y_px - b.y_px, b.x_px - a.x_px), size_px = look->style.size_px;
    double in_px = 0.25 * size_px, down_px = CAPITAL_HEIGHT / 2 * size_px;
    line_words *made = array_add(&in->words, &in->word_count, &in->word_capacity, sizeof *made);
    if (!made)
        return false;
    *made = (line_words){.look = look,
                         .line = line,
                         .from_px = from_px,
                         .to_px = from_px + with->width_px,
                         .start = {a.x_px + in_px * cos(angle) + down_px * sin(angle),
                                   a.y_px - in_px * sin(angle) + down_px * cos(angle)},
                         .angle_deg = (int)lrint(angle * 180 / acos(-1)),
                         .hatched = hatched};
    return true;
}

/* one to three places, each in its own stretch of the line */
static bool name_line(isotherms *in, size_t line, search *with, spatial_index *taken, double em_px)
{
    double length_px = with->along_px[with->count - 1], found_px = 0;
    if (length_px < 1.8 * with->width_px)
        return true;
    int pieces = (int)fmin(1 + floor(length_px / (between_words * em_px)), WORDS_PER_LINE);
    for (int i = 0; i < pieces; i++) {
        double piece_px = length_px / pieces;
        if (best_place(with, i * piece_px, (i + 1) * piece_px, &found_px) &&
            !add_words(in, with, line, found_px, taken))
            return false;
    }
    return true;
}

static size_t longest_line(const contours *lines)
{
    size_t most = 1;
    for (size_t i = 0; i < lines->count; i++)
        if (lines->lines[i].count > most)
            most = lines->lines[i].count;
    return most;
}

static void measure_line(const contours *lines, const contour *line, double *along_px)
{
    const place *places = lines->places + line->first;
    along_px[0] = 0;
    for (size_t i = 1; i < line->count; i++)
        along_px[i] = along_px[i - 1] + step_px(places[i - 1], places[i]);
}

sf_status isotherms_place_words(isotherms *in, font *face, spatial_index *taken, const mask *board,
                                double em_px)
{
    double *along_px = array_new(longest_line(&in->lines), sizeof *along_px);
    bool whole = along_px != NULL;
    for (size_t i = 0; whole && i < in->lines.count; i++) {
        const contour *line = &in->lines.lines[i];
        const line_look *look = look_of(in, line);
        measure_line(&in->lines, line, along_px);
        double width_px = words_width(face, &look->style, look->words);
        search with = {.places = in->lines.places + line->first,
                       .along_px = along_px,
                       .count = line->count,
                       .taken = taken,
                       .board = board,
                       .width_px = width_px + 0.5 * look->style.size_px,
                       .height_px = 1.1 * look->style.size_px};
        whole = name_line(in, i, &with, taken, em_px);
    }
    free(along_px);
    return whole ? SF_OK : SF_ERROR_MEMORY;
}

/* draws the stretch from..to of a segment that begins `start_px` along its line */
static void draw_stretch(mask *into, place a, place b, double start_px, double from_px,
                         double to_px, double width_px)
{
    double length_px = step_px(a, b);
    double first = fmax(0, (from_px - start_px) / length_px);
    double last = fmin(1, (to_px - start_px) / length_px);
    if (length_px > 0 && first < last)
        mask_line(into,
                  (place){a.x_px + first * (b.x_px - a.x_px), a.y_px + first * (b.y_px - a.y_px)},
                  (place){a.x_px + last * (b.x_px - a.x_px), a.y_px + last * (b.y_px - a.y_px)},
                  width_px);
}

/* draws the stretch from..to of a whole line */
static void draw_between(mask *into, const isotherms *drawn, const contour *line, double from_px,
                         double to_px, double width_px)
{
    const place *places = drawn->lines.places + line->first;
    double along_px = 0;
    for (size_t i = 1; i < line->count && along_px < to_px; i++) {
        draw_stretch(into, places[i - 1], places[i], along_px, from_px, to_px, width_px);
        along_px += step_px(places[i - 1], places[i]);
    }
}

/* draws a line but for the gaps its words stand in, which lie in order along it */
static void draw_line(mask *into, const isotherms *drawn, size_t line, double width_px)
{
    double from_px = 0;
    for (size_t i = 0; i < drawn->word_count; i++) {
        if (drawn->words[i].line != line)
            continue;
        draw_between(into, drawn, &drawn->lines.lines[line], from_px, drawn->words[i].from_px,
                     width_px);
        from_px = drawn->words[i].to_px;
    }
    draw_between(into, drawn, &drawn->lines.lines[line], from_px, INFINITY, width_px);
}

/* Lines are laid one by one: small stretches of the page stay in the processor's cache. */
static void draw_look(canvas *page, const isotherms *drawn, const line_look *look, double width_px,
                      pen laid)
{
    for (size_t i = 0; i < drawn->lines.count; i++)
        if (drawn->lines.lines[i].level == look->level) {
            draw_line(&page->shapes, drawn, i, width_px);
            canvas_lay_on_board(page, laid, line_opacity);
        }
}

void isotherms_draw_lines(canvas *page, const isotherms *drawn)
{
    for (size_t k = 0; k < drawn->look_count; k++) {
        const line_look *look = &drawn->looks[k];
        if (look->halo_px > 0)
            draw_look(page, drawn, look, look->width_px + 2 * look->halo_px, PEN_PAPER);
        draw_look(page, drawn, look, look->width_px, look->laid);
    }
}

void isotherms_draw_words(canvas *page, font *face, const isotherms *drawn)
{
    for (size_t i = 0; i < drawn->word_count; i++) {
        const line_words *words = &drawn->words[i];
        text_style style = words->look->style;
        if (words->hatched && style.halo_px == 0) {
            style.halo_px = 0.16 * style.size_px;
            style.halo = style.laid == PEN_PAPER ? PEN_DARK : PEN_PAPER;
        }
        words_draw(page, face, &style, words->start, words->angle_deg, words->look->words);
    }
}
