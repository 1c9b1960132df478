/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Letters from a TrueType file. FreeType is asked directly: libgd's own text finds fonts through
 * the system's settings, and lays out each string anew. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "output/draw/font_faces.h"

#include FT_OUTLINE_H

sf_status font_face_open(font_face *face, const char *path)
{
    *face = (font_face){0};
    if (FT_Init_FreeType(&face->library) != 0)
        return SF_ERROR_MEMORY;
    FT_Error error = FT_New_Face(face->library, path, 0, &face->face);
    if (error == 0 && FT_IS_SCALABLE(face->face))
        return SF_OK;
    font_face_close(face);
    return error == FT_Err_Out_Of_Memory ? SF_ERROR_MEMORY : SF_ERROR_ARGUMENT;
}

void font_face_close(font_face *face)
{
    if (face->face)
        FT_Done_Face(face->face);
    if (face->library)
        FT_Done_FreeType(face->library);
    *face = (font_face){0};
}

static bool set_size(font_face *face, int size_eighths)
{
    if (face->size_eighths == size_eighths)
        return true;
    face->size_eighths = size_eighths;
    /* at 72 dots per inch a point is a pixel; the size is in 1/64 */
    return FT_Set_Char_Size(face->face, 0, size_eighths * 8, 72, 72) == 0;
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

bool font_face_draw(font_face *face, const glyph_key *key, glyph *drawn)
{
    if (!face->face)
        return bitmap_draw(key, drawn);
    FT_GlyphSlot slot = face->face->glyph;
    /* hints make stems crisp along the pixel rows, and would bend a turned letter */
    FT_Int32 hints = key->angle_deg == 0 ? FT_LOAD_TARGET_LIGHT : FT_LOAD_NO_HINTING;
    if (!set_size(face, key->size_eighths) ||
        FT_Load_Char(face->face, key->codepoint, FT_LOAD_NO_BITMAP | hints) != 0)
        return false;
    drawn->advance_px = (double)slot->linearHoriAdvance / 65536;
    if (key->bold)
        embolden(&slot->outline, key->size_eighths);
    if (key->angle_deg != 0)
        turn(&slot->outline, key->angle_deg);
    FT_Outline_Translate(&slot->outline, key->shift_x * 32, -key->shift_y * 32);
    return FT_Render_Glyph(slot, FT_RENDER_MODE_NORMAL) == 0 && copy_bitmap(slot, drawn);
}

double font_face_kerning(const font_face *face, unsigned before, unsigned codepoint)
{
    FT_Vector moved = {0};
    if (!face->face || !FT_HAS_KERNING(face->face))
        return 0;
    FT_UInt left = FT_Get_Char_Index(face->face, before);
    FT_UInt right = FT_Get_Char_Index(face->face, codepoint);
    if (FT_Get_Kerning(face->face, left, right, FT_KERNING_UNSCALED, &moved) != 0)
        return 0;
    return (double)moved.x / face->face->units_per_EM;
}
