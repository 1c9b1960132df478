/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Opening a font, and keeping the letters drawn. */
#include "output/draw/font.h"

#include <gdfontg.h>
#include <gdfonts.h>
#include <gdfontt.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_OUTLINE_H

#include "core/memory.h"
#include "spotfield/status.h"

/* --- the two sources of letters, libgd's bitmap fonts and a FreeType face --- */

/* Letters from libgd's built-in bitmap fonts, for machines without a TrueType file: plain ASCII
 * and the degree sign, enlarged by whole numbers. */

enum { KEPT = 1024 };

typedef struct kept_glyph {
    glyph_key key;
    glyph drawn;
    bool used;
} kept_glyph;

struct font {
    FT_Library library;
    FT_Face face;     /* NULL: bitmap letters */
    int size_eighths; /* the face is set to */
    bool failed;
    kept_glyph kept[KEPT]; /* a letter has one place; a newcomer to it drives the old one out */
};

/* a line of bitmap letters is about this many times their em */
static const double line_height = 1.2;
/* of a cell, how much lies above the base line */
static const double base_share = 0.78;

/* A bitmap font and its enlargement. */
typedef struct bitmap_choice {
    gdFontPtr cells;
    int scale;
} bitmap_choice;

static bitmap_choice choose(double size_px)
{
    gdFontPtr fonts[] = {gdFontGetTiny(), gdFontGetSmall(), gdFontGetGiant()};
    bitmap_choice best = {fonts[0], 1};
    double least = INFINITY, wanted = size_px * line_height;
    for (int i = 0; i < 3; i++) {
        int scale = (int)fmax(1, round(wanted / fonts[i]->h));
        double off = fabs(scale * fonts[i]->h - wanted);
        if (off < least) {
            least = off;
            best = (bitmap_choice){fonts[i], scale};
        }
    }
    return best;
}

/* the fonts are coded in ISO 8859-2: of what lies beyond ASCII only the degree sign is ours */
static int cell_of(const gdFont *cells, unsigned codepoint)
{
    unsigned known = codepoint < 127 || codepoint == 0xB0 ? codepoint : '?';
    int cell = (int)known - cells->offset;
    return cell >= 0 && cell < cells->nchars ? cell : '?' - cells->offset;
}

/* Whether the pixel of the turned, enlarged letter whose middle lies (x, y) from the pen is set. */
static bool is_set(bitmap_choice choice, int cell, double x, double y, double angle)
{
    const gdFont *cells = choice.cells;
    double along = x * cos(angle) - y * sin(angle), down = x * sin(angle) + y * cos(angle);
    int column = (int)floor(along / choice.scale);
    int row = (int)floor((down + base_share * cells->h * choice.scale) / choice.scale);
    if (column < 0 || column >= cells->w || row < 0 || row >= cells->h)
        return false;
    return cells->data[(cell * cells->h + row) * cells->w + column] != 0;
}

/* the square about the pen that holds the letter at any turn */
static int reach_of(bitmap_choice choice)
{
    return (int)ceil(hypot(choice.cells->w, choice.cells->h) * choice.scale);
}

/* The same from the bitmap fonts. */
static bool bitmap_draw(const glyph_key *key, glyph *drawn)
{
    bitmap_choice choice = choose(key->size_eighths / 8.0);
    int cell = cell_of(choice.cells, key->codepoint), reach = reach_of(choice);
    double angle = key->angle_deg * acos(-1) / 180;
    *drawn = (glyph){.left = -reach, .top = -reach, .width = 2 * reach, .height = 2 * reach};
    drawn->advance_px = choice.cells->w * choice.scale;
    drawn->cover = array_new((size_t)drawn->width, (size_t)drawn->height);
    if (!drawn->cover)
        return false;
    for (int y = 0; y < drawn->height; y++)
        for (int x = 0; x < drawn->width; x++)
            if (is_set(choice, cell, x + 0.5 - reach, y + 0.5 - reach, angle))
                drawn->cover[y * drawn->width + x] = 255;
    return true;
}

/* --- a FreeType face --- */

/* Letters from a TrueType file. FreeType is asked directly: libgd's own text finds fonts through
 * the system's settings, and lays out each string anew. */

static void close_face(font *of)
{
    if (of->face)
        FT_Done_Face(of->face);
    if (of->library)
        FT_Done_FreeType(of->library);
    of->face = NULL;
    of->library = NULL;
}

/* SF_ERROR_ARGUMENT where the file is no font FreeType reads; the letters are then bitmaps still.
 */
