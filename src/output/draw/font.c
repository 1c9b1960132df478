/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Opening a font, and keeping the letters drawn. */
#include "output/draw/font.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "output/draw/font_faces.h"

enum { KEPT = 1024 };

typedef struct kept_glyph {
    glyph_key key;
    glyph drawn;
    bool used;
} kept_glyph;

struct font {
    font_face face;
    bool failed;
    kept_glyph kept[KEPT]; /* a letter has one place; a newcomer to it drives the old one out */
};

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
        status = font_face_open(&(*opened)->face, path);
    else
        for (size_t i = 0; i < sizeof usual_paths / sizeof usual_paths[0]; i++)
            if (font_face_open(&(*opened)->face, usual_paths[i]) == SF_OK)
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
    font_face_close(&closed->face);
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
        return font_face_draw(&from->face, key, drawn);
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
    return font_face_kerning(&from->face, before, codepoint);
}
