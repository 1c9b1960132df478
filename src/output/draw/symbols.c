/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Drawing the signs of the map. */
#include "output/draw/symbols.h"

#include <math.h>

#include "output/draw/mask.h"

enum { HALF_CORNERS = 48 };

static const double halo_opacity = 0.9;

static void draw_leave(canvas *page, place centre, double radius_px, double em_px)
{
    mask_ring(&page->shapes, centre, radius_px, 0.3 * em_px);
    canvas_lay(page, PEN_PAPER, halo_opacity);
    mask_ring(&page->shapes, centre, radius_px, 0.09 * em_px);
    canvas_lay(page, PEN_DARK, 1);
}

/* the white upper half is laid too: on a dark ground the filled half alone would not be seen */
static void draw_check(canvas *page, place centre, double radius_px, double em_px)
{
    place half[HALF_CORNERS];
    for (int i = 0; i < HALF_CORNERS; i++) {
        double angle = acos(-1) * i / (HALF_CORNERS - 1);
        half[i] =
            (place){centre.x_px + radius_px * cos(angle), centre.y_px + radius_px * sin(angle)};
    }
    mask_ring(&page->shapes, centre, radius_px, 0.32 * em_px);
    canvas_lay(page, PEN_PAPER, halo_opacity);
    mask_disc(&page->shapes, centre, radius_px);
    canvas_lay(page, PEN_PAPER, 1);
    mask_polygon(&page->shapes, half, HALF_CORNERS, MASK_ADD);
    mask_ring(&page->shapes, centre, radius_px, 0.12 * em_px);
    canvas_lay(page, PEN_DARK, 1);
}

static void draw_replace(canvas *page, place centre, double radius_px, double em_px)
{
    mask_ring(&page->shapes, centre, radius_px, 0.32 * em_px);
    canvas_lay(page, PEN_PAPER, 1);
    mask_disc(&page->shapes, centre, radius_px);
    canvas_lay(page, PEN_ALERT, 1);
}

/* the triangle's tip points up where the part became hotter, down where it became cooler */
static void draw_changed(canvas *page, bool hotter, place centre, double radius_px, double em_px)
{
    double reach_px = 0.72 * radius_px, tip = hotter ? -1 : 1;
    const place corners[] = {
        {centre.x_px, centre.y_px + tip * reach_px},
        {centre.x_px - sqrt(0.75) * reach_px, centre.y_px - tip * reach_px / 2},
        {centre.x_px + sqrt(0.75) * reach_px, centre.y_px - tip * reach_px / 2}};
    mask_ring(&page->shapes, centre, radius_px, 0.32 * em_px);
    canvas_lay(page, PEN_PAPER, 1);
    mask_disc(&page->shapes, centre, radius_px);
    canvas_lay(page, hotter ? PEN_DARK : PEN_PAPER, 1);
    mask_ring(&page->shapes, centre, radius_px, 0.12 * em_px);
    canvas_lay(page, PEN_DARK, 1);
    mask_polygon(&page->shapes, corners, 3, MASK_ADD);
    canvas_lay(page, hotter ? PEN_PAPER : PEN_DARK, 1);
}

void symbol_part(canvas *page, part_mark mark, place centre, double radius_px, double em_px)
{
    if (mark == PART_REPLACE)
        draw_replace(page, centre, radius_px, em_px);
    else if (mark == PART_CHECK)
        draw_check(page, centre, radius_px, em_px);
    else if (mark == PART_LEAVE)
        draw_leave(page, centre, radius_px, em_px);
    else
        draw_changed(page, mark == PART_HOTTER, centre, radius_px, em_px);
}

/* where a notch has its far end, seen from its tip */
static place side_of(notch_side side)
{
    static const place sides[NOTCH_SIDE_COUNT] = {[NOTCH_ABOVE] = {0, -1},
                                                  [NOTCH_RIGHT] = {1, 0},
                                                  [NOTCH_LEFT] = {-1, 0},
                                                  [NOTCH_BELOW] = {0, 1}};
    return sides[side];
}

/* a share of the way from the tip to the far end, and so far aside */
static place in_notch(const notch *of, double share, double aside, double em_px)
{
    place side = side_of(of->side);
    double along_px = share * NOTCH_LENGTH * em_px, aside_px = aside * NOTCH_WIDTH * em_px;
    return (place){of->tip.x_px + side.x_px * along_px - side.y_px * aside_px,
                   of->tip.y_px + side.y_px * along_px + side.x_px * aside_px};
}

void notch_corners(const notch *of, double em_px, place corners[3])
{
    corners[0] = of->tip;
    corners[1] = in_notch(of, 1, -0.5, em_px);
    corners[2] = in_notch(of, 1, 0.5, em_px);
}

static const double notch_halo = 0.22, bar_halo = 0.36; /* widths, in ems */

static void bar_ends(const notch *of, double em_px, place ends[2])
{
    ends[0] = in_notch(of, 0.7, -0.8, em_px);
    ends[1] = in_notch(of, 0.7, 0.8, em_px);
}

static box grown(box by, double px)
{
    return (box){by.left - px, by.top - px, by.right + px, by.bottom + px};
}

box notch_extent(const notch *of, double em_px)
{
    place corners[3], ends[2];
    notch_corners(of, em_px, corners);
    box all = grown(box_around(corners, 3), notch_halo / 2 * em_px);
    if (of->in_fit)
        return all;
    bar_ends(of, em_px, ends);
    box bar = grown(box_around(ends, 2), bar_halo / 2 * em_px);
    return (box){fmin(all.left, bar.left), fmin(all.top, bar.top), fmax(all.right, bar.right),
                 fmax(all.bottom, bar.bottom)};
}

