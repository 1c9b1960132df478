/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What people have of a board, on its way into a job: placement files as layout tools write them,
 * parts lists, logger files. */
#ifndef SPOTFIELD_JOB_BRING_H
#define SPOTFIELD_JOB_BRING_H

#include "job/intake.h"
#include "job/table.h"
#include "job/value_words.h"

enum { BRING_ITEMS_MOST = 10000, BRING_CHANNELS_MOST = 60, BRING_ROWS_MOST = 12 };

typedef enum item_kind {
    ITEM_OTHER,
    ITEM_CAPACITOR,
    ITEM_SOURCE,
    ITEM_UNSURE /* a capacitor that may be an electrolytic one */
} item_kind;

/* A thing with a reference. Texts are owned and never NULL. */
typedef struct bring_item {
    char *ref, *value, *package, *words;
    double x_mm, y_mm, angle_deg; /* NAN: not told */
    bool solder_side;
    const char *file; /* where it was read first */
    size_t line;
    item_kind kind;
    bool kept; /* the job has that reference already, and keeps what it has */
    struct value_words said;
    struct package_words body;
} bring_item;

/* One row of a warm-up series. */
typedef struct bring_reading {
    size_t channel;
    double minute, value;
} bring_reading;

/* Where a channel of a logger was fixed, as a person says it. */
typedef struct bring_channel {
    const char *name, *x_mm, *y_mm, *part; /* part "" none */
    bool found;
} bring_channel;

typedef struct bring_options {
    const char *unit; /* of placement files: "mm", "mil" or "in"; NULL: as they say */
    bool y_down;
    double origin_x_mm, origin_y_mm; /* the board's lower left in them; NAN: found out */
    const bring_channel *channels;
    size_t channel_count;
} bring_options;

/* Start as {.folder, .options}; end with bring_free. */
typedef struct bring {
    const char *folder;
    bring_options options;
    bring_item *items;
    size_t item_count, item_capacity;
    bring_reading *readings;
    size_t reading_count, reading_capacity;
    bring_channel channels[BRING_CHANNELS_MOST]; /* of the options, with what was found */
    char unit[2];                                /* of the readings: "C", "F" or "K" */
    double board_width_mm, board_height_mm;      /* NAN unknown */
    size_t lines_lost;                           /* that were not understood */
    size_t placed, solder_side, unplaced;
    char told[10][240]; /* how coordinates were taken, a sentence each */
    size_t told_count;
} bring;

/* Reads the files and settles what each thing is. SF_ERROR_DATA, SF_ERROR_MISSING, SF_ERROR_MEMORY
 * as for a job; diagnostics name the files as they were given. */
sf_status bring_read(bring *into, const char *const *files, size_t count,
                     sf_diagnostics *diagnostics);
void bring_free(bring *ended);

/* --- between the files of this room --- */

typedef enum bring_column {
    BRING_REF,
    BRING_VALUE,
    BRING_PACKAGE,
    BRING_X,
    BRING_Y,
    BRING_ANGLE,
    BRING_SIDE,
    BRING_VOLTAGE,
    BRING_WORDS,
    BRING_TIME,
    BRING_COLUMNS
} bring_column;

/* A file that was opened: its table, and which column is what. */
typedef struct bring_sheet {
    struct table table;
    size_t columns[BRING_COLUMNS]; /* BRING_NONE: not there */
    char units[BRING_COLUMNS][8];  /* as the heading says; "" not */
    char unit[8];                  /* as lines above the heading say */
} bring_sheet;

#define BRING_NONE ((size_t)-1)

/* FILE_READ, or FILE_BAD with a diagnostic. End with table_free(&sheet->table) in any case. */
file_state bring_open(struct intake *intake, const char *file, bring_sheet *sheet);

/* Whether it has times, and no places: the columns of a logger. */
bool bring_is_logger(const bring_sheet *sheet);

/* Cell of a row by its meaning; "" where there is none. */
const char *bring_cell(const bring_sheet *sheet, size_t row, bring_column column);

/* A number with a unit behind it or without; NAN, and told as a line that is lost, where it is
 * none. `held` as in job/number.h; `unit` is for a cell that names none. */
double bring_number(struct intake *intake, const bring_sheet *sheet, size_t row, size_t column,
                    const char *held, const char *unit);

void bring_placement(struct intake *intake, bring *into, const bring_sheet *sheet);
void bring_logger(struct intake *intake, bring *into, const bring_sheet *sheet);
void bring_settle_places(struct intake *intake, bring *into);

#endif
