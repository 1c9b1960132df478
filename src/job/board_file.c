/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* board.csv: the board itself, one key a row. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/digits.h"
#include "job/files.h"
#include "job/hours.h"
#include "job/number.h"
#include "job/rows.h"

#define AT(member) .offset = offsetof(sf_board, member)
#define NUMBER(member, low, high, its_unit)                                                        \
    .kind = COLUMN_NUMBER, AT(member), .least = (low), .most = (high), .unit = (its_unit)

#define AIR_SD_K 2.0
#define HOURS_SD_PCT 10.0

const struct column board_keys[] = {
    {.name = "name", .kind = COLUMN_TEXT, AT(name)},
    {.name = "width",
     NUMBER(width_mm, SF_BOARD_MM_MIN, SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {.name = "height",
     NUMBER(height_mm, SF_BOARD_MM_MIN, SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {.name = "grade",
     .kind = COLUMN_WORD,
     AT(laminate),
     .flags = COLUMN_ASSUMED,
     .words = laminate_words},
    {.name = "thickness", NUMBER(thickness_mm, 0.1, 10, "mm"), .flags = COLUMN_ASSUMED},
    {.name = "copper_layers", .kind = COLUMN_WHOLE, AT(copper_layers), .least = 1, .most = 64},
    {.name = "copper_thickness",
     NUMBER(copper_thickness_um, 5, 500, "um"),
     .flags = COLUMN_ASSUMED},
    {.name = "copper_cover", NUMBER(copper_cover, 0, 100, "%"), .flags = COLUMN_ASSUMED},
    {.name = "air", .kind = COLUMN_WORD, AT(air), .flags = COLUMN_ASSUMED, .words = air_words},
    {.name = "ambient",
     NUMBER(ambient_c, SF_AIR_C_MIN, SF_AIR_C_MAX, "C"),
     .flags = COLUMN_REQUIRED},
    {.name = "service_ambient",
     NUMBER(service_ambient_c, -40, 125, "C"),
     .flags = COLUMN_OF_MACHINE},
    {.name = "service_ambient_u",
     NUMBER(service_ambient_sd_k, 0, 30, "K"),
     .flags = COLUMN_OF_MACHINE},
    {.name = "run_hours", NUMBER(run_hours, 0, 1e6, "h"), .flags = COLUMN_OF_MACHINE},
    {.name = "run_hours_sd", NUMBER(run_hours_sd, 0, 1e6, "h"), .flags = COLUMN_OF_MACHINE},
    {.name = "run_hours_u", NUMBER(run_hours_sd_pct, 0, 100, "%"), .flags = COLUMN_OF_MACHINE},
    {.name = "made",
     .kind = COLUMN_WHOLE,
     AT(made_year),
     .least = 1900,
     .most = 2100,
     .unit = "year",
     .flags = COLUMN_OF_MACHINE},
    {.name = "surveyed", .kind = COLUMN_DATE, AT(surveyed), .flags = COLUMN_OF_MACHINE},
    {.name = "hours_per_year", NUMBER(hours_per_year, 1, 8784, "h"), .flags = COLUMN_OF_MACHINE},
    {.name = "service_goal", NUMBER(service_goal_h, 0, 1e6, "h"), .flags = COLUMN_OF_MACHINE},
    {.name = "machine", .kind = COLUMN_TEXT, AT(machine), .flags = COLUMN_OF_MACHINE},
    {.name = "owner", .kind = COLUMN_TEXT, AT(owner), .flags = COLUMN_OF_MACHINE},
    {.name = "technician", .kind = COLUMN_TEXT, AT(technician), .flags = COLUMN_OF_MACHINE},
    {.name = "camera_unit", .kind = COLUMN_WORD, AT(camera.unit), .words = temperature_words},
    {.name = "camera_emissivity", NUMBER(camera.emissivity, SF_EMISSIVITY_MIN, 1, "")},
    {.name = "camera_reflected", NUMBER(camera.reflected_c, SF_SEEN_C_MIN, SF_SEEN_C_MAX, "C")},
    {.name = "camera_u", NUMBER(camera.sd_k, SF_READING_SD_K_MIN, SF_READING_SD_K_MAX, "K")},
};

const size_t board_key_count = sizeof board_keys / sizeof board_keys[0];

_Static_assert(sizeof board_keys / sizeof board_keys[0] <= BOARD_LINES, "each key has its line");

where board_place(const struct intake *intake, const char *key)
{
    size_t i = 0;
    while (strcmp(board_keys[i].name, key) != 0)
        i++;
    const char *file = intake->of_machine[i] ? "../machine.csv" : "board.csv";
    return (where){file, intake->board_lines[i], board_keys[i].name};
}

/* copper_cover in per cent until the file is read, copper_layers 0 while not given. */
static const sf_board blank_board = {
    .width_mm = NAN,
    .height_mm = NAN,
    .laminate = SF_LAMINATE_FR4,
    .thickness_mm = 1.6,
    .copper_thickness_um = 35,
    .copper_cover = 40,
    .air = SF_AIR_STILL,
    .ambient_c = NAN,
    .service_ambient_c = NAN,
    .service_ambient_sd_k = NAN,
    .run_hours = NAN,
    .run_hours_sd = NAN,
    .run_hours_sd_pct = NAN,
    .survey_year = NAN,
    .hours_per_year = NAN,
    .service_goal_h = NAN,
    .camera = {SF_UNIT_CELSIUS, NAN, NAN, NAN},
};

static void settle_layers(struct intake *intake, sf_board *board)
{
    if (board->copper_layers > 0)
        return;
    bool single_sided = board->laminate == SF_LAMINATE_FR1 || board->laminate == SF_LAMINATE_FR2 ||
                        board->laminate == SF_LAMINATE_CEM1;
    board->copper_layers = single_sided ? 1 : 2;
    assume(intake, "copper_layers not given: %d assumed for %s", board->copper_layers,
           sf_laminate_text(board->laminate));
}

static void settle_service_ambient(struct intake *intake, sf_board *board, bool sound)
{
    if (!isnan(board->service_ambient_c) || isnan(board->ambient_c))
        return;
    board->service_ambient_c = board->ambient_c;
    intake->bench_air_in_service = sound; /* otherwise it may have been given, but not read */
    assume(intake, "service_ambient not given: %.10g C assumed, the air at the bench",
           board->ambient_c);
}

/* Nobody who gave no doubt had none; judgements. */
static void settle_doubts(struct intake *intake, sf_board *board)
{
    where percent = {"board.csv", 0, "run_hours_u"};
    bool told = !isnan(board->run_hours_sd) && board->run_hours > 0;
    if (isnan(board->service_ambient_sd_k)) {
        board->service_ambient_sd_k = AIR_SD_K;
        assume(intake,
               "service_ambient_u not given: %g K assumed, since the air is seldom "
               "logged for years",
               AIR_SD_K);
    }
    if (told && !isnan(board->run_hours_sd_pct))
        diagnose_error(intake, percent, "one of the two",
                       "run_hours_sd gives the uncertainty of the hours too");
    if (!isnan(board->run_hours_sd_pct))
        return;
    board->run_hours_sd_pct = HOURS_SD_PCT;
    if (!told)
        assume(intake, "run_hours_u not given: %g %% assumed, since hours are seldom metered",
               HOURS_SD_PCT);
}

static void check_dates(struct intake *intake, const sf_board *board)
{
    if (board->made_year == 0 || isnan(board->survey_year))
        return;
    if (board->made_year > board->survey_year + 1)
        diagnose_error(intake, board_place(intake, "made"), "a year before it",
                       "%d lies after the survey of %s", board->made_year, board->surveyed);
    else if (board->run_hours > board_hours_most(board))
        diagnose_warning(intake, board_place(intake, "run_hours"), "",
                         "%s h are more than there are from %d to %s: a typing slip?",
                         number_told(board->run_hours).bytes, board->made_year, board->surveyed);
}

/* Where hardly anything is known of the hours they are left blank. */
static void check_hours(struct intake *intake, const sf_board *board)
{
    if (board->run_hours_sd > board->run_hours)
        diagnose_error(intake, board_place(intake, "run_hours_sd"),
                       "one standard uncertainty of run_hours, no greater than they are",
                       "%s h are more than the %s h that the board has run",
                       number_told(board->run_hours_sd).bytes, number_told(board->run_hours).bytes);
}

static void warn_of_share(struct intake *intake, const sf_board *board)
{
    if (board->copper_cover > 0 && board->copper_cover < 1)
        diagnose_warning(intake, board_place(intake, "copper_cover"), "",
                         "%.10g %% is very little copper: a typing slip? %.10g %% may be meant",
                         board->copper_cover, 100 * board->copper_cover);
}

void board_file_read(struct intake *intake)
{
    sf_board *board = &intake->job->board;
    size_t errors = intake->diagnostics->error_count;
    *board = blank_board;
    file_state state = keys_read(intake, "board.csv", true, board_keys, board_key_count, board,
                                 intake->board_lines);
    if (!intake->memory_short)
        machine_file_read(intake, &blank_board);
    if (state != FILE_READ || intake->memory_short)
        return;
    board->survey_year = date_year(board->surveyed);
    settle_layers(intake, board);
    settle_service_ambient(intake, board, intake->diagnostics->error_count == errors);
    settle_doubts(intake, board);
    check_dates(intake, board);
    check_hours(intake, board);
    warn_of_share(intake, board);
    board->copper_cover /= 100;
}
