/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* board.csv: the board itself, one key a row. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/digits.h"
#include "core/memory.h"
#include "job/files.h"
#include "job/hours.h"
#include "job/number.h"
#include "job/rows.h"

#define AIR_SD_K 2.0
#define HOURS_SD_PCT 10.0

#define ROW sf_board

/* copper_cover in per cent until the file is read, copper_layers 0 while not given. */
const struct column board_keys[] = {
    {TEXT_COLUMN("name", name)},
    {NUMBER_COLUMN("width", width_mm, SF_BOARD_MM_MIN, SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("height", height_mm, SF_BOARD_MM_MIN, SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {WORD_COLUMN("grade", laminate, laminate_words), .flags = COLUMN_ASSUMED,
     .usual = SF_LAMINATE_FR4},
    {NUMBER_COLUMN("thickness", thickness_mm, 0.1, 10, "mm"), .flags = COLUMN_ASSUMED,
     .usual = 1.6},
    {WHOLE_COLUMN("copper_layers", copper_layers, 1, 64)},
    {NUMBER_COLUMN("copper_thickness", copper_thickness_um, 5, 500, "um"), .flags = COLUMN_ASSUMED,
     .usual = 35},
    {NUMBER_COLUMN("copper_cover", copper_cover, 0, 100, "%"), .flags = COLUMN_ASSUMED,
     .usual = 40},
    {WORD_COLUMN("air", air, air_words), .flags = COLUMN_ASSUMED},
    {NUMBER_COLUMN("ambient", ambient_c, SF_AIR_C_MIN, SF_AIR_C_MAX, "C"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("service_ambient", service_ambient_c, -40, 125, "C"),
     .flags = COLUMN_OF_MACHINE},
    {NUMBER_COLUMN("service_ambient_u", service_ambient_sd_k, 0, 30, "K"),
     .flags = COLUMN_OF_MACHINE},
    {NUMBER_COLUMN("run_hours", run_hours, 0, 1e6, "h"), .flags = COLUMN_OF_MACHINE},
    {NUMBER_COLUMN("run_hours_sd", run_hours_sd, 0, 1e6, "h"), .flags = COLUMN_OF_MACHINE},
    {NUMBER_COLUMN("run_hours_u", run_hours_sd_pct, 0, 100, "%"), .flags = COLUMN_OF_MACHINE},
    {WHOLE_COLUMN("made", made_year, 1900, 2100), .unit = "year", .flags = COLUMN_OF_MACHINE},
    {DATE_COLUMN("surveyed", surveyed), .flags = COLUMN_OF_MACHINE},
    {NUMBER_COLUMN("hours_per_year", hours_per_year, 1, 8784, "h"), .flags = COLUMN_OF_MACHINE},
    {NUMBER_COLUMN("service_goal", service_goal_h, 0, 1e6, "h"), .flags = COLUMN_OF_MACHINE},
    {TEXT_COLUMN("machine", machine), .flags = COLUMN_OF_MACHINE},
    {TEXT_COLUMN("owner", owner), .flags = COLUMN_OF_MACHINE},
    {TEXT_COLUMN("technician", technician), .flags = COLUMN_OF_MACHINE},
    {WORD_COLUMN("camera_unit", camera.unit, temperature_words)},
    {NUMBER_COLUMN("camera_emissivity", camera.emissivity, SF_EMISSIVITY_MIN, 1, "")},
    {NUMBER_COLUMN("camera_reflected", camera.reflected_c, SF_SEEN_C_MIN, SF_SEEN_C_MAX, "C")},
    {NUMBER_COLUMN("camera_u", camera.sd_k, SF_READING_SD_K_MIN, SF_READING_SD_K_MAX, "K")},
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

static void settle_layers(struct intake *intake, sf_board *board)
{
    if (board->copper_layers > 0)
        return;
    bool single_sided = board->laminate == SF_LAMINATE_FR1 || board->laminate == SF_LAMINATE_FR2 ||
                        board->laminate == SF_LAMINATE_CEM1;
    board->copper_layers = single_sided ? 1 : 2;
    assume(intake, "copper_layers not given: taken as %d for %s", board->copper_layers,
           sf_laminate_text(board->laminate));
}

static void settle_service_ambient(struct intake *intake, sf_board *board, bool sound)
{
    if (!isnan(board->service_ambient_c) || isnan(board->ambient_c))
        return;
    board->service_ambient_c = board->ambient_c;
    intake->bench_air_in_service = sound; /* otherwise it may have been given, but not read */
    assume(intake, "service_ambient not given: taken as %.10g C, the air at the bench",
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
               "service_ambient_u not given: taken as %g K, since the air is seldom "
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
        assume(intake, "run_hours_u not given: taken as %g %%, since hours are seldom metered",
               HOURS_SD_PCT);
}

static void check_dates(struct intake *intake, const sf_board *board)
{
    if (board->made_year == 0 || isnan(board->survey_year))
        return;
    if (board->made_year > board->survey_year + 1)
        diagnose_error(intake, board_place(intake, "made"), "a year before it",
                       "%d is after the survey of %s", board->made_year, board->surveyed);
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
                       "one standard uncertainty of run_hours, no more than run_hours itself",
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

/* --- machine.csv in the folder above: what the boards of a machine have in common, for each that
 * does not say it itself --- */

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

static void machine_file_read(struct intake *intake)
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

void board_file_read(struct intake *intake)
{
    sf_board *board = &intake->job->board;
    size_t errors = intake->diagnostics->error_count;
    columns_blank(board_keys, board_key_count, board);
    board->survey_year = NAN;
    file_state state = keys_read(intake, "board.csv", true, board_keys, board_key_count, board,
                                 intake->board_lines);
    if (!intake->memory_short)
        machine_file_read(intake);
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

sf_status board_size_read(const char *folder, double *width_mm, double *height_mm)
{
    sf_diagnostics dropped = {0};
    struct intake intake = {.job = array_new(1, sizeof(sf_job)), .diagnostics = &dropped};
    if (!intake.job)
        return SF_ERROR_MEMORY;
    if (intake_open(&intake)) {
        intake.job->folder = keep_text(&intake, folder);
        if (!intake.memory_short)
            board_file_read(&intake);
    }
    sf_status status = intake_close(&intake);
    *width_mm = intake.job->board.width_mm;
    *height_mm = intake.job->board.height_mm;
    sf_job_free(intake.job);
    sf_diagnostics_clear(&dropped);
    if (status == SF_ERROR_MEMORY)
        return status;
    return *width_mm > 0 && *height_mm > 0 ? SF_OK : SF_ERROR_MISSING;
}
