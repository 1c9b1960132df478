/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pieces of the board: cells between which heat can run. */
#ifndef SPOTFIELD_FIELD_PIECES_H
#define SPOTFIELD_FIELD_PIECES_H

#include "field/grid.h"

/* Per node the number of its piece, counted from 0 in the order of the nodes, in a new array freed
 * with free(). SF_ERROR_MEMORY. */
sf_status pieces_find(const grid *laid, size_t **piece_of_node, size_t *count);

#endif