static sf_status open_face(font *of, const char *path)
{
    if (FT_Init_FreeType(&of->library) != 0)
        return SF_ERROR_MEMORY;
    FT_Error error = FT_New_Face(of->library, path, 0, &of->face);
    if (error == 0 && FT_IS_SCALABLE(of->face))
        return SF_OK;
    close_face(of);
    return error == FT_Err_Out_Of_Memory ? SF_ERROR_MEMORY : SF_ERROR_ARGUMENT;
}

static bool set_size(font *of, int size_eighths)
{
    if (of->size_eighths == size_eighths)
        return true;
    of->size_eighths = size_eighths;
    /* at 72 dots per inch a point is a pixel; the size is in 1/64 */
    return FT_Set_Char_Size(of->face, 0, size_eighths * 8, 72, 72) == 0;
}

/* weight is added evenly to both sides; strength by eye, no source */
static void embolden(FT_Outline *outline, int size_eighths)
{
    FT_Pos strength = size_eighths * 8 * 11 / 200;
    FT_Outline_Embolden(outline, strength);
    FT_Outline_Translate(outline, -strength / 2, -strength / 2);
}

static void turn(FT_Outline *outline, int angle_deg)
{
    double angle = angle_deg * acos(-1) / 180, one = 65536;
    FT_Fixed along = lround(one * cos(angle)), across = lround(one * sin(angle));
    FT_Matrix matrix = {along, -across, across, along};
    FT_Outline_Transform(outline, &matrix);
}

static bool copy_bitmap(FT_GlyphSlot slot, glyph *drawn)
{
    const FT_Bitmap *bitmap = &slot->bitmap;
    drawn->left = slot->bitmap_left;
    drawn->top = -slot->bitmap_top;
    drawn->width = (int)bitmap->width;
    drawn->height = (int)bitmap->rows;
    if (bitmap->width == 0 || bitmap->rows == 0)
        return true;
    drawn->cover = array_new(bitmap->rows, bitmap->width);
    if (!drawn->cover)
        return false;
    for (unsigned y = 0; y < bitmap->rows; y++)
        memcpy(drawn->cover + y * bitmap->width, bitmap->buffer + (int)y * bitmap->pitch,
               bitmap->width);
    return true;
}

/* Draws a letter without its halo, its cover freed with free(); false when memory is short. */
static bool draw_bare(font *from, const glyph_key *key, glyph *drawn)
{
    if (!from->face)
        return bitmap_draw(key, drawn);
    FT_GlyphSlot slot = from->face->glyph;
    /* hints make stems crisp along the pixel rows, and would bend a turned letter */
    FT_Int32 hints = key->angle_deg == 0 ? FT_LOAD_TARGET_LIGHT : FT_LOAD_NO_HINTING;
    if (!set_size(from, key->size_eighths) ||
        FT_Load_Char(from->face, key->codepoint, FT_LOAD_NO_BITMAP | hints) != 0)
        return false;
    drawn->advance_px = (double)slot->linearHoriAdvance / 65536;
    if (key->bold)
        embolden(&slot->outline, key->size_eighths);
    if (key->angle_deg != 0)
        turn(&slot->outline, key->angle_deg);
    FT_Outline_Translate(&slot->outline, key->shift_x * 32, -key->shift_y * 32);
    return FT_Render_Glyph(slot, FT_RENDER_MODE_NORMAL) == 0 && copy_bitmap(slot, drawn);
}

static const char *const usual_paths[] = {
    "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf",
    "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf",
    "/usr/share/fonts/dejavu/DejaVuSans.ttf",
    "/usr/share/fonts/TTF/DejaVuSans.ttf",
    "/usr/local/share/fonts/dejavu/DejaVuSans.ttf",
};

sf_status font_open_bitmap(font **opened)
{
    *opened = array_new(1, sizeof **opened);
    return *opened ? SF_OK : SF_ERROR_MEMORY;
}

sf_status font_open(const char *path, font **opened)
{
    sf_status status = font_open_bitmap(opened);
    if (status != SF_OK)
        return status;
    if (path)
        status = open_face(*opened, path);
    else
        for (size_t i = 0; i < sizeof usual_paths / sizeof usual_paths[0]; i++)
            if (open_face(*opened, usual_paths[i]) == SF_OK)
                break;
    if (status != SF_OK) {
        font_close(*opened);
        *opened = NULL;
    }
    return status;
}

