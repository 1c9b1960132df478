/* Measuring the page. All lengths here are in ems unless their name says otherwise. */
#include "output/draw/layout.h"

#include <math.h>

static const double ems_in_width = 84, em_least_px = 11;
static const double margin = 1.7, title_first = 2.2, title_more = 1.4, title_gap = 0.7;
static const double axis_left = 2.9, axis_below = 2.1; /* ticks and numbers */
static const double pad_axis = 1.0, pad_free = 1.2;    /* between board and axis, other sides */
static const double pad_over = 0.4;                    /* beyond what stands out over the board */
static const double plot_least_width = 14, plot_least_height = 10; /* labels need some room */
static const double column_gap = 1.6, column_least = 12;
static const double bar_width = 1.3, bar_least = 9, bar_most = 30;
static const double bar_title = 1.9, bar_title_level = 2.8; /* a level bar has zone names above */
static const double bar_numbers = 1.6, scale_height = 2.6, block_gap = 1.3;
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

static double column_height(const measure *page)
{
    return bar_title + bar_least + 2 * block_gap + page->legend + scale_height;
}

/* sets the board's size for a column beside it; false where the column would stand out below */
static bool fits_beside(measure *page)
{
    if (page->width < beside_least_ems)
        return false;
    double room_width = page->width - 2 * margin - axis_left - column_gap - page->column;
    double room_height = page->height_most - 2 * margin - page->title - axis_below - footer_height;
    fit_board(page, room_width, room_height);
    return column_height(page) <= plot_height(page) + axis_below;
}

static double bar_block(void)
{
    return bar_title_level + bar_width + bar_numbers;
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
    double room_height = page->height_most - 2 * margin - page->title - axis_below - 2 * block_gap -
                         bar_block() - legend_below(page) - footer_height;
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

static double set_column(const measure *page, layout *made)
{
    double left = made->plot.right + column_gap, right = left + page->column;
    double top = made->plot.top + pad_free, bottom = made->plot.bottom + axis_below;
    double spare = bottom - top - bar_title - 2 * block_gap - page->legend - scale_height;
    double bar_bottom = top + bar_title + fmin(spare, bar_most);
    made->bar = (box){left, top + bar_title, left + bar_width, bar_bottom};
    made->bar_upright = true;
    made->scale_bar = (box){left, bottom - scale_height, right, bottom};
    made->legend =
        (box){left, bar_bottom + block_gap, right, bar_bottom + block_gap + page->legend};
    made->legend_columns = 1;
    return bottom;
}

static double set_rows(const measure *page, layout *made)
{
    double right = page->width - margin, top = made->plot.bottom + axis_below + block_gap;
    double middle = margin + 0.66 * (right - margin), below = top + bar_block() + block_gap;
    double strip = top + bar_title_level;
    made->bar = (box){margin + 0.5, strip, middle, strip + bar_width};
    made->bar_upright = false;
    made->scale_bar =
        (box){middle + 2.5, top + bar_block() - scale_height, right, top + bar_block()};
    made->legend = (box){margin, below, right, below + legend_below(page)};
    made->legend_columns = columns_below(page);
    return made->legend.bottom;
}

static box in_pixels(box ems, double em_px)
{
    return (box){ems.left * em_px, ems.top * em_px, ems.right * em_px, ems.bottom * em_px};
}

static void turn_into_pixels(const measure *page, double bottom, layout *made)
{
    double em_px = made->em_px = page->em_px;
    box *boxes[] = {&made->title,  &made->board,     &made->plot,  &made->bar,
                    &made->legend, &made->scale_bar, &made->footer};
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
