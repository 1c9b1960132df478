/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A raised board's job folder, and its truth: cans, fields, readings and sources. */
#include <math.h>

#include "benchmark/job_files.h"

static bool readings_write(const raised *board, const char *folder)
{
    static const char *const spots[] = {"board", "board", "part", "source"};
    static const char *const notes[] = {"component side", "solder side", "on the can",
                                        "on the body"};
    FILE *into = job_file_open(folder, "readings.csv");
    if (!into)
        return false;
    fprintf(into, "id,x_mm,y_mm,value,unit,method,spot,u_k,note\n");
    for (size_t i = 0; i < board->reading_count; i++) {
        const raised_reading *read = &board->readings[i];
        fprintf(into, "t%zu,%.1f,%.1f,%.1f,C,%s,%s,,%s\n", i + 1, read->x_mm, read->y_mm,
                read->value_c, read->infrared ? "infrared" : "thermocouple-K", spots[read->on],
                notes[read->on]);
    }
    return job_file_close(into);
}

static bool truth_write(const raised *board, const char *folder)
{
    FILE *into = job_file_open(folder, "truth.csv");
    if (!into)
        return false;
    const double *rise_k = board->heat.rise_k;
    double service_c = board->base.service_ambient_c;
    fprintf(into, "ref,temp_c,used,board_c,core_c,lid_c,air_c,own_w,rise_k\n");
    for (size_t i = 0; i < board->can_count; i++) {
        const invented_part *part = &board->base.parts[i];
        double case_k = raised_case_rise(board, i), temp_c = service_c + case_k;
        fprintf(into, "C%zu,%.3f,%.5f,%.3f,%.3f,%.3f,%.3f,%.4f,%.3f\n", i + 1, temp_c,
                job_used(&board->base, i, temp_c), service_c + raised_board_rise(board, i),
                service_c + rise_k[board->cans[i].core], service_c + rise_k[board->cans[i].lid],
                service_c + raised_air_rise(board, part->x_mm, part->y_mm), board->cans[i].own_w,
                case_k);
    }
    return job_file_close(into);
}

static bool truth_readings_write(const raised *board, const char *folder)
{
    FILE *into = job_file_open(folder, "truth-readings.csv");
    if (!into)
        return false;
    fprintf(into, "id,true_surface_c,air_beside_c,error_k,gross\n");
    for (size_t i = 0; i < board->reading_count; i++) {
        const raised_reading *read = &board->readings[i];
        fprintf(into, "t%zu,%.2f,%.2f,%.2f,%s\n", i + 1, read->surface_c, read->air_c,
                read->value_c - read->surface_c, read->gross ? "yes" : "no");
    }
    return job_file_close(into);
}

static bool truth_sources_write(const raised *board, const char *folder)
{
    FILE *into = job_file_open(folder, "truth-sources.csv");
    if (!into)
        return false;
    fprintf(into, "ref,kind,listed,power_w,into_board_w,body_rise_k\n");
    for (size_t i = 0; i < board->base.source_count; i++)
        fprintf(into, "H%zu,%s,%s,%.4f,%.4f,%.2f\n", i + 1, body_kind_text(board->bodies[i].kind),
                board->base.sources[i].listed ? "yes" : "no", board->base.sources[i].true_w,
                raised_into_board_w(board, i), board->heat.rise_k[board->bodies[i].skin]);
    return job_file_close(into);
}

static bool truth_field_write(const raised *board, const char *folder)
{
    FILE *into = job_file_open(folder, "truth-field.csv");
    if (!into)
        return false;
    const invented *base = &board->base;
    fprintf(into, "x_mm,y_mm,bench_c,air_c\n");
    for (double x_mm = 1; x_mm < base->width_mm; x_mm += 4)
        for (double y_mm = 1; y_mm < base->height_mm; y_mm += 4)
            if (invented_has_room(base, x_mm, y_mm, 0.8, 0.8))
                fprintf(into, "%g,%g,%.2f,%.2f\n", x_mm, y_mm,
                        board->true_ambient_c + raised_face_rise(board, 0, x_mm, y_mm),
                        board->true_ambient_c + raised_air_rise(board, x_mm, y_mm));
    return job_file_close(into);
}

bool job_write_raised(const raised *board, const char *folder, size_t number, bool mounts)
{
    const invented *base = &board->base;
    return job_folder_make(folder) && job_board_write(base, folder, number) &&
           job_outline_write(base, folder) && job_sources_write(base, folder, mounts) &&
           readings_write(board, folder) && job_parts_write(base, folder, board->can_count, true) &&
           truth_write(board, folder) && truth_readings_write(board, folder) &&
           truth_sources_write(board, folder) && truth_field_write(board, folder);
}
