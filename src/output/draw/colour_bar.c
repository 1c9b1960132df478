/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The scale below the board. What one reads first are the temperatures at which rated life is used
 * up: a flag on each, and a rail from there on, as heavy as the line on the map. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/digits.h"
#include "output/draw/axes.h"
#include "output/draw/mask.h"
#include "output/draw/text_lines.h"

enum { BOUNDS = 2 };

/* A temperature from which so much of its rated life is used. */
typedef struct bound {
    double from_c, width; /* of its line, in ems */
    text words;
} bound;

static double along_strip(const layout *within, double share)
{
    return within->strip.left + share * (within->strip.right - within->strip.left);
}

static void fill_strip(canvas *page, const layout *within)
{
    int left = (int)within->strip.left, right = (int)within->strip.right;
    int top = (int)within->strip.top, bottom = (int)within->strip.bottom;
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++)
            page->image->pixels[y][x] = pen_map_index((x + 0.5 - left) / (right - left));
}

static void draw_frame(canvas *page, const layout *within)
{
    double left = stroke_crisp(within->strip.left), right = stroke_crisp(within->strip.right);
    double top = stroke_crisp(within->strip.top), bottom = stroke_crisp(within->strip.bottom);
    place corners[] = {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
    stroke_outline(&page->shapes, corners, 4, 0.06 * within->em_px);
    canvas_lay(page, PEN_DARK, 1);
}

static void draw_levels(canvas *page, font *face, const layout *within, const value_scale *scale)
{
    double em_px = within->em_px, bottom = within->strip.bottom;
    text_style style = {.size_px = 0.85 * em_px, .laid = PEN_GREY};
    for (size_t i = 0; i < scale->level_count; i++) {
        double at_px = along_strip(within, scale_share(scale, scale->levels[i]));
        char number[SCALE_TEXT];
        scale_write_level(scale, scale->levels[i], number);
        mask_line(&page->shapes, (place){stroke_crisp(at_px), bottom},
                  (place){stroke_crisp(at_px), bottom + 0.35 * em_px}, 0.06 * em_px);
        canvas_lay(page, PEN_GREY, 1);
        words_draw_centred(page, face, &style, (place){at_px, bottom + em_px}, number);
    }
}

/* --- where rated life is used up --- */

static void add_degrees(text *into, double temp_c, const value_scale *scale)
{
    char degrees[SCALE_TEXT];
    edges_write(temp_c, degrees);
    text_addf(into, "%s %s", degrees, scale->unit);
}

static bool is_on_strip(const bound *of, const value_scale *scale)
{
    return of->from_c > scale->low && of->from_c < scale->high;
}

/* off the strip stands only the bound at which it is used up */
static void write_bound(bound *written, const char *used, const value_scale *scale)
{
    text *into = &written->words;
    if (written->from_c == -INFINITY) {
        text_add(into, "Rated life used up at any temperature");
    } else if (is_on_strip(written, scale)) {
        add_degrees(into, written->from_c, scale);
        text_addf(into, ": %s", used);
    } else {
        text_addf(into, "Rated life used up %s from ",
                  written->from_c >= scale->high ? "only" : "everywhere,");
        add_degrees(into, written->from_c, scale);
    }
}

/* The bounds to tell, the cooler first: those on the strip, and where rated life is used up also
 * where that is hotter or colder than the whole strip. */
static size_t list_bounds(const sf_scene *scene, const value_scale *scale, const zone_edges *edges,
                          bound bounds[BOUNDS])
{
    size_t count = 0;
    char used[SCALE_TEXT];
    snprintf(used, sizeof used, "%.0f %% of rated life used", 100 * edges->warm_used);
    if (!isnan(edges->warm_from)) {
        bounds[count] = (bound){.from_c = edges->warm_from, .width = ZONE_WARM_WIDTH};
        write_bound(&bounds[count++], used, scale);
    }
    /* INFINITY: at no temperature, so there is nothing to tell */
    if (edges_told(scene) && scene->zones->hot_from_c < INFINITY) {
        bounds[count] = (bound){.from_c = scene->zones->hot_from_c, .width = ZONE_HOT_WIDTH};
        write_bound(&bounds[count++], "rated life used up", scale);
    }
    return count;
}

/* Where the words of a flag begin: behind its staff, before it where no room is behind, and never
 * beyond the strip. */
static double flag_left(font *face, const text_style *style, const layout *within, double staff_px,
                        bool before, const char *words)
{
    double width_px = words_width(face, style, words), gap_px = 0.4 * within->em_px;
    double left = before ? staff_px - gap_px - width_px : staff_px + gap_px;
    return fmax(fmin(left, within->strip.right - width_px), within->strip.left);
}

static bool fits_behind(font *face, const text_style *style, const layout *within, double staff_px,
                        const char *words)
{
    return staff_px + 0.4 * within->em_px + words_width(face, style, words) <= within->strip.right;
}

/* from the flag across the strip, in a halo where colours lie below it */
static void draw_staff(canvas *page, const layout *within, double at_px, double top_px,
                       double width_px)
{
    place top = {stroke_crisp(at_px), top_px}, strip = {top.x_px, within->strip.top};
    place bottom = {top.x_px, within->strip.bottom};
    mask_line(&page->shapes, strip, bottom, width_px + 0.18 * within->em_px);
    canvas_lay(page, PEN_PAPER, 0.85);
    mask_line(&page->shapes, strip, bottom, width_px);
    mask_line(&page->shapes, top, strip, 0.09 * within->em_px);
    canvas_lay(page, PEN_DARK, 1);
}

static void draw_rail(canvas *page, const layout *within, double from_px, double to_px,
                      double width_px)
{
    double y_px = within->strip.top - 0.35 * within->em_px;
    if (to_px - from_px > width_px)
        mask_line(&page->shapes, (place){from_px + width_px / 2, y_px},
                  (place){to_px - width_px / 2, y_px}, width_px);
    canvas_lay(page, PEN_DARK, 1);
}

/* Flags stand behind their staffs, the cooler in the upper row; where the hotter has no room
 * there, they stand before them, the hotter in the upper row: no staff runs through words. */
static void draw_bounds(canvas *page, font *face, const layout *within, const value_scale *scale,
                        const bound *bounds, size_t count)
{
    double em_px = within->em_px;
    text_style style = {.size_px = em_px,
                        .bold = true,
                        .laid = PEN_DARK,
                        .halo_px = 0.2 * em_px,
                        .halo = PEN_PAPER};
    double staffs_px[BOUNDS + 1], rows_px[BOUNDS];
    for (size_t i = 0; i < count; i++)
        staffs_px[i] = along_strip(within, scale_share(scale, bounds[i].from_c));
    staffs_px[count] = within->strip.right;
    bool before =
        !fits_behind(face, &style, within, staffs_px[count - 1], bounds[count - 1].words.bytes);
    for (size_t i = 0; i < count; i++) {
        bool lower = before ? i + 1 < count : i + 1 == count;
        rows_px[i] = within->scale.top + (lower ? SCALE_ROW : 0) * em_px;
        draw_rail(page, within, staffs_px[i], staffs_px[i + 1], bounds[i].width * em_px);
        if (is_on_strip(&bounds[i], scale))
            draw_staff(page, within, staffs_px[i], rows_px[i] + 0.2 * em_px,
                       bounds[i].width * em_px);
    }
    for (size_t i = 0; i < count; i++) {
        const char *words = bounds[i].words.bytes;
        double left = flag_left(face, &style, within, staffs_px[i], before, words);
        words_draw(page, face, &style, (place){left, rows_px[i] + 1.05 * em_px}, 0, words);
    }
}

/* --- what the colours tell --- */

/* at either end, where the scale is not one of temperatures */
static bool draw_ends(canvas *page, font *face, const layout *within, const sf_scene *scene)
{
    if (strcmp(scene->unit, "C") == 0)
        return false;
    const char *low = scene->change_sds ? "cooler" : "surer";
    const char *high = scene->change_sds ? "hotter" : "less sure";
    text_style style = {.size_px = within->em_px, .bold = true, .laid = PEN_DARK};
    double y_px = within->strip.top - 0.5 * within->em_px;
    double right = within->strip.right - words_width(face, &style, high);
    words_draw(page, face, &style, (place){within->strip.left, y_px}, 0, low);
    words_draw(page, face, &style, (place){right, y_px}, 0, high);
    return true;
}

static double strip_width(const layout *within)
{
    return within->strip.right - within->strip.left;
}

static text_style title_lettering(double em_px, pen laid)
{
    return (text_style){.size_px = 0.85 * em_px, .laid = laid};
}

/* with what life the bounds are of, where there is room for that */
static void write_title(const sf_scene *scene, const value_scale *scale, bool has_bounds,
                        font *face, const layout *within, text *title)
{
    text_style style = title_lettering(within->em_px, PEN_GREY);
    text_addf(title, "%.90s, %.12s", scene->quantity, scale->unit);
    size_t alone = title->length;
    if (!has_bounds)
        return;
    text_addf(title, "; rated life of the commonest part: %s h at ",
              whole_told(scene->zones->endurance_h).bytes);
    add_degrees(title, scene->zones->rated_c, scale);
    if (!title->failed && words_width(face, &style, title->bytes) > strip_width(within))
        title->bytes[alone] = '\0';
}

/* below the numbers, or above the strip where that is free; ends: at the strip's ends stand words
 */
static void draw_title(canvas *page, font *face, const layout *within, const char *title,
                       bool below, bool ends)
{
    double em_px = within->em_px;
    text_style style = title_lettering(em_px, below ? PEN_GREY : PEN_DARK);
    double y_px = below  ? within->strip.bottom + (SCALE_NUMBERS + 0.95) * em_px
                  : ends ? within->scale.top + 1.05 * em_px
                         : within->strip.top - 0.5 * em_px;
    char fitted[256];
    words_fit(face, &style, title, strip_width(within), fitted, sizeof fitted);
    words_draw(page, face, &style, (place){within->strip.left, y_px}, 0, fitted);
}

bool axes_colour_bar(canvas *page, font *face, const layout *within, const sf_scene *scene,
                     const value_scale *scale, const zone_edges *edges)
{
    bound bounds[BOUNDS] = {{0}};
    text title = {0};
    size_t count = list_bounds(scene, scale, edges, bounds);
    write_title(scene, scale, count > 0, face, within, &title);
    bool whole = !title.failed;
    for (size_t i = 0; i < count; i++)
        whole = whole && !bounds[i].words.failed;
    fill_strip(page, within);
    draw_frame(page, within);
    draw_levels(page, face, within, scale);
    if (whole && count > 0)
        draw_bounds(page, face, within, scale, bounds, count);
    bool ends = draw_ends(page, face, within, scene);
    if (whole)
        draw_title(page, face, within, title.bytes, count > 0, ends);
    for (size_t i = 0; i < count; i++)
        text_clear(&bounds[i].words);
    text_clear(&title);
    return whole;
}
