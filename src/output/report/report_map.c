/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The heat map, with a ring over each part that shows when its row is pointed at. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"
#include "output/set_words.h"

/* Room between a part and its ring, and the smallest ring, in pixels of the picture. */
static const double ring_gap_px = 8, ring_least_px = 18;

static void add_label(const report *shown, size_t index, text *into)
{
    const sf_part_result *result = &shown->outcome->results[index];
    html_addf(into, "%s: %s, %.0f \u00B0C", shown->outcome->job->parts[index].ref,
              sf_verdict_text(result->verdict), result->temp_c);
    if (isfinite(result->used))
        html_addf(into, ", %e %% of its rated life used", result->used);
}

static void add_circle(const char *name, double x, double y, double radius, text *into)
{
    text_addf(into, "<circle class=\"%s\" cx=\"%.0f\" cy=\"%.0f\" r=\"%.0f\"></circle>", name, x, y,
              radius);
}

static void add_ring(const report *shown, size_t index, text *into)
{
    const sf_part *part = &shown->outcome->job->parts[index];
    const sf_picture_frame *frame = &shown->pictures->frame;
    double x = frame->left_px + part->x_mm * frame->px_per_mm;
    double y = frame->bottom_px - part->y_mm * frame->px_per_mm;
    double radius = fmax(part->diameter_mm / 2 * frame->px_per_mm + ring_gap_px, ring_least_px);
    text_addf(into, "<a id=\"ring-%zu\" href=\"#part-%zu\" data-part=\"%zu\"><title>", index + 1,
              index + 1, index + 1);
    add_label(shown, index, into);
    text_add(into, "</title>");
    add_circle("halo", x, y, radius, into);
    add_circle("ring", x, y, radius, into);
    text_add(into, "</a>\n");
}

static void add_picture(const report *shown, text *into)
{
    const sf_pictures *pictures = shown->pictures;
    html_addf(into, MAP_PICTURE, pictures->frame.width_px, pictures->frame.height_px,
              shown->heat.most_c, shown->heat.most_x_mm, shown->heat.most_y_mm, shown->heat.least_c,
              shown->counts[SF_REPLACE], shown->counts[SF_CHECK], shown->counts[SF_LEAVE]);
    html_png(into, pictures->heat_png, pictures->heat_png_size);
    text_add(into, "\">\n");
}

void report_map(const report *shown, text *into)
{
    const sf_picture_frame *frame = &shown->pictures->frame;
    size_t parts = shown->outcome->job->part_count;
    text_add(into, "<figure class=\"map\" id=\"heat\">\n<div class=\"plate\">\n");
    add_picture(shown, into);
    text_addf(into, MAP_OVERLAY, frame->width_px, frame->height_px);
    for (size_t i = 0; i < parts && i < REPORT_ROWS_MAX; i++)
        add_ring(shown, shown->order[i], into);
    text_add(into, MAP_CAPTION);
}
