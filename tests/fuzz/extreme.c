/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Makes jobs of extreme numbers from the tables of the columns: the ends of each range, the number
 * just inside an end, next to nothing where the range holds it, and some in between. */
#include "fuzz/extreme.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "job/files.h"

enum { PARTS_MOST = 6, READINGS_MOST = 7, SOURCES_MOST = 4, PERIODS_MOST = 3, CONTROLS_MOST = 3 };

/* --- chance: Marsaglia's xorshift64 --- */

typedef struct chance {
    uint64_t state;
} chance;

static uint64_t next(chance *of)
{
    of->state ^= of->state << 13;
    of->state ^= of->state >> 7;
    of->state ^= of->state << 17;
    return of->state;
}

static size_t below(chance *of, size_t count)
{
    return (size_t)(next(of) % count);
}

static bool one_in(chance *of, size_t count)
{
    return below(of, count) == 0;
}

static double between(chance *of, double least, double most)
{
    return least + (most - least) * (double)(next(of) >> 11) / 9007199254740992.0;
}

/* --- a number of a range --- */

/* From the smallest that a range holds: as many to each factor of ten. */
static double log_between(chance *of, double least, double most)
{
    double smallest = fmax(least, 1e-9);
    return most > smallest ? exp(between(of, log(smallest), log(most))) : most;
}

static double extreme(chance *of, double least, double most)
{
    switch (below(of, 8)) {
    case 0:
    case 1:
        return least;
    case 2:
    case 3:
        return most;
    case 4:
        return nextafter(least, most);
    case 5:
        return least <= 0 && most > 0 ? 1e-200 : nextafter(most, least);
    case 6:
        return log_between(of, least, most);
    default:
        return between(of, least, most);
    }
}

/* --- a cell of a column --- */

static void add_word(chance *of, const struct word *words, text *into)
{
    size_t count = 0;
    while (words[count].text)
        count++;
    text_add(into, words[below(of, count)].text);
}

static void add_cell(chance *of, const struct column *column, text *into)
{
    static const char *const tolerances[] = {"20", "M", "-20/+50", "-10/+100", "Z"};
    switch (column->kind) {
    case COLUMN_NUMBER:
        text_addf(into, "%.17g", extreme(of, column->least, column->most));
        break;
    case COLUMN_WHOLE:
        text_addf(into, "%.0f", floor(extreme(of, column->least, column->most)));
        break;
    case COLUMN_WORD:
        add_word(of, column->words, into);
        break;
    case COLUMN_YES_NO:
        text_add(into, one_in(of, 2) ? "yes" : "no");
        break;
    case COLUMN_TOLERANCE:
        text_add(into, tolerances[below(of, sizeof tolerances / sizeof *tolerances)]);
        break;
    case COLUMN_DATE:
        text_add(into, one_in(of, 2) ? "2100" : "2025-03-11");
        break;
    case COLUMN_TEXT:
        break;
    }
}

/* --- a row --- */

typedef struct area {
    double width_mm, height_mm;
} area;

/* What must fit the rest of the job is chosen so; false for what may be anything of its range. */
static bool add_fitting(chance *of, const char *name, const area *board, size_t row, text *into)
{
    bool is_x = strcmp(name, "x_mm") == 0, is_y = strcmp(name, "y_mm") == 0;
    double diagonal_mm = hypot(board->width_mm, board->height_mm);
    if (is_x || is_y)
        text_addf(into, "%.17g", extreme(of, 0, is_x ? board->width_mm : board->height_mm));
    else if (strcmp(name, "width_mm") == 0 || strcmp(name, "height_mm") == 0)
        text_addf(into, "%.17g", extreme(of, fmin(0.1, diagonal_mm), diagonal_mm));
    else if (strcmp(name, "ref") == 0 || strcmp(name, "id") == 0)
        text_addf(into, "%c%zu", 'A' + (char)(name[0] == 'i'), row);
    else if (strcmp(name, "unit") == 0)
        text_add(into, "C");
    else if (strcmp(name, "value") == 0)
        text_addf(into, "%.17g", extreme(of, -40, 400));
    else if (strcmp(name, "year") == 0 || strcmp(name, "made") == 0)
        text_addf(into, "%.0f", floor(extreme(of, 1900, 2025)));
    else if (strcmp(name, "ripple_a") == 0) /* up to ten times the least rated one */
        text_addf(into, "%.17g", extreme(of, 0, 0.01));
    else if (strcmp(name, "minute") == 0 || strcmp(name, "junction_c") == 0)
        return true; /* a series of one, and of no use without mV */
    else
        return false;
    return true;
}

static void add_rows(chance *of, const struct row_kind *kind, const area *board, size_t most,
                     text *into)
{
    /* a job has at least a reading and a part */
    size_t count = below(of, most) + (kind == &reading_kind || kind == &part_kind);
    text_addf(into, "=== %s\n", kind->file);
    for (size_t i = 0; i < kind->column_count; i++)
        text_addf(into, "%s%s", i ? "," : "", kind->columns[i].name);
    for (size_t row = 0; row < count; row++)
        for (size_t i = 0; i < kind->column_count; i++) {
            const struct column *column = &kind->columns[i];
            text_add(into, i ? "," : "\n");
            /* parts have a height of their own, sources one within the board */
            bool is_body = kind == &part_kind && strcmp(column->name, "height_mm") == 0;
            if (!is_body && add_fitting(of, column->name, board, row, into))
                continue;
            if ((column->flags & COLUMN_REQUIRED) || !one_in(of, 3))
                add_cell(of, column, into);
        }
    text_add(into, "\n");
}

/* --- key files --- */

static void add_board(chance *of, const area *board, text *into)
{
    text_addf(into, "=== board.csv\nkey,value\nwidth,%.17g\nheight,%.17g\n", board->width_mm,
              board->height_mm);
    for (size_t i = 0; i < board_key_count; i++) {
        const struct column *key = &board_keys[i];
        bool is_size = strcmp(key->name, "width") == 0 || strcmp(key->name, "height") == 0;
        if (is_size || key->kind == COLUMN_TEXT ||
            (!(key->flags & COLUMN_REQUIRED) && one_in(of, 2)))
            continue;
        text_addf(into, "%s,", key->name);
        if (!add_fitting(of, key->name, board, 0, into))
            add_cell(of, key, into);
        text_add(into, "\n");
    }
}

static void add_policy(chance *of, text *into)
{
    text_add(into, "=== policy.csv\nkey,value\n");
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++)
        if (one_in(of, 3))
            text_addf(into, "%s,%.17g\n", key->key, extreme(of, key->least, key->most));
}

void extreme_job(uint64_t seed, text *into)
{
    chance of = {(seed + 1) * 0x9E3779B97F4A7C15u};
    for (int i = 0; i < 8; i++)
        next(&of);
    bool small = one_in(&of, 2);
    area board = {extreme(&of, SF_BOARD_MM_MIN, small ? 60 : SF_BOARD_MM_MAX),
                  extreme(&of, SF_BOARD_MM_MIN, small ? 60 : SF_BOARD_MM_MAX)};
    add_board(&of, &board, into);
    add_rows(&of, &reading_kind, &board, READINGS_MOST, into);
    add_rows(&of, &part_kind, &board, PARTS_MOST, into);
    add_rows(&of, &source_kind, &board, SOURCES_MOST, into);
    if (one_in(&of, 3))
        add_rows(&of, &period_kind, &board, PERIODS_MOST, into);
    if (one_in(&of, 2))
        add_rows(&of, &control_kind, &board, CONTROLS_MOST, into);
    if (one_in(&of, 2))
        add_policy(&of, into);
}
