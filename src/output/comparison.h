/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of a comparison, and what they draw from. */
#ifndef SPOTFIELD_OUTPUT_COMPARISON_H
#define SPOTFIELD_OUTPUT_COMPARISON_H

#include "output/record.h"
#include "spotfield/output.h"

typedef struct compared {
    const sf_comparison *found;
    const sf_outcome *before, *after;
    unsigned char *png; /* the picture */
    size_t png_size;
    sf_picture_frame frame;
} compared;

/* The part of a pair as the first survey has it, else as the second. */
const sf_part *pair_part(const compared *of, const sf_part_change *pair);

record_teller change_record; /* of a compared */
void compare_html(const compared *shown, text *into);

#endif
