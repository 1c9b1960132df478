/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Setting lines of text: UTF-8, the pen's way, halo before letters. */
#include "output/draw/text_lines.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "core/text.h"

/* Reads one letter and steps on; a stretch that is no UTF-8, and a control code, read as one
 * question mark. */
static unsigned next_letter(const char **at)
{
    const unsigned char *bytes = (const unsigned char *)*at;
    size_t length = utf8_length(bytes, bytes + strnlen(*at, 4));
    unsigned codepoint = length > 0 ? utf8_code(bytes, length) : 0;
    *at += length > 0 ? length : 1;
    while (length == 0 && (**at & 0xC0) == 0x80)
        *at += 1;
    return codepoint < 0x20 || codepoint == 0x7F ? '?' : codepoint;
}

static glyph_key key_of(const text_style *style, unsigned codepoint)
{
    return (glyph_key){.codepoint = codepoint,
                       .size_eighths = (int)lrint(style->size_px * 8),
                       .bold = style->bold};
}

double words_width(font *face, const text_style *style, const char *words)
{
    double width_px = 0;
    unsigned before = 0;
    for (const char *at = words; *at;) {
        unsigned codepoint = next_letter(&at);
        glyph_key key = key_of(style, codepoint);
        const glyph *letter = font_glyph(face, &key);
        width_px += font_kerning(face, before, codepoint) * style->size_px;
        width_px += letter ? letter->advance_px : 0;
        before = codepoint;
    }
    return width_px;
}

/* Stamps a letter with the pen at a place; returns how far the pen goes on. */
static double stamp(canvas *page, font *face, glyph_key key, place foot)
{
    double half_x = floor(foot.x_px * 2 + 0.5), half_y = floor(foot.y_px * 2 + 0.5);
    /* level text sits on whole pixel rows, where hints expect it */
    if (key.angle_deg == 0)
        half_y = 2 * floor(foot.y_px + 0.5);
    int column = (int)floor(half_x / 2), row = (int)floor(half_y / 2);
    key.shift_x = (int)half_x - 2 * column;
    key.shift_y = (int)half_y - 2 * row;
    const glyph *letter = font_glyph(face, &key);
    if (!letter) {
        page->shapes.failed = true;
        return 0;
    }
    if (letter->cover)
        mask_stamp(&page->shapes, letter->cover, letter->width, letter->height,
                   column + letter->left, row + letter->top);
    return letter->advance_px;
}

static void stamp_all(canvas *page, font *face, const text_style *style, place start, int angle_deg,
                      double halo_px, const char *words)
{
    double angle = angle_deg * acos(-1) / 180, along_px = 0;
    unsigned before = 0;
    for (const char *at = words; *at;) {
        unsigned codepoint = next_letter(&at);
        glyph_key key = key_of(style, codepoint);
        key.angle_deg = angle_deg;
        key.halo_eighths = (int)lrint(halo_px * 8);
        along_px += font_kerning(face, before, codepoint) * style->size_px;
        place foot = {start.x_px + along_px * cos(angle), start.y_px - along_px * sin(angle)};
        along_px += stamp(page, face, key, foot);
        before = codepoint;
    }
}

void words_draw(canvas *page, font *face, const text_style *style, place start, int angle_deg,
                const char *words)
{
    if (style->halo_px > 0) {
        stamp_all(page, face, style, start, angle_deg, style->halo_px, words);
        canvas_lay(page, style->halo, style->halo == PEN_PAPER ? 0.85 : 0.5);
    }
    stamp_all(page, face, style, start, angle_deg, 0, words);
    canvas_lay(page, style->laid, 1);
}

void words_draw_centred(canvas *page, font *face, const text_style *style, place centre,
                        const char *words)
{
    place start = {centre.x_px - words_width(face, style, words) / 2,
                   centre.y_px + CAPITAL_HEIGHT / 2 * style->size_px};
    words_draw(page, face, style, start, 0, words);
}

void words_fit(font *face, const text_style *style, const char *words, double width_px,
               char *fitted, size_t size)
{
    double dots_px = words_width(face, style, "..."), so_far_px = 0;
    const char *at = words, *kept = words;
    while (*at) {
        const char *letter = at;
        char alone[8] = {0};
        next_letter(&at);
        memcpy(alone, letter, (size_t)(at - letter));
        so_far_px += words_width(face, style, alone);
        if (so_far_px > width_px || (size_t)(at - words) >= size)
            break;
        if (so_far_px + dots_px <= width_px && (size_t)(at - words) + 3 < size)
            kept = at;
    }
    bool whole = !*at && so_far_px <= width_px && (size_t)(at - words) < size;
    size_t length = (size_t)((whole ? at : kept) - words);
    memcpy(fitted, words, length);
    memcpy(fitted + length, whole ? "" : "...", whole ? 1 : 4);
}
