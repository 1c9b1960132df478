/* The 256 colours of a picture: paper, the map's scale, inks, and what lies between them, so that
 * smooth edges find a colour close to the one they need. */
#ifndef SPOTFIELD_OUTPUT_DRAW_INKS_H
#define SPOTFIELD_OUTPUT_DRAW_INKS_H

#include "spotfield/draw.h"

typedef enum ink {
    INK_PAPER, /* white: page and halos */
    INK_DARK,  /* text, marks, lines on light ground */
    INK_GREY,  /* axes and second-rank text */
    INK_PALE,  /* rules */
    INK_ALERT, /* the mark of a part to replace */
    INK_COUNT
} ink;

enum {
    INKS_COLOURS = 256,
    INKS_MAP_FIRST = 1, /* colour 0 is paper, which a new picture is full of */
    INKS_MAP_COLOURS = 160,
    INKS_LEVELS = 16 /* steps of opacity from nothing to whole */
};

typedef struct ink_table {
    sf_colour colours[INKS_COLOURS];
    int count;
    int keys[INKS_COLOURS];            /* brightness of each colour, rising */
    unsigned char order[INKS_COLOURS]; /* the colours in that order */
    /* colour of ink at a level over each colour, one more than the index; 0: not looked up yet */
    unsigned short mixes[INK_COUNT][INKS_LEVELS + 1][INKS_COLOURS];
} ink_table;

sf_colour ink_colour(ink laid);

/* A scale of colours from share 0 to 1, such as sf_palette_colour. */
typedef sf_colour colour_scale(double share);

/* Fills a table around the colours of a map. */
void ink_table_fill(ink_table *table, colour_scale *map);

/* Finds a mix that is not known yet, and keeps it. */
unsigned char ink_table_find(ink_table *table, ink laid, int level, unsigned char under);

/* Index of the colour nearest to `laid` at level (0 to INKS_LEVELS) over the colour `under`. */
static inline unsigned char ink_table_mix(ink_table *table, ink laid, int level,
                                          unsigned char under)
{
    unsigned short known = table->mixes[laid][level][under];
    return known > 0 ? (unsigned char)(known - 1) : ink_table_find(table, laid, level, under);
}

/* Index of the map colour at a share of the scale, held at its ends. */
unsigned char ink_map_index(double share);

/* The ink, dark or paper, that reads better on a colour of a map. */
ink ink_over_map(colour_scale *map, double share);

#endif
