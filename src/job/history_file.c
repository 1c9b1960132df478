/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* history.csv and controls.csv: stretches of the board's life, and new parts read on the meter. */
#include <math.h>

#include "job/files.h"
#include "job/rows.h"

#define ROW sf_period

static const struct column period_columns[] = {
    {NUMBER_COLUMN("hours", hours, 0, 1e6, "h"), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("service_ambient", service_ambient_c, -40, 125, "C")},
    {NUMBER_COLUMN("load", load, 0, 10, ""), .flags = COLUMN_ASSUMED, .usual = 1},
    {TEXT_COLUMN("note", note)},
};

const struct row_kind period_kind = {
    .file = "history.csv",
    .things = "periods",
    ROWS_OF(period_columns),
    .line_offset = ROWS_NO_LINE,
};

static void settle_service_ambients(struct intake *intake)
{
    sf_job *job = intake->job;
    size_t assumed = 0;
    for (size_t i = 0; i < job->period_count; i++)
        if (isnan(job->periods[i].service_ambient_c)) {
            job->periods[i].service_ambient_c = job->board.service_ambient_c;
            assumed++;
        }
    if (assumed > 0)
        assume(intake,
               "service_ambient not given for %zu of %zu periods: taken as %.10g C, the "
               "board's",
               assumed, job->period_count, job->board.service_ambient_c);
}

/* A machine has one history, which a board without one shares. */
static void *read_of_machine(struct intake *intake, size_t *count)
{
    void *rows = NULL;
    struct row_kind kind = period_kind;
    kind.file = "../history.csv";
    if (rows_read(intake, &kind, &rows, count) == FILE_READ)
        assume(intake, "history.csv not given: the one beside machine.csv taken, %zu periods",
               *count);
    return rows;
}

void history_file_read(struct intake *intake)
{
    void *rows = NULL;
    size_t *count = &intake->job->period_count;
    if (rows_read(intake, &period_kind, &rows, count) == FILE_ABSENT && intake->machine_told)
        rows = read_of_machine(intake, count);
    intake->job->periods = rows;
    if (rows && !intake->memory_short)
        settle_service_ambients(intake);
}

#undef ROW
#define ROW sf_control

static const struct column control_columns[] = {
    {NUMBER_COLUMN("value_uf", value_uf, MARKED_UF_MIN, MARKED_UF_MAX, "uF"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("measured_uf", measured_uf, MARKED_UF_MIN, MARKED_UF_MAX, "uF"),
     .flags = COLUMN_REQUIRED},
    {TEXT_COLUMN("note", note)},
};

const struct row_kind control_kind = {
    .file = "controls.csv",
    .things = "controls",
    ROWS_OF(control_columns),
    .line_offset = ROWS_NO_LINE,
};

void controls_file_read(struct intake *intake)
{
    void *rows = NULL;
    rows_read(intake, &control_kind, &rows, &intake->job->control_count);
    intake->job->controls = rows;
}
