/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The folders of invented jobs: what the technician knows, and the truth beside it. */
#include "benchmark/job_files.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <sys/stat.h>

FILE *job_file_open(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return fopen(path, "w");
}

bool job_file_close(FILE *written)
{
    bool whole = !ferror(written);
    return fclose(written) == 0 && whole;
}

bool job_board_write(const invented *board, const char *folder, size_t number)
{
    FILE *into = job_file_open(folder, "board.csv");
    if (!into)
        return false;
    fprintf(into, "key,value,unit\nname,invented board %zu,\n", number);
    fprintf(into, "width,%g,mm\nheight,%g,mm\n", board->width_mm, board->height_mm);
    fprintf(into, "grade,%s,\nthickness,%g,mm\n", board->grade, board->copper.thickness_mm);
    fprintf(into, "copper_layers,%d,\ncopper_thickness,%g,um\n", board->copper.layers,
            board->copper.thickness_um);
    fprintf(into, "copper_cover,%g,%%\nair,%s,\n", board->cover_written_pct, board->air);
    fprintf(into, "ambient,%.1f,C\nservice_ambient,%.1f,C\n", board->loss.ambient_c,
            board->service_ambient_c);
    fprintf(into, "run_hours,%g,h\nmade,2001,\nsurveyed,2026-02-20,\n", board->run_hours);
    fprintf(into, "hours_per_year,1800,h\nservice_goal,12000,h\n");
    return job_file_close(into);
}

bool job_outline_write(const invented *board, const char *folder)
{
    FILE *into = job_file_open(folder, "outline.csv");
    if (!into)
        return false;
    fprintf(into, "ring,x_mm,y_mm\n");
    for (size_t i = 0; i < board->ring_count; i++)
        for (size_t j = 0; j < board->rings[i].count; j++)
            fprintf(into, "%zu,%.1f,%.1f\n", i, board->rings[i].points[j].x_mm,
                    board->rings[i].points[j].y_mm);
    return job_file_close(into);
}

bool job_sources_write(const invented *board, const char *folder, bool mounts)
{
    FILE *into = job_file_open(folder, "sources.csv");
    if (!into)
        return false;
    fprintf(into, "ref,x_mm,y_mm,width_mm,height_mm,angle_deg,power_w,power_u_w%s\n",
            mounts ? ",mount" : "");
    for (size_t i = 0; i < board->source_count; i++) {
        const invented_source *source = &board->sources[i];
        if (!source->listed)
            continue;
        fprintf(into, "H%zu,%.1f,%.1f,%.1f,%.1f,0,", i + 1, source->x_mm, source->y_mm,
                source->width_mm, source->height_mm);
        if (!isnan(source->power_w))
            fprintf(into, "%.2f", source->power_w);
        fprintf(into, ",");
        if (!isnan(source->power_sd_w))
            fprintf(into, "%.2f", source->power_sd_w);
        fprintf(into, mounts ? ",%s\n" : "\n", source->mount);
    }
    return job_file_close(into);
}

static bool readings_write(const invented *board, const char *folder)
{
    FILE *into = job_file_open(folder, "readings.csv");
    if (!into)
        return false;
    fprintf(into, "id,x_mm,y_mm,value,unit,method,spot,u_k\n");
    for (size_t i = 0; i < board->reading_count; i++)
        fprintf(into, "t%zu,%.1f,%.1f,%.1f,C,thermocouple-K,board,0.8\n", i + 1,
                board->readings[i].x_mm, board->readings[i].y_mm, board->readings[i].value_c);
    return job_file_close(into);
}

bool job_parts_write(const invented *board, const char *folder, size_t count, bool heights)
{
    FILE *into = job_file_open(folder, "parts.csv");
    if (!into)
        return false;
    fprintf(into,
            "ref,x_mm,y_mm,diameter_mm,%scapacitance_uf,rated_v,rated_c,endurance_h,"
            "critical,year\n",
            heights ? "height_mm," : "");
    for (size_t i = 0; i < count; i++) {
        const invented_part *part = &board->parts[i];
        fprintf(into, "C%zu,%.1f,%.1f,%g,", i + 1, part->x_mm, part->y_mm, part->diameter_mm);
        if (heights)
            fprintf(into, "%.1f,", part->height_mm);
        fprintf(into, "%g,%g,%g,%g,%s,2001\n", part->capacitance_uf, part->rated_v, part->rated_c,
                part->endurance_h, part->critical ? "yes" : "no");
    }
    return job_file_close(into);
}

double job_used(const invented *board, size_t part, double temp_c)
{
    const invented_part *asked = &board->parts[part];
    return board->run_hours / (asked->endurance_h * exp2((asked->rated_c - fmax(temp_c, 40)) / 10));
}

static bool truth_write(const invented *board, const char *folder)
{
    FILE *into = job_file_open(folder, "truth.csv");
    if (!into)
        return false;
    fprintf(into, "ref,temp_c,used\n");
    for (size_t i = 0; i < PARTS; i++) {
        double temp_c = board->service_ambient_c +
                        plate_rise(board->truth, board->parts[i].x_mm, board->parts[i].y_mm);
        fprintf(into, "C%zu,%.3f,%.5f\n", i + 1, temp_c, job_used(board, i, temp_c));
    }
    return job_file_close(into);
}

bool job_folder_make(const char *path)
{
    return mkdir(path, 0777) == 0 || errno == EEXIST;
}

bool job_write(const invented *board, const char *folder, size_t number)
{
    return job_folder_make(folder) && job_board_write(board, folder, number) &&
           job_outline_write(board, folder) && job_sources_write(board, folder, false) &&
           readings_write(board, folder) && job_parts_write(board, folder, PARTS, false) &&
           truth_write(board, folder);
}
