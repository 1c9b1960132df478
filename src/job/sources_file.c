/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* sources.csv: the known heat sources. */
#include <math.h>
#include <stdlib.h>

#include "job/choice_words.h"
#include "job/files.h"
#include "job/places.h"
#include "job/rows.h"

/* The smallest chips are 0.2 mm wide (common practice, no source). */
#define SOURCE_MM_MIN 0.1

/* Taken as one standard uncertainty of a power that is given without: a label or a meter reading
 * is seldom better known (judgement). */
static const double power_sd_share = 0.2;
static const double power_sd_w_least = 0.01;

#define ROW sf_source

static const struct column source_columns[] = {
    {TEXT_COLUMN("ref", ref), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("x_mm", x_mm, -2, SF_BOARD_MM_MAX + 2, "mm"), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("y_mm", y_mm, -2, SF_BOARD_MM_MAX + 2, "mm"), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("width_mm", width_mm, SOURCE_MM_MIN, SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("height_mm", height_mm, SOURCE_MM_MIN, SF_BOARD_MM_MAX, "mm"),
     .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("angle_deg", angle_deg, -360, 360, "degrees"), .flags = COLUMN_ASSUMED},
    {WORD_COLUMN("side", side, side_words)},
    {WORD_COLUMN("mount", mount, mount_words), .flags = COLUMN_ASSUMED},
    {NUMBER_COLUMN("power_w", power_w, 0, 5000, "W")},
    {NUMBER_COLUMN("power_u_w", power_sd_w, 1e-6, 5000, "W")},
    /* a microwatt warms nothing */
    {NUMBER_COLUMN("emissivity", emissivity, SF_EMISSIVITY_MIN, 1, "")},
};

const struct row_kind source_kind = {
    .file = "sources.csv",
    .things = "sources",
    ROWS_OF(source_columns),
    .line_offset = offsetof(sf_source, line),
};

static void settle_powers(struct intake *intake)
{
    sf_job *job = intake->job;
    size_t assumed = 0;
    for (size_t i = 0; i < job->source_count; i++) {
        sf_source *source = &job->sources[i];
        where at = {"sources.csv", source->line, "power_u_w"};
        if (isnan(source->power_w) && !isnan(source->power_sd_w)) {
            diagnose_warning(intake, at, "", "without a power_w it is ignored");
            source->power_sd_w = NAN;
        } else if (!isnan(source->power_w) && isnan(source->power_sd_w)) {
            source->power_sd_w = fmax(power_sd_share * source->power_w, power_sd_w_least);
            assumed++;
        }
    }
    if (assumed > 0)
        assume(intake, "power_u_w not given for %zu of %zu sources: taken as %.0f %% of power_w",
               assumed, job->source_count, 100 * power_sd_share);
}

/* A footprint wider than the board's diagonal is no footprint. */
static void check_sizes(struct intake *intake, const sf_source *source)
{
    const sf_board *board = &intake->job->board;
    double diagonal_mm = hypot(board->width_mm, board->height_mm);
    if (source->width_mm > diagonal_mm || source->height_mm > diagonal_mm)
        diagnose_error(intake, (where){"sources.csv", source->line, ""},
                       "a footprint that fits the board",
                       "source %s of %.10g x %.10g mm is larger than the board",
                       excerpt_of(source->ref).text, source->width_mm, source->height_mm);
}

/* A source may hang over the edge, but some of it must be on the board. */
static void check_place(struct intake *intake, const sf_source *source)
{
    struct stray stray = {{"sources.csv", source->line, ""},
                          "source",
                          source->ref,
                          {source->x_mm, source->y_mm},
                          source_off_board_mm(intake, source)};
    if (stray.off_mm > PLACE_OFF_BOARD_MM)
        diagnose_of_stray(intake, &stray);
}

static void check_sources(struct intake *intake)
{
    sf_job *job = intake->job;
    struct name_line *names = keep_array(intake, job->source_count, sizeof *names);
    if (!names)
        return;
    for (size_t i = 0; i < job->source_count; i++) {
        const sf_source *source = &job->sources[i];
        names[i] = (struct name_line){source->ref, source->line};
        check_place(intake, source);
        check_sizes(intake, source);
    }
    twins_check(intake, "sources.csv", "ref", names, job->source_count);
    free(names);
}

void sources_file_read(struct intake *intake)
{
    void *rows = NULL;
    rows_read(intake, &source_kind, &rows, &intake->job->source_count);
    intake->job->sources = rows;
    if (!rows || intake->memory_short)
        return;
    if (intake->job->source_count > SF_SOURCES_MAX) {
        diagnose_error(intake, (where){"sources.csv", 0, ""}, "",
                       "the file has more sources than the limit of %u", SF_SOURCES_MAX);
        return;
    }
    settle_powers(intake);
    check_sources(intake);
}
