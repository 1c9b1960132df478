/* Opening a font, and keeping the letters drawn. */
#include "draw/font.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "draw/font_faces.h"

enum { KEPT = 1024 };

typedef struct kept_glyph {
    glyph_key key;
    glyph drawn;
    bool used;
} kept_glyph;

struct font {
    font_face face;
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
    mixed ^= (unsigned)(key->angle_deg * 16 + key->shift_x * 4 + key->shift_y) * 3266489917u;
    mixed ^= key->bold ? 668265263u : 0;
    return (mixed ^ mixed >> 15) % KEPT;
}

static bool same_key(const glyph_key *a, const glyph_key *b)
{
    return a->codepoint == b->codepoint && a->size_eighths == b->size_eighths &&
           a->halo_eighths == b->halo_eighths && a->angle_deg == b->angle_deg &&
           a->shift_x == b->shift_x && a->shift_y == b->shift_y && a->bold == b->bold;
}

/* coverage at a distance from a letter fades over the last pixel of the halo */
static void spread(glyph *grown, const glyph *from, int x, int y, double reach_px, int margin)
{
    unsigned char value = from->cover[y * from->width + x];
    for (int dy = -margin; dy <= margin; dy++)
        for (int dx = -margin; dx <= margin; dx++) {
            double share = reach_px + 0.5 - sqrt(dx * dx + dy * dy);
            if (share <= 0)
                continue;
            unsigned char *to =
                grown->cover + (y + margin + dy) * grown->width + x + margin + dx;
            int laid = (int)(value * (share < 1 ? share : 1));
            if (laid > *to)
                *to = (unsigned char)laid;
        }
}

/* replaces a letter by its halo */
static bool grow_halo(glyph *drawn, double reach_px)
{
    int margin = (int)ceil(reach_px);
    glyph grown = *drawn;
    grown.left -= margin;
    grown.top -= margin;
    grown.width += 2 * margin;
    grown.height += 2 * margin;
    grown.cover = array_new((size_t)grown.width, (size_t)grown.height);
    if (!grown.cover)
        return false;
    for (int y = 0; y < drawn->height; y++)
        for (int x = 0; x < drawn->width; x++)
            if (drawn->cover[y * drawn->width + x] > 0)
                spread(&grown, drawn, x, y, reach_px, margin);
    free(drawn->cover);
    *drawn = grown;
    return true;
}

const glyph *font_glyph(font *from, const glyph_key *key)
{
    kept_glyph *kept = &from->kept[place_of(key)];
    if (kept->used && same_key(&kept->key, key))
        return &kept->drawn;
    free(kept->drawn.cover);
    *kept = (kept_glyph){.key = *key};
    kept->used = font_face_draw(&from->face, key, &kept->drawn);
    if (kept->used && kept->drawn.cover && key->halo_eighths > 0)
        kept->used = grow_halo(&kept->drawn, key->halo_eighths / 8.0);
    return kept->used ? &kept->drawn : NULL;
}

double font_kerning(font *from, unsigned before, unsigned codepoint)
{
    return font_face_kerning(&from->face, before, codepoint);
}
