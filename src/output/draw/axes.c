/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Title, axes, scale bar and caution. */
#include "output/draw/axes.h"

#include <math.h>
#include <stdio.h>

#include "output/draw/mask.h"
#include "output/draw/text_lines.h"

static const char caution[] =
    "Guidance for maintenance, not a safety certificate. Isolate and discharge before you touch.";

/* A round length in mm, 1, 2 or 5 times a power of ten, at least so long. */
static double axes_round_mm(double least_mm)
{
    static const double round_lengths[] = {1, 2, 5, 10};
    double ten = pow(10, floor(log10(least_mm)));
    for (int i = 0; i < 3; i++)
        if (round_lengths[i] * ten >= least_mm)
            return round_lengths[i] * ten;
    return 10 * ten;
}

/* a long line is set smaller before it is cut */
static void shrink_to_fit(font *face, text_style *style, const char *words, double room_px)
{
    double width_px = words_width(face, style, words);
    if (width_px > room_px)
        style->size_px *= fmax(room_px / width_px, 0.65);
}

void axes_title(canvas *page, font *face, const layout *within, const sf_scene *scene)
{
    double em_px = within->em_px, y_px = within->title.top;
    for (size_t i = 0; i < scene->title_line_count; i++) {
        text_style style = {.size_px = (i == 0 ? 1.5 : 0.95) * em_px,
                            .bold = i == 0,
                            .laid = i == 0 ? PEN_DARK : PEN_GREY};
        double room_px = within->title.right - within->title.left;
        char fitted[512];
        shrink_to_fit(face, &style, scene->title_lines[i], room_px);
        words_fit(face, &style, scene->title_lines[i], room_px, fitted, sizeof fitted);
        y_px += i == 0 ? CAPITAL_HEIGHT * style.size_px : 1.4 * em_px;
        words_draw(page, face, &style, (place){within->title.left, y_px}, 0, fitted);
        y_px += i == 0 ? 0.35 * em_px : 0;
    }
}

static text_style small_grey(const layout *within)
{
    return (text_style){.size_px = 0.75 * within->em_px, .laid = PEN_GREY};
}

/* An axis: `at` and what follows count along it, in mm from the board's corner. */
typedef struct axis {
    double length_mm, step_mm;
    size_t ticks;
} axis;

/* ticks so far apart that their numbers do not touch */
static axis axis_make(const layout *within, double length_mm, double apart_ems)
{
    axis made = {.length_mm = length_mm};
    made.step_mm = axes_round_mm(apart_ems * within->em_px / within->frame.px_per_mm);
    made.ticks = 1 + (size_t)(length_mm / made.step_mm + 1e-9);
    return made;
}

static void write_mm(double value_mm, bool with_unit, char text[SCALE_TEXT])
{
    snprintf(text, SCALE_TEXT, with_unit ? "%.4g mm" : "%.4g", value_mm);
}

static void draw_x_axis(canvas *page, font *face, const layout *within, double width_mm)
{
    double em_px = within->em_px, y_px = stroke_crisp(within->plot.bottom), line_px = 0.06 * em_px;
    axis along = axis_make(within, width_mm, 3);
    text_style style = small_grey(within);
    mask_line(&page->shapes, (place){stroke_crisp(within->board.left), y_px},
              (place){stroke_crisp(within->board.right), y_px}, line_px);
    for (size_t i = 0; i < along.ticks; i++) {
        double x_mm = (double)i * along.step_mm;
        double x_px = within->frame.left_px + x_mm * within->frame.px_per_mm;
        char number[SCALE_TEXT];
        write_mm(x_mm, i + 1 == along.ticks, number);
        mask_line(&page->shapes, (place){stroke_crisp(x_px), y_px},
                  (place){stroke_crisp(x_px), y_px + 0.35 * em_px}, line_px);
        canvas_lay(page, PEN_GREY, 1);
        words_draw_centred(page, face, &style, (place){x_px, y_px + 0.95 * em_px}, number);
    }
}

static void draw_y_axis(canvas *page, font *face, const layout *within, double height_mm)
{
    double em_px = within->em_px, x_px = stroke_crisp(within->plot.left), line_px = 0.06 * em_px;
    axis along = axis_make(within, height_mm, 2.4);
    text_style style = small_grey(within);
    mask_line(&page->shapes, (place){x_px, stroke_crisp(within->board.top)},
              (place){x_px, stroke_crisp(within->board.bottom)}, line_px);
    for (size_t i = 0; i < along.ticks; i++) {
        double y_mm = (double)i * along.step_mm;
        double y_px = within->frame.bottom_px - y_mm * within->frame.px_per_mm;
        char number[SCALE_TEXT];
        write_mm(y_mm, false, number);
        mask_line(&page->shapes, (place){x_px, stroke_crisp(y_px)},
                  (place){x_px - 0.35 * em_px, stroke_crisp(y_px)}, line_px);
        canvas_lay(page, PEN_GREY, 1);
        words_draw(page, face, &style,
                   (place){x_px - 0.6 * em_px - words_width(face, &style, number),
                           y_px + CAPITAL_HEIGHT / 2 * style.size_px},
                   0, number);
    }
}

void axes_draw(canvas *page, font *face, const layout *within, const sf_board *board)
{
    draw_x_axis(page, face, within, board->width_mm);
    draw_y_axis(page, face, within, board->height_mm);
}

void axes_scale_bar(canvas *page, font *face, const layout *within)
{
    double em_px = within->em_px, px_per_mm = within->frame.px_per_mm;
    double length_mm = axes_round_mm(2.2 * em_px / px_per_mm);
    /* the longest round length that takes up at most seven ems */
    while (axes_round_mm(length_mm * 1.01) * px_per_mm <= 7 * em_px)
        length_mm = axes_round_mm(length_mm * 1.01);
    box in = within->scale_bar;
    double y_px = stroke_crisp(in.bottom - 0.4 * em_px), right = in.left + length_mm * px_per_mm;
    double ends[] = {in.left, right};
    mask_line(&page->shapes, (place){in.left, y_px}, (place){right, y_px}, 0.16 * em_px);
    for (int i = 0; i < 2; i++)
        mask_line(&page->shapes, (place){ends[i], y_px - 0.3 * em_px},
                  (place){ends[i], y_px + 0.3 * em_px}, 0.1 * em_px);
    canvas_lay(page, PEN_DARK, 1);
    text_style style = {.size_px = 0.85 * em_px, .laid = PEN_DARK};
    char words[SCALE_TEXT];
    snprintf(words, sizeof words, "%.4g mm", length_mm);
    words_draw(page, face, &style, (place){in.left, y_px - 0.65 * em_px}, 0, words);
}

void axes_footer(canvas *page, font *face, const layout *within, const char *note)
{
    text_style style = small_grey(within);
    double y_px = within->footer.bottom;
    words_draw(page, face, &style, (place){within->footer.left, y_px}, 0, caution);
    double left = within->footer.left + words_width(face, &style, caution) + 2 * style.size_px;
    char fitted[256];
    words_fit(face, &style, note, within->footer.right - left, fitted, sizeof fitted);
    double width_px = words_width(face, &style, fitted);
    words_draw(page, face, &style, (place){within->footer.right - width_px, y_px}, 0, fitted);
}
