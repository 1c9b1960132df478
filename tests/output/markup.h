/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A strict reader of pages for the tests: well-nested tags, quoted attributes, known entities,
 * identities that are unique and references that lead somewhere. */
#ifndef SPOTFIELD_TESTS_MARKUP_H
#define SPOTFIELD_TESTS_MARKUP_H

#include <stddef.h>

#include "core/text.h"

typedef struct markup {
    size_t tags;     /* opened */
    text words;      /* what a reader sees, entities decoded, a blank for each tag */
    text attributes; /* each decoded value on a line of its own: name=value */
    char fault[256]; /* "" where the page is sound */
} markup;

/* Reads a whole page; markup_clear frees what it holds. */
void markup_read(const char *page, markup *found);
void markup_clear(markup *found);

#endif
