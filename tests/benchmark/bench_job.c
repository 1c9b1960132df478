/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays a raised board out as a job in memory. */
#include "benchmark/bench_job.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static char nothing[] = "";

static char *ref_make(bench_job *into, size_t at, char letter, size_t number)
{
    snprintf(into->refs[at], sizeof into->refs[at], "%c%zu", letter, number);
    return into->refs[at];
}

static sf_air air_read(const char *words)
{
    sf_air moves = SF_AIR_STILL;
    while (moves + 1 < SF_AIR_COUNT && strcmp(words, sf_air_text(moves)) != 0)
        moves++;
    return moves;
}

static void board_fill(bench_job *into, const raised *board)
{
    const invented *base = &board->base;
    into->job = (sf_job){
        .folder = nothing,
        .board = {.name = nothing,
                  .width_mm = base->width_mm,
                  .height_mm = base->height_mm,
                  .laminate = strcmp(base->grade, "FR-2") == 0 ? SF_LAMINATE_FR2 : SF_LAMINATE_FR4,
                  .thickness_mm = base->copper.thickness_mm,
                  .copper_layers = base->copper.layers,
                  .copper_thickness_um = base->copper.thickness_um,
                  .copper_cover = base->cover_written_pct / 100,
                  .air = air_read(base->air),
                  .ambient_c = base->loss.ambient_c,
                  .service_ambient_c = base->service_ambient_c,
                  .service_ambient_sd_k = 2,
                  .run_hours = base->run_hours,
                  .run_hours_sd = (double)NAN,
                  .run_hours_sd_pct = 10,
                  .made_year = 2001,
                  .surveyed = nothing,
                  .survey_year = 2026.1,
                  .hours_per_year = 1800,
                  .service_goal_h = 12000},
        .rings = (sf_ring *)base->rings,
        .ring_count = base->ring_count,
        .sources = into->sources,
        .parts = into->parts,
        .part_count = board->can_count,
        .readings = into->readings,
        .keepout_told = true,
        .policy = sf_policy_default(),
    };
}

static void sources_fill(bench_job *into, const invented *base)
{
    for (size_t i = 0; i < base->source_count; i++) {
        const invented_source *source = &base->sources[i];
        if (!source->listed)
            continue;
        into->sources[into->job.source_count++] = (sf_source){.ref = ref_make(into, i, 'H', i + 1),
                                                              .x_mm = source->x_mm,
                                                              .y_mm = source->y_mm,
                                                              .width_mm = source->width_mm,
                                                              .height_mm = source->height_mm,
                                                              .power_w = source->power_w,
                                                              .power_sd_w = source->power_sd_w,
                                                              .emissivity = (double)NAN};
    }
}

static void parts_fill(bench_job *into, const raised *board)
{
    for (size_t i = 0; i < board->can_count; i++) {
        const invented_part *part = &board->base.parts[i];
        into->parts[i] = (sf_part){.ref = ref_make(into, SOURCES_MOST + i, 'C', i + 1),
                                   .x_mm = part->x_mm,
                                   .y_mm = part->y_mm,
                                   .diameter_mm = part->diameter_mm,
                                   .height_mm = part->height_mm,
                                   .capacitance_uf = part->capacitance_uf,
                                   .tolerance_low_pct = 20,
                                   .tolerance_high_pct = 20,
                                   .rated_v = part->rated_v,
                                   .rated_c = part->rated_c,
                                   .endurance_h = part->endurance_h,
                                   .ripple_a = (double)NAN,
                                   .rated_ripple_a = (double)NAN,
                                   .working_v = (double)NAN,
                                   .duty = 1,
                                   .critical = part->critical,
                                   .hours = (double)NAN,
                                   .measured_uf = (double)NAN,
                                   .measured_esr_ohm = (double)NAN,
                                   .esr_limit_ohm = (double)NAN,
                                   .emissivity = (double)NAN,
                                   .note = nothing};
    }
}

void bench_job_set(bench_job *into, const raised *board)
{
    *into = (bench_job){0};
    board_fill(into, board);
    sources_fill(into, &board->base);
    parts_fill(into, board);
}

void bench_job_read(bench_job *into, const raised *board)
{
    static const sf_spot spots[] = {SF_SPOT_BOARD, SF_SPOT_BOARD, SF_SPOT_PART, SF_SPOT_SOURCE};
    for (size_t i = 0; i < board->reading_count; i++) {
        const raised_reading *read = &board->readings[i];
        into->readings[i] =
            (sf_reading){.id = ref_make(into, SOURCES_MOST + PARTS + i, 't', i + 1),
                         .x_mm = read->x_mm,
                         .y_mm = read->y_mm,
                         .value = read->value_c,
                         .unit = SF_UNIT_CELSIUS,
                         .method = read->infrared ? SF_METHOD_INFRARED : SF_METHOD_THERMOCOUPLE_K,
                         .spot = spots[read->on],
                         .part = read->on == ON_CAN ? into->parts[read->number].ref : nothing,
                         .sd_k = (double)NAN,
                         .emissivity = (double)NAN,
                         .reflected_c = (double)NAN,
                         .ambient_c = (double)NAN,
                         .junction_c = (double)NAN,
                         .minute = (double)NAN,
                         .note = nothing};
    }
    into->job.reading_count = board->reading_count;
}
