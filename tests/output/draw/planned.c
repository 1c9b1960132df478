/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Planning maps for tests. */
#include "planned.h"

#include <string.h>

#include "support/check.h"

map planned_of(invented *board, int width_px)
{
    map planned;
    sf_picture_options options = sf_picture_options_default();
    options.width_px = width_px;
    assert_int_equal(map_plan(&board->scene, &options, &planned), SF_OK);
    return planned;
}

bool has_entry(const legend *in, const char *words)
{
    for (size_t i = 0; i < in->count; i++)
        if (strcmp(in->entries[i].words, words) == 0)
            return true;
    return false;
}
