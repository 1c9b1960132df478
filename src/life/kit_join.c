/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lines alike of several kits become one. */
#include "life/kit_join.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"
#include "life/order.h"

/* The order of lines: small values first. 0 for parts that would make one line on one board; but
 * one of another grade is another line, since the hours of two grades do not compare. */
static int compare_lines(const void *a, const void *b)
{
    const sf_kit_line *one = a, *other = b;
    const int orders[] = {
        number_compare(one->capacitance_uf, other->capacitance_uf),
        number_compare(one->rated_v, other->rated_v),
        number_compare(one->diameter_mm_max, other->diameter_mm_max),
        (int)one->type - (int)other->type,
        (int)one->low_esr - (int)other->low_esr,
        (int)one->mount - (int)other->mount,
        number_compare(one->lead_pitch_mm, other->lead_pitch_mm),
        number_compare(one->rated_c, other->rated_c),
    };
    size_t at = 0;
    while (at + 1 < sizeof orders / sizeof *orders && orders[at] == 0)
        at++;
    return orders[at];
}

/* What it holds from now on, where there was memory for it. */
static sf_status replace_text(char **held, char *by)
{
    if (!by)
        return SF_ERROR_MEMORY;
    free(*held);
    *held = by;
    return SF_OK;
}

static sf_status widen(sf_kit_line *into, const char *board, const sf_kit_line *by)
{
    into->count += by->count;
    into->endurance_h = fmax(into->endurance_h, by->endurance_h);
    into->height_mm_max = fmin(into->height_mm_max, by->height_mm_max);
    into->ripple_a_min = fmax(into->ripple_a_min, by->ripple_a_min);
    into->esr_ohm_max = fmin(into->esr_ohm_max, by->esr_ohm_max);
    sf_status status =
        replace_text(&into->refs, text_format("%s; %s: %s", into->refs, board, by->refs));
    if (status == SF_OK && by->note[0] && !strstr(into->note, by->note))
        status = replace_text(
            &into->note, text_format("%s%s%s", into->note, into->note[0] ? "; " : "", by->note));
    return status;
}

static sf_status append(kit_join *into, const char *board, const sf_kit_line *line)
{
    sf_kit_line *lines =
        array_grow(into->kit.lines, &into->capacity, into->kit.count + 1, sizeof *lines);
    if (!lines)
        return SF_ERROR_MEMORY;
    into->kit.lines = lines;
    sf_kit_line *made = &lines[into->kit.count++];
    *made = *line;
    made->description = NULL; /* written at the end */
    made->refs = text_format("%s: %s", board, line->refs);
    made->note = text_copy(line->note);
    return made->refs && made->note ? SF_OK : SF_ERROR_MEMORY;
}

sf_status kit_join_line(kit_join *into, const char *board, const sf_kit_line *line)
{
    for (size_t i = 0; i < into->kit.count; i++)
        if (compare_lines(&into->kit.lines[i], line) == 0)
            return widen(&into->kit.lines[i], board, line);
    return append(into, board, line);
}

sf_status kit_join_end(kit_join *into, double spare_pct)
{
    sf_status status = SF_OK;
    if (into->kit.count > 0)
        qsort(into->kit.lines, into->kit.count, sizeof *into->kit.lines, compare_lines);
    for (size_t i = 0; i < into->kit.count && status == SF_OK; i++) {
        sf_kit_line *line = &into->kit.lines[i];
        line->spares = kit_spares(line->count, spare_pct);
        status = replace_text(&line->description, kit_line_describe(line));
    }
    return status;
}

void kit_join_clear(kit_join *discarded)
{
    for (size_t i = 0; i < discarded->kit.count; i++) {
        free(discarded->kit.lines[i].refs);
        free(discarded->kit.lines[i].note);
        free(discarded->kit.lines[i].description);
    }
    free(discarded->kit.lines);
    *discarded = (kit_join){0};
}
