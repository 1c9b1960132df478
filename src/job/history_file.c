/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* history.csv and controls.csv: stretches of the board's life, and new parts read on the meter. */
#include <math.h>

#include "job/files.h"
#include "job/rows.h"

static const struct column period_columns[] = {
    {.name = "hours",
     .kind = COLUMN_NUMBER,
     .offset = offsetof(sf_period, hours),
     .flags = COLUMN_REQUIRED,
     .least = 0,
     .most = 1e6,
     .unit = "h"},
    {.name = "service_ambient",
     .kind = COLUMN_NUMBER,
     .offset = offsetof(sf_period, service_ambient_c),
     .least = -40,
     .most = 125,
     .unit = "C"},
    {.name = "load",
     .kind = COLUMN_NUMBER,
     .offset = offsetof(sf_period, load),
     .flags = COLUMN_ASSUMED,
     .least = 0,
     .most = 10},
    {.name = "note", .kind = COLUMN_TEXT, .offset = offsetof(sf_period, note)},
};

static const sf_period blank_period = {.hours = NAN, .service_ambient_c = NAN, .load = 1};

const struct row_kind period_kind = {
    .file = "history.csv",
    .things = "periods",
    .columns = period_columns,
    .column_count = sizeof period_columns / sizeof period_columns[0],
    .row_size = sizeof(sf_period),
    .line_offset = ROWS_NO_LINE,
    .blank = &blank_period,
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
               "service_ambient not given for %zu of %zu periods: %.10g C assumed, the "
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
        assume(intake, "history.csv not given: that beside machine.csv taken, %zu periods", *count);
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

static const struct column control_columns[] = {
    {.name = "value_uf",
     .kind = COLUMN_NUMBER,
     .offset = offsetof(sf_control, value_uf),
     .flags = COLUMN_REQUIRED,
     .least = MARKED_UF_MIN,
     .most = MARKED_UF_MAX,
     .unit = "uF"},
    {.name = "measured_uf",
     .kind = COLUMN_NUMBER,
     .offset = offsetof(sf_control, measured_uf),
     .flags = COLUMN_REQUIRED,
     .least = MARKED_UF_MIN,
     .most = MARKED_UF_MAX,
     .unit = "uF"},
    {.name = "note", .kind = COLUMN_TEXT, .offset = offsetof(sf_control, note)},
};

static const sf_control blank_control = {.value_uf = NAN, .measured_uf = NAN};

const struct row_kind control_kind = {
    .file = "controls.csv",
    .things = "controls",
    .columns = control_columns,
    .column_count = sizeof control_columns / sizeof control_columns[0],
    .row_size = sizeof(sf_control),
    .line_offset = ROWS_NO_LINE,
    .blank = &blank_control,
};

void controls_file_read(struct intake *intake)
{
    void *rows = NULL;
    rows_read(intake, &control_kind, &rows, &intake->job->control_count);
    intake->job->controls = rows;
}
