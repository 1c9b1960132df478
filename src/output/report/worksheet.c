/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

#include "output/report/worksheet.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"
#include "output/set_words.h"
#include "survey/facts.h"

/* Sizes of a mark, as shares of the picture's width: on A4 its number stands 5 mm high. */
#define DISC_SHARE 0.026
#define AWAY_SHARE 0.052 /* from the place to the middle of its disc */

enum { WAYS = 16 };

static void add_cautions(const worksheet *shown, text *into)
{
    text_add(into, "<ul class=\"cautions\">\n");
    if (!shown->job->keepout_told)
        text_addf(into, "<li><strong>%s</strong></li>\n", keepout_question);
    for (const char *const *caution = probing_cautions; *caution; caution++)
        text_addf(into, "<li>%s</li>\n", *caution);
    text_add(into, "</ul>\n");
}

/* --- the picture --- */

static sf_point pixel_of(const worksheet *shown, size_t place)
{
    const sf_picture_frame *frame = &shown->frame;
    const sf_plan_point *point = &shown->plan->points[place];
    return (sf_point){frame->left_px + point->x_mm * frame->px_per_mm,
                      frame->bottom_px - point->y_mm * frame->px_per_mm};
}

static double away_px(sf_point one, sf_point other)
{
    return hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm);
}

/* How free a disc would stand: the distance to what is nearest, the edge of the picture included.
 */
static double room_of(const worksheet *shown, const sf_point *discs, size_t place, sf_point at)
{
    const sf_picture_frame *frame = &shown->frame;
    double room =
        fmin(fmin(at.x_mm, frame->width_px - at.x_mm), fmin(at.y_mm, frame->height_px - at.y_mm));
    for (size_t i = 0; i < shown->plan->count; i++) {
        if (i != place)
            room = fmin(room, away_px(at, pixel_of(shown, i)));
        if (i < place)
            room = fmin(room, away_px(at, discs[i]) / 2);
    }
    return room;
}

/* Each disc stands to that side of its place where there is most room. */
static void set_disc(const worksheet *shown, sf_point *discs, size_t place)
{
    double most = -INFINITY, away = AWAY_SHARE * shown->frame.width_px;
    sf_point from = pixel_of(shown, place);
    for (int way = 0; way < WAYS; way++) {
        double angle = 2 * M_PI * way / WAYS;
        sf_point at = {from.x_mm + away * cos(angle), from.y_mm + away * sin(angle)};
        double room = room_of(shown, discs, place, at);
        if (room > most + 1e-6) {
            most = room;
            discs[place] = at;
        }
    }
}

/* A disc with the number, and a notch whose tip is the place. */
static void add_mark(const worksheet *shown, sf_point disc, size_t place, text *into)
{
    double radius = DISC_SHARE * shown->frame.width_px;
    sf_point tip = pixel_of(shown, place);
    double along_x = (tip.x_mm - disc.x_mm) / away_px(tip, disc);
    double along_y = (tip.y_mm - disc.y_mm) / away_px(tip, disc);
    double half = 0.6 * radius;
    text_addf(into, SHEET_MARK, tip.x_mm, tip.y_mm, disc.x_mm - along_y * half,
              disc.y_mm + along_x * half, disc.x_mm + along_y * half, disc.y_mm - along_x * half,
              disc.x_mm, disc.y_mm, radius, disc.x_mm, disc.y_mm + 0.45 * radius,
              place + 1 < 10 ? 1.3 * radius : radius, place + 1);
}

static void add_picture(const worksheet *shown, text *into)
{
    const sf_picture_frame *frame = &shown->frame;
    sf_point *discs = array_new(shown->plan->count, sizeof *discs);
    text_addf(into, SHEET_PICTURE, frame->width_px, frame->height_px);
    html_png(into, shown->png, shown->png_size);
    text_addf(into, SHEET_OVERLAY, frame->width_px, frame->height_px);
    for (size_t i = 0; discs && i < shown->plan->count; i++) {
        set_disc(shown, discs, i);
        add_mark(shown, discs[i], i, into);
    }
    text_add(into, SHEET_CAPTION);
    into->failed = into->failed || !discs;
    free(discs);
}

/* --- the table --- */

static void add_spot(const sf_plan_point *point, text *into)
{
    if (point->spot == SF_SPOT_PART)
        html_addf(into, "can of %s", point->on);
    else
        html_addf(into, "board%s%s", point->on[0] ? " at " : "", point->on);
}

static void add_row(const sf_plan_point *point, size_t rank, text *into)
{
    html_addf(into,
              "<tr><th scope=\"row\">%zu</th><td class=\"at\"><b>x %g</b> <b>y %g</b></td><td><b>",
              rank, point->x_mm, point->y_mm);
    add_spot(point, into);
    html_addf(into, SHEET_ROW, sf_method_text(point->method), sf_side_text(point->side),
              point->reason);
}

static void add_table(const worksheet *shown, text *into)
{
    text_add(into, SHEET_TABLE);
    for (size_t i = 0; i < shown->plan->count; i++)
        add_row(&shown->plan->points[i], i + 1, into);
    text_add(into, "</tbody>\n</table>\n");
}

void worksheet_html(const worksheet *shown, text *into)
{
    report_head(into, board_name(shown->job), "worksheet", "data:", &worksheet_css, NULL);
    html_addf(into, "<h1>%s: %zu place%s to read</h1>\n", board_name(shown->job),
              shown->plan->count, shown->plan->count == 1 ? "" : "s");
    add_cautions(shown, into);
    text_add(into, SHEET_CHECKS);
    add_picture(shown, into);
    text_add(into, SHEET_BLANKS);
    if (shown->plan->count > 0)
        add_table(shown, into);
    else
        text_add(into, "<p>No further reading is expected to change a verdict.</p>\n");
    text_add(into, SHEET_CLOSE);
    html_keep_units(into);
}