static void draw_bar(canvas *page, const notch *drawn, double em_px)
{
    place ends[2];
    bar_ends(drawn, em_px, ends);
    mask_line(&page->shapes, ends[0], ends[1], bar_halo * em_px);
    canvas_lay(page, PEN_PAPER, 1);
    mask_line(&page->shapes, ends[0], ends[1], 0.12 * em_px);
    canvas_lay(page, PEN_DARK, 1);
}

void symbol_reading(canvas *page, const notch *drawn, double em_px)
{
    place corners[3];
    notch_corners(drawn, em_px, corners);
    stroke_outline(&page->shapes, corners, 3, notch_halo * em_px);
    mask_polygon(&page->shapes, corners, 3, MASK_ADD);
    canvas_lay(page, PEN_PAPER, halo_opacity);
    mask_line(&page->shapes, corners[0], corners[1], 0.1 * em_px);
    mask_line(&page->shapes, corners[0], corners[2], 0.1 * em_px);
    if (!drawn->infrared)
        mask_polygon(&page->shapes, corners, 3, MASK_ADD);
    canvas_lay(page, PEN_DARK, 1);
    if (!drawn->in_fit)
        draw_bar(page, drawn, em_px);
}

void symbol_solder(canvas *page, const place corners[4], double em_px)
{
    stroke_outline(&page->shapes, corners, 4, 0.44 * em_px);
    canvas_lay(page, PEN_PAPER, 1);
    stroke_outline(&page->shapes, corners, 4, 0.22 * em_px);
    canvas_lay(page, PEN_DARK, 1);
}

static void draw_source_outline(mask *into, const place corners[4], bool listed, double width_px,
                                double em_px)
{
    const double pattern_px[] = {0.5 * em_px, 0.42 * em_px};
    if (listed)
        stroke_outline(into, corners, 4, width_px);
    else
        stroke_dashes(into, corners, 4, width_px, pattern_px, 2);
}

void symbol_source(canvas *page, const place corners[4], bool listed, double em_px)
{
    box all = box_around(corners, 4);
    double spacing_px = 0.55 * em_px;
    stroke_hatch(&page->shapes, corners, 4, 0.17 * em_px, spacing_px, all);
    canvas_lay(page, PEN_PAPER, 0.35);
    stroke_hatch(&page->shapes, corners, 4, 0.06 * em_px, spacing_px, all);
    canvas_lay(page, PEN_DARK, 0.75);
    draw_source_outline(&page->shapes, corners, true, 0.3 * em_px, em_px);
    canvas_lay(page, PEN_PAPER, 0.8);
    draw_source_outline(&page->shapes, corners, listed, 0.11 * em_px, em_px);
    canvas_lay(page, PEN_DARK, 1);
}

void symbol_keepout(canvas *page, const place *corners, size_t count, double em_px)
{
    const double pattern_px[] = {0.85 * em_px, 0.36 * em_px, 0.01, 0.36 * em_px};
    box corner = box_around(corners, count);
    corner.right = fmin(corner.right, corner.left + 1.6 * em_px);
    corner.bottom = fmin(corner.bottom, corner.top + 1.6 * em_px);
    stroke_outline(&page->shapes, corners, count, 0.34 * em_px);
    stroke_hatch(&page->shapes, corners, count, 0.22 * em_px, 0.4 * em_px, corner);
    canvas_lay(page, PEN_PAPER, 0.85);
    stroke_dashes(&page->shapes, corners, count, 0.14 * em_px, pattern_px, 4);
    stroke_hatch(&page->shapes, corners, count, 0.1 * em_px, 0.4 * em_px, corner);
    canvas_lay(page, PEN_DARK, 1);
}

void symbol_point(canvas *page, place centre, double em_px)
{
    double radius_px = POINT_RADIUS * em_px;
    mask_ring(&page->shapes, centre, radius_px, 0.34 * em_px);
    canvas_lay(page, PEN_PAPER, halo_opacity);
    mask_disc(&page->shapes, centre, radius_px);
    canvas_lay(page, PEN_PAPER, 1);
    mask_ring(&page->shapes, centre, radius_px, 0.16 * em_px);
    canvas_lay(page, PEN_DARK, 1);
}

void symbol_spot(canvas *page, place centre, double em_px)
{
    mask_disc(&page->shapes, centre, SPOT_RADIUS * em_px);
    canvas_lay(page, PEN_PAPER, 1);
    mask_disc(&page->shapes, centre, 0.55 * SPOT_RADIUS * em_px);
    canvas_lay(page, PEN_DARK, 1);
}

void symbol_point_line(canvas *page, place number, place of, double reach_px, double em_px)
{
    double dx = number.x_px - of.x_px, dy = number.y_px - of.y_px, length = sqrt(dx * dx + dy * dy);
    if (length <= reach_px)
        return;
    place edge = {of.x_px + dx * reach_px / length, of.y_px + dy * reach_px / length};
    mask_line(&page->shapes, edge, number, 0.36 * em_px);
    canvas_lay(page, PEN_PAPER, halo_opacity);
    mask_line(&page->shapes, edge, number, 0.16 * em_px);
    canvas_lay(page, PEN_DARK, 1);
}
