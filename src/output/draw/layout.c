/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Measuring the page. All lengths here are in ems unless their name says otherwise. */
#include "output/draw/layout.h"

#include <math.h>
#include <stdbool.h>

static const double ems_in_width = 84, em_least_px = 11;
static const double margin = 1.7, title_first = 2.2, title_more = 1.4, title_gap = 0.7;
static const double axis_left = 2.9, axis_below = 2.1; /* ticks and numbers */
static const double pad_axis = 1.0, pad_free = 1.2;    /* between board and axis, other sides */
static const double pad_over = 0.7;                    /* beyond what stands out over the board */
static const double plot_least_width = 26, plot_least_height = 10; /* labels need some room */
static const double column_gap = 1.6, column_least = 12;
static const double strip_height = 1.2, strip_least_width = 24, scale_title = 1.4;
static const double mm_height = 2.6, block_gap = 1.3, scale_gap = 0.5;
static const double footer_height = 1.5;
static const double height_most = 1.4142; /* of a picture in widths: an upright sheet */
static const double beside_least_ems = 52;

/* The page being measured. */
typedef struct measure {
    const layout_needs *needs;
    double em_px;
    double width, height_most; /* of the page */
    double title, column, legend;
    double board_width, board_height, em_per_mm;
    double pad_left, pad_right, pad_top, pad_bottom; /* between the board and the plot's sides */
} measure;

double layout_em(int width_px)
{
    return fmax(width_px / ems_in_width, em_least_px);
}

static double pad_of(double least, double over_mm, double em_per_mm)
{
    return fmax(least, over_mm > 0 ? over_mm * em_per_mm + pad_over : 0);
}

/* the largest scale at which a length, and on either side of it a pad or what stands out there,
 * takes up the room */
static double scale_in(double room, double length_mm, double pad, double over_mm, double other_pad,
                       double other_over_mm)
{
    double scale = (room - pad - other_pad) / length_mm;
    if (over_mm > 0)
        scale = fmin(scale, (room - pad_over - other_pad) / (length_mm + over_mm));
    if (other_over_mm > 0)
        scale = fmin(scale, (room - pad - pad_over) / (length_mm + other_over_mm));
    if (over_mm > 0 && other_over_mm > 0)
        scale = fmin(scale, (room - 2 * pad_over) / (length_mm + over_mm + other_over_mm));
    return scale;
}

/* the board as large as the room allows, and pads that leave labels room about a narrow one */
static void fit_board(measure *page, double room_width, double room_height)
{
    const layout_needs *needs = page->needs;
    const overhang *over = &needs->over;
    page->em_per_mm = fmin(scale_in(room_width, needs->board_width_mm, pad_axis, over->left_mm,
                                    pad_free, over->right_mm),
                           scale_in(room_height, needs->board_height_mm, pad_free, over->top_mm,
                                    pad_axis, over->bottom_mm));
    page->board_width = page->em_per_mm * needs->board_width_mm;
    page->board_height = page->em_per_mm * needs->board_height_mm;
    double least_width = fmin(plot_least_width, room_width - pad_axis - pad_free);
    double more_x = fmax(0, (least_width - page->board_width) / 2);
    double more_y = fmax(0, (plot_least_height - page->board_height) / 2);
    page->pad_left = pad_of(pad_axis + more_x, over->left_mm, page->em_per_mm);
    page->pad_right = pad_of(pad_free + more_x, over->right_mm, page->em_per_mm);
    page->pad_top = pad_of(pad_free + more_y, over->top_mm, page->em_per_mm);
    page->pad_bottom = pad_of(pad_axis + more_y, over->bottom_mm, page->em_per_mm);
}

static double plot_height(const measure *page)
{
    return page->pad_top + page->board_height + page->pad_bottom;
}

static double plot_width(const measure *page)
{
    return page->pad_left + page->board_width + page->pad_right;
}

static double scale_height(void)
{
    return 2 * SCALE_ROW + SCALE_RAIL + strip_height + SCALE_NUMBERS + scale_title;
}

/* axis, scale and the gap between them */
static double below_plot(void)
{
    return axis_below + scale_gap + scale_height();
}

/* sets the board's size for a column beside it; false where the column would stand out below */
static bool fits_beside(measure *page)
{
    if (page->width < beside_least_ems)
        return false;
    double room_width = page->width - 2 * margin - axis_left - column_gap - page->column;
    double room_height =
        page->height_most - 2 * margin - page->title - below_plot() - footer_height;
    fit_board(page, room_width, room_height);
    return page->legend + block_gap + mm_height <= plot_height(page) + below_plot();
}

static size_t columns_below(const measure *page)
{
    double room = page->width - 2 * margin, one = page->needs->legend_width_px / page->em_px + 2;
    double columns = fmax(1, floor((room + 2) / one));
    return (size_t)fmin(columns, fmax(1, (double)page->needs->legend_entries));
}

