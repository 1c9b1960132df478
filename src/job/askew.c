/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A whole file that is askew: each other way to have meant it is held against the board. */
#include "job/askew.h"

#include <math.h>

#include "job/places.h"

#define READINGS_LEAST 2   /* of fewer, any may lie anywhere by a slip of its own */
#define TENTHS_LEAST 100.0 /* 10 C: no board is read colder than that */

static sf_point as_typed(const sf_board *board, const sf_reading *of)
{
    (void)board;
    return (sf_point){of->x_mm, of->y_mm};
}

static sf_point from_top(const sf_board *board, const sf_reading *of)
{
    return (sf_point){of->x_mm, board->height_mm - of->y_mm};
}

static sf_point exchanged(const sf_board *board, const sf_reading *of)
{
    (void)board;
    return (sf_point){of->y_mm, of->x_mm};
}

typedef sf_point (*meaning)(const sf_board *board, const sf_reading *of);

static size_t count_off(const struct intake *intake, meaning meant)
{
    const sf_job *job = intake->job;
    size_t off = 0;
    for (size_t i = 0; i < job->reading_count; i++)
        off +=
            place_off_board_mm(intake, meant(&job->board, &job->readings[i])) > PLACE_OFF_BOARD_MM;
    return off;
}

static void ask_of_places(struct intake *intake)
{
    const where at = {"readings.csv", 0, ""};
    if (intake->job->reading_count < READINGS_LEAST || count_off(intake, as_typed) == 0)
        return;
    if (count_off(intake, from_top) == 0)
        diagnose_warning(intake, at, "",
                         "all readings would lie on the board with y counted from the top: is the "
                         "lower left corner the origin?");
    else if (count_off(intake, exchanged) == 0)
        diagnose_warning(intake, at, "",
                         "all readings would lie on the board with x and y exchanged: does x run "
                         "along the width?");
}

static void ask_of_tenths(struct intake *intake)
{
    size_t beyond = 0;
    for (size_t i = 0; i < intake->job->reading_count; i++) {
        const sf_reading *of = &intake->job->readings[i];
        bool may_be = of->unit == SF_UNIT_CELSIUS && of->value >= TENTHS_LEAST &&
                      of->value <= 10 * SF_SEEN_C_MAX;
        if (!may_be)
            return;
        beyond += of->value > SF_SEEN_C_MAX;
    }
    if (beyond > 0)
        diagnose_warning(intake, (where){"readings.csv", 0, "value"}, "",
                         "all values would be those of a board as tenths of a degree: is a decimal "
                         "point missing?");
}

void askew_ask(struct intake *intake)
{
    ask_of_places(intake);
    ask_of_tenths(intake);
}
