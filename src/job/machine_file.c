/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* machine.csv in the folder above: what the boards of a machine have in common, for each that does
 * not say it itself. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "job/files.h"

#define MACHINE_FILE "../machine.csv"

/* Keys of board.csv that are told of a machine as well. */
typedef struct shared_keys {
    struct column columns[BOARD_LINES];
    size_t of_board[BOARD_LINES]; /* the same in board_keys */
    size_t count;
} shared_keys;

static shared_keys find_shared(void)
{
    shared_keys found = {.count = 0};
    for (size_t i = 0; i < board_key_count; i++)
        if (board_keys[i].flags & COLUMN_OF_MACHINE) {
            found.columns[found.count] = board_keys[i];
            found.of_board[found.count++] = i;
        }
    return found;
}

static bool is_told(const struct column *key, const sf_board *board)
{
    const char *value = (const char *)board + key->offset;
    if (column_is_text(key))
        return (*(char *const *)value)[0] != '\0';
    return key->kind == COLUMN_WHOLE ? *(const int *)value != 0 : !isnan(*(const double *)value);
}

/* Who gave the hours gave their doubt too, or meant the default. */
static bool goes_with_hours(const struct column *key)
{
    return strncmp(key->name, "run_hours", strlen("run_hours")) == 0;
}

static bool hours_told(const shared_keys *keys, const sf_board *board)
{
    bool told = false;
    for (size_t i = 0; i < keys->count; i++)
        told = told || (goes_with_hours(&keys->columns[i]) && is_told(&keys->columns[i], board));
    return told;
}

/* The value changes hands where it is a text. */
static void take_over(const struct column *key, sf_board *board, sf_board *machine)
{
    char *into = (char *)board + key->offset, *from = (char *)machine + key->offset;
    if (column_is_text(key)) {
        char *blank = *(char **)into;
        *(char **)into = *(char **)from;
        *(char **)from = blank;
    } else {
        memcpy(into, from, key->kind == COLUMN_WHOLE ? sizeof(int) : sizeof(double));
    }
}

static void inherit(struct intake *intake, const shared_keys *keys, sf_board *machine,
                    const size_t *lines)
{
    sf_board *board = &intake->job->board;
    bool own_hours = hours_told(keys, board);
    for (size_t i = 0; i < keys->count && !intake->memory_short; i++) {
        const struct column *key = &keys->columns[i];
        size_t at = keys->of_board[i];
        char words[256];
        if (!is_told(key, machine) || is_told(key, board) || (own_hours && goes_with_hours(key)))
            continue;
        take_over(key, board, machine);
        column_value_text(key, board, words, sizeof words);
        assume(intake, "%s not given: %s taken from machine.csv", key->name, words);
        intake->board_lines[at] = lines[i];
        intake->of_machine[at] = true;
    }
}

void machine_file_read(struct intake *intake)
{
    const shared_keys keys = find_shared();
    size_t lines[BOARD_LINES] = {0};
    sf_board machine = {0};
    columns_blank(keys.columns, keys.count, &machine);
    intake->machine_told = keys_read(intake, MACHINE_FILE, false, keys.columns, keys.count,
                                     &machine, lines) == FILE_READ;
    if (intake->machine_told && !intake->memory_short)
        inherit(intake, &keys, &machine, lines);
    columns_free_texts(keys.columns, keys.count, &machine);
}