static double legend_below(const measure *page)
{
    size_t columns = columns_below(page);
    return LEGEND_LINE * (double)((page->needs->legend_entries + columns - 1) / columns);
}

static void fit_below(measure *page)
{
    double room_width = page->width - 2 * margin - axis_left;
    double room_height = page->height_most - 2 * margin - page->title - below_plot() -
                         2 * block_gap - legend_below(page) - mm_height - footer_height;
    fit_board(page, room_width, fmax(room_height, plot_least_height + pad_free + pad_axis));
}

/* title, plot and board, alike in both arrangements; left: of the axis numbers */
static void set_plot(const measure *page, double left, layout *made)
{
    double right = page->width - margin, top = margin + page->title;
    made->title = (box){margin, margin, right, margin + page->title};
    made->plot.left = left + axis_left;
    made->plot.top = top;
    made->plot.right = made->plot.left + plot_width(page);
    made->plot.bottom = top + plot_height(page);
    made->board.left = made->plot.left + page->pad_left;
    made->board.right = made->board.left + page->board_width;
    made->board.top = top + page->pad_top;
    made->board.bottom = made->board.top + page->board_height;
}

/* below the board and as wide, but that words need some room: `right` is as far as they may go */
static void set_scale(double left, double right, layout *made)
{
    double top = made->plot.bottom + axis_below + scale_gap;
    double strip = top + 2 * SCALE_ROW + SCALE_RAIL;
    bool wide = made->board.right - made->board.left >= strip_least_width;
    double from = wide ? made->board.left : left;
    double to = wide ? made->board.right : fmin(right, from + strip_least_width);
    made->scale = (box){from, top, to, top + scale_height()};
    made->strip = (box){from, strip, to, strip + strip_height};
}

static double set_column(const measure *page, layout *made)
{
    double left = made->plot.right + column_gap, right = left + page->column;
    double top = made->plot.top + pad_free;
    set_scale(made->plot.left, made->plot.right, made);
    double bottom = made->scale.bottom;
    made->scale_bar = (box){left, bottom - mm_height, right, bottom};
    made->legend = (box){left, top, right, top + page->legend};
    made->legend_columns = 1;
    return bottom;
}

static double set_rows(const measure *page, layout *made)
{
    double right = page->width - margin;
    set_scale(margin + 0.5, right - 0.5, made);
    double top = made->scale.bottom + block_gap;
    made->legend = (box){margin, top, right, top + legend_below(page)};
    made->legend_columns = columns_below(page);
    made->scale_bar =
        (box){margin + 0.5, made->legend.bottom, right, made->legend.bottom + mm_height};
    return made->scale_bar.bottom + block_gap;
}

static box in_pixels(box ems, double em_px)
{
    return (box){ems.left * em_px, ems.top * em_px, ems.right * em_px, ems.bottom * em_px};
}

static void turn_into_pixels(const measure *page, double bottom, layout *made)
{
    double em_px = made->em_px = page->em_px;
    box *boxes[] = {&made->title, &made->board,  &made->plot,      &made->scale,
                    &made->strip, &made->legend, &made->scale_bar, &made->footer};
    made->footer = (box){margin, bottom, page->width - margin, bottom + footer_height};
    for (size_t i = 0; i < sizeof boxes / sizeof boxes[0]; i++)
        *boxes[i] = in_pixels(*boxes[i], em_px);
    made->frame.width_px = page->needs->width_px;
    made->frame.height_px = (int)ceil((bottom + footer_height + margin) * em_px);
    made->frame.left_px = made->board.left;
    made->frame.bottom_px = made->board.bottom;
    made->frame.px_per_mm = page->em_per_mm * em_px;
}

layout layout_make(const layout_needs *needs)
{
    layout made = {0};
    measure page = {.needs = needs, .em_px = layout_em(needs->width_px)};
    page.width = needs->width_px / page.em_px;
    page.height_most = height_most * page.width;
    page.title = needs->title_lines == 0
                     ? 0
                     : title_first + title_gap + title_more * (double)(needs->title_lines - 1);
    page.column = fmax(column_least, needs->legend_width_px / page.em_px);
    page.legend = LEGEND_LINE * (double)needs->legend_entries;
    double bottom;
    if (fits_beside(&page)) {
        double whole = axis_left + plot_width(&page) + column_gap + page.column;
        set_plot(&page, fmax(margin, (page.width - whole) / 2), &made);
        bottom = set_column(&page, &made);
    } else {
        fit_below(&page);
        double whole = axis_left + plot_width(&page);
        set_plot(&page, fmax(margin, (page.width - whole - axis_left) / 2), &made);
        bottom = set_rows(&page, &made);
    }
    turn_into_pixels(&page, bottom, &made);
    return made;
}
