/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pieces of board on which nobody has read. */
#ifndef SPOTFIELD_SURVEY_UNREAD_PIECES_H
#define SPOTFIELD_SURVEY_UNREAD_PIECES_H

#include "spotfield/survey.h"

typedef struct unread_piece {
    const char *where; /* on the board, in words; static */
    size_t parts;      /* that stand on it */
    sf_point amid;     /* the middle of its cell that is nearest to its own */
} unread_piece;

/* Those of a board in pieces, but for specks of the grid without a part. *found is a new array of
 * *count, freed with free() in any case. Errors: SF_ERROR_MEMORY, those of sf_pieces_read. */
sf_status unread_pieces_find(const sf_outcome *outcome, unread_piece **found, size_t *count);

#endif
