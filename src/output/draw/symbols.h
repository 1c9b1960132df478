/* The signs of the map. Each has a white halo and differs from the others in shape and fill, so
 * that it reads on every ground, in grey and for every eye. */
#ifndef SPOTFIELD_OUTPUT_DRAW_SYMBOLS_H
#define SPOTFIELD_OUTPUT_DRAW_SYMBOLS_H

#include "output/draw/canvas.h"

/* in rising order of gravity */
typedef enum part_mark {
    PART_LEAVE,   /* thin open ring */
    PART_COOLER,  /* white disc with a dark triangle, tip down */
    PART_HOTTER,  /* dark disc with a white triangle, tip up */
    PART_CHECK,   /* ring, lower half filled */
    PART_REPLACE, /* filled disc with a white cross */
    PART_MARK_COUNT
} part_mark;

/* em_px, the height of the picture's text, sets the width of lines. */
void symbol_part(canvas *page, part_mark mark, place centre, double radius_px, double em_px);

/* An upright cross, or a slanting one for a reading kept out of the fit. */
void symbol_reading(canvas *page, place centre, bool in_fit, double em_px);

/* A hatched rectangle; dashed where nobody listed it. Drawn on the board alone when on_board. */
void symbol_source(canvas *page, const place corners[4], bool listed, double em_px);

/* An outline in dashes and dots, its upper left corner hatched. */
void symbol_keepout(canvas *page, const place *corners, size_t count, double em_px);

/* A white disc in a heavy ring, to write a number on. */
void symbol_point(canvas *page, place centre, double em_px);

/* Smallest radius of a part, and half the size of a reading's cross, in ems. */
#define PART_RADIUS_MIN 0.42
#define READING_REACH 0.34
#define POINT_RADIUS 0.72 /* of a place to read next */

#endif
