/* Title, axes, scale bar and caution. */
#include "draw/furniture.h"

#include <math.h>
#include <stdio.h>

#include "draw/words.h"

static const char caution[] = "Guidance for maintenance, no safety certificate.";

double furniture_round_mm(double least_mm)
{
    static const double round_lengths[] = {1, 2, 5, 10};
    double ten = pow(10, floor(log10(least_mm)));
    for (int i = 0; i < 3; i++)
        if (round_lengths[i] * ten >= least_mm)
            return round_lengths[i] * ten;
    return 10 * ten;
}

void furniture_title(canvas *page, font *face, const layout *within, const sf_scene *scene)
{
    double em_px = within->em_px, y_px = within->title.top;
    for (size_t i = 0; i < scene->title_line_count; i++) {
        lettering style = {.size_px = (i == 0 ? 1.5 : 0.95) * em_px,
                           .bold = i == 0,
                           .laid = i == 0 ? INK_DARK : INK_GREY};
        char fitted[512];
        words_fit(face, &style, scene->title_lines[i], within->title.right - within->title.left,
                  fitted, sizeof fitted);
        y_px += i == 0 ? CAPITAL_HEIGHT * style.size_px : 1.4 * em_px;
        words_draw(page, face, &style, (place){within->title.left, y_px}, 0, fitted);
        y_px += i == 0 ? 0.35 * em_px : 0;
    }
}

static lettering small_grey(const layout *within)
{
    return (lettering){.size_px = 0.75 * within->em_px, .laid = INK_GREY};
}

/* step so that numbers along an axis of this many pixels a mm do not touch */
static double tick_step_mm(const layout *within, double apart_ems)
{
    return furniture_round_mm(apart_ems * within->em_px / within->frame.px_per_mm);
}

static void write_mm(double value_mm, char *text, size_t size)
{
    snprintf(text, size, "%.4g", value_mm);
}

/* the longest number of an axis tells how far apart ticks must be */
static void draw_x_axis(canvas *page, font *face, const layout *within, double width_mm)
{
    double em_px = within->em_px, y_px = within->plot.bottom, step_mm = tick_step_mm(within, 3);
    lettering style = small_grey(within);
    mask_line(&page->shapes, (place){within->board.left, y_px}, (place){within->board.right, y_px},
              0.06 * em_px);
    for (double x_mm = 0; x_mm <= width_mm * (1 + 1e-9); x_mm += step_mm) {
        double x_px = within->frame.left_px + x_mm * within->frame.px_per_mm;
        mask_line(&page->shapes, (place){x_px, y_px}, (place){x_px, y_px + 0.35 * em_px},
                  0.06 * em_px);
    }
    canvas_lay(page, INK_GREY, 1);
    for (double x_mm = 0; x_mm <= width_mm * (1 + 1e-9); x_mm += step_mm) {
        char number[SCALE_TEXT];
        bool last = x_mm + step_mm > width_mm * (1 + 1e-9);
        snprintf(number, sizeof number, last ? "%.4g mm" : "%.4g", x_mm);
        words_draw_centred(page, face, &style,
                           (place){within->frame.left_px + x_mm * within->frame.px_per_mm,
                                   y_px + 0.95 * em_px},
                           number);
    }
}

static void draw_y_axis(canvas *page, font *face, const layout *within, double height_mm)
{
    double em_px = within->em_px, x_px = within->plot.left, step_mm = tick_step_mm(within, 2.2);
    lettering style = small_grey(within);
    mask_line(&page->shapes, (place){x_px, within->board.top}, (place){x_px, within->board.bottom},
              0.06 * em_px);
    for (double y_mm = 0; y_mm <= height_mm * (1 + 1e-9); y_mm += step_mm) {
        double y_px = within->frame.bottom_px - y_mm * within->frame.px_per_mm;
        mask_line(&page->shapes, (place){x_px, y_px}, (place){x_px - 0.35 * em_px, y_px},
                  0.06 * em_px);
    }
    canvas_lay(page, INK_GREY, 1);
    for (double y_mm = 0; y_mm <= height_mm * (1 + 1e-9); y_mm += step_mm) {
        char number[SCALE_TEXT];
        write_mm(y_mm, number, sizeof number);
        place start = {x_px - 0.6 * em_px - words_width(face, &style, number),
                       within->frame.bottom_px - y_mm * within->frame.px_per_mm +
                           CAPITAL_HEIGHT / 2 * style.size_px};
        words_draw(page, face, &style, start, 0, number);
    }
}

void furniture_axes(canvas *page, font *face, const layout *within, const sf_board *board)
{
    draw_x_axis(page, face, within, board->width_mm);
    draw_y_axis(page, face, within, board->height_mm);
}

void furniture_scale_bar(canvas *page, font *face, const layout *within)
{
    double em_px = within->em_px, px_per_mm = within->frame.px_per_mm;
    double length_mm = furniture_round_mm(2.2 * em_px / px_per_mm);
    /* the longest round length that takes up at most seven ems */
    while (furniture_round_mm(length_mm * 1.01) * px_per_mm <= 7 * em_px)
        length_mm = furniture_round_mm(length_mm * 1.01);
    box in = within->scale_bar;
    double y_px = in.bottom - 0.4 * em_px, right = in.left + length_mm * px_per_mm;
    double ends[] = {in.left, right};
    mask_line(&page->shapes, (place){in.left, y_px}, (place){right, y_px}, 0.16 * em_px);
    for (int i = 0; i < 2; i++)
        mask_line(&page->shapes, (place){ends[i], y_px - 0.3 * em_px},
                  (place){ends[i], y_px + 0.3 * em_px}, 0.1 * em_px);
    canvas_lay(page, INK_DARK, 1);
    lettering style = {.size_px = 0.85 * em_px, .laid = INK_DARK};
    char words[SCALE_TEXT];
    snprintf(words, sizeof words, "%.4g mm", length_mm);
    words_draw(page, face, &style, (place){in.left, y_px - 0.65 * em_px}, 0, words);
}

void furniture_footer(canvas *page, font *face, const layout *within, const char *note)
{
    lettering style = small_grey(within);
    double y_px = within->footer.bottom;
    words_draw(page, face, &style, (place){within->footer.left, y_px}, 0, caution);
    double left = within->footer.left + words_width(face, &style, caution) + 2 * style.size_px;
    char fitted[256];
    words_fit(face, &style, note, within->footer.right - left, fitted, sizeof fitted);
    double width_px = words_width(face, &style, fitted);
    words_draw(page, face, &style, (place){within->footer.right - width_px, y_px}, 0, fitted);
}
