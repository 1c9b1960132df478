/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What cells are too wide to show of a heat source: its peak. The balance on the cells is exact
 * far from a source; near it the field depends on where in its cell the source falls. Without loss
 * and edges both fields are known, that of the rectangle and that of the cells: their difference is
 * added at the nodes, and between the nodes the peak is taken from its formula. */
#ifndef SPOTFIELD_FIELD_PEAK_H
#define SPOTFIELD_FIELD_PEAK_H

#include "field/grid.h"
#include "spotfield/field.h"

/* Of one source. Values are of a source whose strength over the square of the spreading length,
 * K mm2 / mm2, is 1 K. */
typedef struct source_peak {
    rectangle shape;
    double reach_mm;                 /* there is none farther from the middle */
    size_t left, low, columns, rows; /* the cells about it */
    unsigned char *open; /* per one of them: no edge lies between its middle and the source's */
    double *at;          /* per one of them: the peak at its middle */
    double *over_mean;   /* per one of them: how far that lies above its mean over the cell */
    double *lacking;     /* per one of them: what the cells' answer to its heat lacks */
    double own;          /* mean of peak_between over the footprint */
} source_peak;

/* A source that reaches over an edge has none, but the answer of the cells. `cover` is what it
 * heats; with NULL nothing is made for peak_smooth and peak_correct. *made is ended with peak_clear
 * in any case. SF_ERROR_MEMORY. */
sf_status peak_make(const grid *laid, const sf_ring *rings, size_t ring_count,
                    const sf_source *source, const footprint *cover, source_peak *made);
void peak_clear(source_peak *made);

/* The peak itself: goes to 0 with its slope at its reach. */
double peak_at(const source_peak *of, const grid *laid, double x_mm, double y_mm);

/* Takes from every node of `field` factor times how far the peak at its cell's middle lies above
 * its mean over the cell. */
void peak_smooth(const source_peak *of, const grid *laid, double factor, double *field);

/* The peak at the middle of a node's cell. */
double peak_at_node(const source_peak *of, const grid *laid, int node);

/* What a sample of nodes lacks of the peak at its place; of as much of it as the weights sum to. */
double peak_between(const source_peak *of, const grid *laid, const grid_sample *sample,
                    sf_point place);

/* Adds to every node of `field` factor times what the cells' answer to the source's heat lacks. */
void peak_correct(const source_peak *of, const grid *laid, double factor, double *field);

#endif