void font_close(font *closed)
{
    if (!closed)
        return;
    for (int i = 0; i < KEPT; i++)
        free(closed->kept[i].drawn.cover);
    close_face(closed);
    free(closed);
}

static unsigned place_of(const glyph_key *key)
{
    unsigned mixed = key->codepoint * 2654435761u;
    mixed ^= (unsigned)key->size_eighths * 40503u + (unsigned)key->halo_eighths * 2246822519u;
    mixed ^= (unsigned)(key->angle_deg * 4 + key->shift_x * 2 + key->shift_y) * 3266489917u;
    mixed ^= key->bold ? 668265263u : 0;
    return (mixed ^ mixed >> 15) % KEPT;
}

static bool same_key(const glyph_key *a, const glyph_key *b)
{
    return a->codepoint == b->codepoint && a->size_eighths == b->size_eighths &&
           a->halo_eighths == b->halo_eighths && a->angle_deg == b->angle_deg &&
           a->shift_x == b->shift_x && a->shift_y == b->shift_y && a->bold == b->bold;
}

/* How strongly a halo covers at a distance from its letter: whole, fading over its last pixel. */
typedef struct brush {
    int margin, width;
    unsigned short *weights; /* of 256 */
} brush;

static bool make_brush(double reach_px, brush *made)
{
    made->margin = (int)ceil(reach_px);
    made->width = 2 * made->margin + 1;
    made->weights = array_new((size_t)made->width, (size_t)made->width * sizeof *made->weights);
    for (int i = 0; made->weights && i < made->width * made->width; i++) {
        int dx = i % made->width - made->margin, dy = i / made->width - made->margin;
        double share = reach_px + 0.5 - hypot(dx, dy);
        made->weights[i] = (unsigned short)(256 * fmin(fmax(share, 0), 1));
    }
    return made->weights != NULL;
}

static void spread(glyph *grown, const brush *with, int x, int y, int value)
{
    for (int dy = 0; dy < with->width; dy++) {
        const unsigned short *weights = with->weights + dy * with->width;
        unsigned char *to = grown->cover + (y + dy) * grown->width + x;
        for (int dx = 0; dx < with->width; dx++) {
            int laid = value * weights[dx] / 256;
            if (laid > to[dx])
                to[dx] = (unsigned char)laid;
        }
    }
}

static bool make_halo(const glyph *plain, double reach_px, glyph *made)
{
    brush with;
    if (!make_brush(reach_px, &with))
        return false;
    *made = *plain;
    made->left -= with.margin;
    made->top -= with.margin;
    made->width += 2 * with.margin;
    made->height += 2 * with.margin;
    made->cover = array_new((size_t)made->width, (size_t)made->height);
    for (int i = 0; made->cover && i < plain->width * plain->height; i++)
        if (plain->cover[i] > 0)
            spread(made, &with, i % plain->width, i / plain->width, plain->cover[i]);
    free(with.weights);
    return made->cover != NULL;
}

/* a halo grows from the plain letter, which is mostly kept already */
static bool draw_glyph(font *from, const glyph_key *key, glyph *drawn)
{
    if (key->halo_eighths == 0)
        return draw_bare(from, key, drawn);
    glyph_key bare = *key;
    bare.halo_eighths = 0;
    const glyph *plain = font_glyph(from, &bare);
    if (!plain || !plain->cover) {
        *drawn = plain ? *plain : (glyph){0};
        return plain != NULL;
    }
    return make_halo(plain, key->halo_eighths / 8.0, drawn);
}

const glyph *font_glyph(font *from, const glyph_key *key)
{
    kept_glyph *kept = &from->kept[place_of(key)];
    if (kept->used && same_key(&kept->key, key))
        return &kept->drawn;
    glyph drawn = {0};
    if (!draw_glyph(from, key, &drawn)) {
        from->failed = true;
        return NULL;
    }
    free(kept->drawn.cover);
    *kept = (kept_glyph){*key, drawn, true};
    return &kept->drawn;
}

bool font_failed(const font *asked)
{
    return asked->failed;
}

double font_kerning(font *from, unsigned before, unsigned codepoint)
{
    FT_Vector moved = {0};
    if (!from->face || !FT_HAS_KERNING(from->face))
        return 0;
    FT_UInt left = FT_Get_Char_Index(from->face, before);
    FT_UInt right = FT_Get_Char_Index(from->face, codepoint);
    if (FT_Get_Kerning(from->face, left, right, FT_KERNING_UNSCALED, &moved) != 0)
        return 0;
    return (double)moved.x / from->face->units_per_EM;
}
