/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of a job folder, each read into intake->job; board, policy and outline come first,
 * since the others are checked against them. */
#ifndef SPOTFIELD_JOB_FILES_H
#define SPOTFIELD_JOB_FILES_H

#include <stddef.h>

#include "job/intake.h"
#include "job/rows.h"
#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* As sf_job_read, with the checksum of all that was read: equal where each file is as it was. */
sf_status job_read_marked(const char *folder, sf_job **job, uint64_t *made_from,
                          sf_diagnostics *diagnostics);

void board_file_read(struct intake *intake);

/* The size of a board alone, whatever else its job lacks; what is wrong is told elsewhere.
 * SF_ERROR_MISSING where it has none, SF_ERROR_MEMORY. */
sf_status board_size_read(const char *folder, double *width_mm, double *height_mm);

void policy_file_read(struct intake *intake);
void outline_file_read(struct intake *intake);
void keepout_file_read(struct intake *intake);
const sf_ring *no_touch_area(const sf_job *job, const sf_reading *reading); /* NULL: in none */
void mask_file_read(struct intake *intake); /* after the thermogram */
void sources_file_read(struct intake *intake);
void thermogram_file_read(struct intake *intake); /* with marks.csv; before the readings */
void readings_file_read(struct intake *intake);
void parts_file_read(struct intake *intake);
void readings_part_check(struct intake *intake); /* whose cans were read; after both */
void history_file_read(struct intake *intake);
void controls_file_read(struct intake *intake);

/* What a capacitor may be marked: electrolytic ones begin at a tenth of a microfarad, and ten
 * farads are beyond them (common practice, no source). */
#define MARKED_UF_MIN 1e-3
#define MARKED_UF_MAX 1e7

/* What each of them may hold. */
extern const struct column board_keys[];
extern const size_t board_key_count;

/* Where a key of board.csv stands; a line of 0 where it is not there. */
where board_place(const struct intake *intake, const char *key);

extern const struct row_kind source_kind, reading_kind, part_kind, period_kind, control_kind,
    mark_kind;

/* --- asked once all files are read --- */

/* Warns where readings lie off the board, but none would with y counted from the top, or with x and
 * y swapped; and where values are beyond any board, but none would be as tenths. */
void askew_ask(struct intake *intake);

/* Warns of values that each may have but that do not agree with one another, and of one that nobody
 * gave and much depends on. What could not be read is passed over: it was complained of. */
void slips_ask(struct intake *intake);

/* Holds the picture against the air and the readings, after both were read. Where they leave no
 * doubt that it is in degrees Fahrenheit it is taken so, and told; where the air alone says so it
 * is asked. */
void picture_unit_ask(struct intake *intake);

/* Whether marks lie off the picture, but all of them on one whose rows are its columns. */
bool marks_lie_sideways(const sf_thermogram *picture);

/* --- the tables of a job folder --- */

enum { JOB_TABLES = 13 };

/* Their names, photo-marks.csv among them, which the page alone reads. */
extern const char *const job_table_names[JOB_TABLES];

/* --- photo-marks.csv: places seen both on the photo of the board and on the board; the bench page
 * alone reads it, no verdict depends on it --- */

/* Numbers of a mark, pixels and millimetres, lie from -PHOTO_MARK_MOST to it. */
#define PHOTO_MARK_MOST 1e6

typedef struct photo_mark {
    char *mark;               /* its name */
    double column_px, row_px; /* of the photo as it is seen, from its upper left corner */
    double x_mm, y_mm;        /* on the board */
} photo_mark;

typedef struct photo_marks {
    photo_mark *items;
    size_t count;
} photo_marks;

/* Reads the file of the folder; one that is not there holds no mark. On SF_OK *marks is new, ended
 * with photo_marks_clear; else it is empty: SF_ERROR_MISSING (the file cannot be read),
 * SF_ERROR_DATA, both told in diagnostics; SF_ERROR_MEMORY. */
sf_status photo_marks_read(const char *folder, photo_marks *marks, sf_diagnostics *diagnostics);
void photo_marks_clear(photo_marks *discarded);

#endif
