/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A job folder with many things on the board: drawn from a seed, its readings of bumps over the
 * sources. No physics made it: it is for the time that it takes. */
#include "benchmark/crowded_job.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>

#include "benchmark/job_files.h"

enum { WIDTH_MM = 220, HEIGHT_MM = 160 };

/* The i-th place of a lattice of golden ratios: spread evenly whatever their number. */
static sf_point place(size_t index, double margin_mm)
{
    return (sf_point){
        margin_mm + (WIDTH_MM - 2 * margin_mm) * fmod(0.754877666 * (double)(index + 1), 1),
        margin_mm + (HEIGHT_MM - 2 * margin_mm) * fmod(0.569840291 * (double)(index + 1), 1)};
}

static double rise_k(const crowded_job *asked, sf_point at)
{
    double sum_k = 9;
    for (size_t j = 0; j < asked->sources; j++) {
        sf_point hot = place(3 * j + 11, 14);
        sum_k +=
            (3 + 4.0 * (double)(j % 5)) * exp(-hypot(at.x_mm - hot.x_mm, at.y_mm - hot.y_mm) / 17);
    }
    return sum_k;
}

static bool board_write(const char *folder)
{
    FILE *into = job_file_open(folder, "board.csv");
    if (!into)
        return false;
    fprintf(into, "key,value,unit\nname,crowded board,\nwidth,%d,mm\nheight,%d,mm\n", WIDTH_MM,
            HEIGHT_MM);
    fprintf(into, "grade,FR4,\nthickness,1.6,mm\ncopper_layers,2,\ncopper_thickness,35,um\n"
                  "copper_cover,45,%%\nair,still,\nambient,22.4,C\nservice_ambient,31,C\n"
                  "run_hours,38000,h\nmade,2001,\nsurveyed,2026-02-20,\nhours_per_year,1800,h\n"
                  "service_goal,12000,h\n");
    return job_file_close(into);
}

static bool sources_write(const crowded_job *asked)
{
    FILE *into = job_file_open(asked->folder, "sources.csv");
    if (!into)
        return false;
    fprintf(into, "ref,x_mm,y_mm,width_mm,height_mm\n");
    for (size_t j = 0; j < asked->sources; j++) {
        sf_point at = place(3 * j + 11, 14);
        fprintf(into, "H%zu,%.1f,%.1f,%zu,%zu\n", j + 1, at.x_mm, at.y_mm, 7 + j % 6, 6 + j % 5);
    }
    return job_file_close(into);
}

static bool parts_write(const crowded_job *asked)
{
    FILE *into = job_file_open(asked->folder, "parts.csv");
    if (!into)
        return false;
    fprintf(into, "ref,x_mm,y_mm,diameter_mm,capacitance_uf,rated_v,rated_c,endurance_h,year\n");
    for (size_t i = 0; i < asked->parts; i++) {
        sf_point at = place(i, 5);
        fprintf(into, "C%zu,%.1f,%.1f,5,%d,%d,%d,2000,2001\n", i + 1, at.x_mm, at.y_mm,
                i % 3 ? 47 : 100, i % 4 ? 25 : 35, i % 2 ? 105 : 85);
    }
    return job_file_close(into);
}

static bool readings_write(const crowded_job *asked, gsl_rng *chance)
{
    FILE *into = job_file_open(asked->folder, "readings.csv");
    if (!into)
        return false;
    fprintf(into, "id,x_mm,y_mm,value,unit,method,spot,u_k\n");
    for (size_t i = 0; i < asked->readings; i++) {
        sf_point at = place(7 * i + 5, 3);
        fprintf(into, "t%zu,%.1f,%.1f,%.1f,C,thermocouple-K,board,0.8\n", i + 1, at.x_mm, at.y_mm,
                22.4 + rise_k(asked, at) + gsl_ran_gaussian(chance, 0.5));
    }
    return job_file_close(into);
}

bool crowded_job_write(const crowded_job *asked, unsigned long seed)
{
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    if (!chance)
        return false;
    gsl_rng_set(chance, seed);
    bool written = board_write(asked->folder) && sources_write(asked) && parts_write(asked) &&
                   readings_write(asked, chance);
    gsl_rng_free(chance);
    return written;
}
