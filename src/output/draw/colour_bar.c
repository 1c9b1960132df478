/* The colour bar, upright beside the board or level below it. */
#include <math.h>
#include <stdio.h>

#include "output/draw/furniture.h"
#include "output/draw/strokes.h"
#include "output/draw/words.h"

/* The bar's geometry: a share of the scale to a place along the strip. */
static double along_bar(const layout *within, double share)
{
    return within->bar_upright ? within->bar.bottom - share * (within->bar.bottom - within->bar.top)
                               : within->bar.left + share * (within->bar.right - within->bar.left);
}

static void fill_strip(canvas *page, const layout *within)
{
    int left = (int)within->bar.left, right = (int)within->bar.right;
    int top = (int)within->bar.top, bottom = (int)within->bar.bottom;
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++) {
            double share = within->bar_upright ? (bottom - y - 0.5) / (bottom - top)
                                               : (x + 0.5 - left) / (right - left);
            page->image->pixels[y][x] = ink_map_index(share);
        }
}

static void draw_frame(canvas *page, const layout *within)
{
    double left = stroke_crisp(within->bar.left), right = stroke_crisp(within->bar.right);
    double top = stroke_crisp(within->bar.top), bottom = stroke_crisp(within->bar.bottom);
    place corners[] = {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
    stroke_outline(&page->shapes, corners, 4, 0.06 * within->em_px);
    canvas_lay(page, INK_DARK, 1);
}

/* a stroke from the strip's far side, `inside` ems into it and `outside` ems out of it */
static void draw_tick(canvas *page, const layout *within, double at_px, double inside,
                      double outside, double width_px)
{
    double em_px = within->em_px;
    at_px = stroke_crisp(at_px);
    if (within->bar_upright)
        mask_line(&page->shapes, (place){within->bar.right - inside * em_px, at_px},
                  (place){within->bar.right + outside * em_px, at_px}, width_px);
    else
        mask_line(&page->shapes, (place){at_px, within->bar.bottom - inside * em_px},
                  (place){at_px, within->bar.bottom + outside * em_px}, width_px);
}

static void draw_levels(canvas *page, font *face, const layout *within, const value_scale *scale)
{
    double em_px = within->em_px;
    lettering style = {.size_px = 0.85 * em_px, .laid = INK_DARK};
    for (size_t i = 0; i < scale->level_count; i++)
        draw_tick(page, within, along_bar(within, scale_share(scale, scale->levels[i])), 0, 0.35,
                  0.06 * em_px);
    canvas_lay(page, INK_DARK, 1);
    for (size_t i = 0; i < scale->level_count; i++) {
        double at_px = along_bar(within, scale_share(scale, scale->levels[i]));
        char number[SCALE_TEXT];
        scale_write_level(scale, scale->levels[i], number);
        if (within->bar_upright)
            words_draw(page, face, &style,
                       (place){within->bar.right + 0.6 * em_px,
                               at_px + CAPITAL_HEIGHT / 2 * style.size_px},
                       0, number);
        else
            words_draw_centred(page, face, &style, (place){at_px, within->bar.bottom + em_px},
                               number);
    }
}

/* where a zone begins: a heavy stroke across the strip, its name beyond the numbers or above */
static void draw_edge(canvas *page, font *face, const layout *within, double share,
                      const char *name)
{
    double em_px = within->em_px, at_px = along_bar(within, share);
    double across = within->bar_upright ? within->bar.right - within->bar.left
                                        : within->bar.bottom - within->bar.top;
    lettering style = {.size_px = 0.85 * em_px, .bold = true, .laid = INK_DARK};
    draw_tick(page, within, at_px, across / em_px, 0, 0.34 * em_px);
    canvas_lay(page, INK_PAPER, 0.85);
    draw_tick(page, within, at_px, across / em_px, 0, 0.16 * em_px);
    canvas_lay(page, INK_DARK, 1);
    place start = {within->bar.right + 2.7 * em_px, at_px + CAPITAL_HEIGHT / 2 * style.size_px};
    if (within->bar_upright)
        words_draw(page, face, &style, start, 0, name);
    else
        words_draw_centred(page, face, &style, (place){at_px, within->bar.top - 0.65 * em_px},
                           name);
}

static void draw_title(canvas *page, font *face, const layout *within, const value_scale *scale,
                       const char *quantity)
{
    double em_px = within->em_px;
    lettering style = {.size_px = 0.95 * em_px, .laid = INK_DARK};
    char words[128], fitted[128];
    snprintf(words, sizeof words, "%.90s, %.12s", quantity, scale->unit);
    double room_px = within->bar_upright ? within->frame.width_px - within->bar.left - em_px
                                         : within->bar.right - within->bar.left;
    words_fit(face, &style, words, room_px, fitted, sizeof fitted);
    words_draw(
        page, face, &style,
        (place){within->bar.left, within->bar.top - (within->bar_upright ? 0.85 : 1.8) * em_px}, 0,
        fitted);
}

void furniture_colour_bar(canvas *page, font *face, const layout *within, const value_scale *scale,
                          const zone_edges *edges, const char *quantity)
{
    fill_strip(page, within);
    draw_frame(page, within);
    draw_levels(page, face, within, scale);
    if (!isnan(edges->warm_from))
        draw_edge(page, face, within, scale_share(scale, edges->warm_from), "warm");
    if (!isnan(edges->hot_from))
        draw_edge(page, face, within, scale_share(scale, edges->hot_from), "hot");
    draw_title(page, face, within, scale, quantity);
}
