/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A camera over the job's board, and the marks a technician sets. */
#include "benchmark/picture.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "benchmark/camera.h"
#include "core/memory.h"

#define MASK_EMISSIVITY 0.92 /* of green solder mask, 0.85 to 0.95 in handbook tables */
#define LID_EMISSIVITY 0.2   /* of a bare aluminium lid, oxidised: handbook tables */
#define NOISE_K 0.08
#define OFFSET_LIMIT_K 2.0 /* makers' usual limit of calibration: common practice, no source */
#define BODY_HEIGHT_MM 12.0
#define MARK_INSET_MM 3.0
#define SHADE_SD_K 0.5 /* of cameras without cooling that were not let warm up: judgement */
#define TEXTURE_SD 0.01
enum { TEXTURE_MM = 10 };

/* The place's rise, or that of the board nearest to it towards the middle. */
static double rise_near(const picture_scene *scene, double x_mm, double y_mm)
{
    for (double share = 0; share < 1; share += 0.01) {
        double x = x_mm + share * (scene->width_mm / 2 - x_mm);
        double y = y_mm + share * (scene->height_mm / 2 - y_mm);
        if (plate_holds(scene->truth, x, y))
            return plate_rise(scene->truth, x, y);
    }
    return 0;
}

/* Bodies of sources are hotter than the board below them by a third of its rise. */
static body source_body(const picture_scene *scene, size_t line)
{
    const table *from = scene->sources;
    double angle = table_number(from, line, "angle_deg", 0) * M_PI / 180;
    body made = {.x_mm = table_number(from, line, "x_mm", 0),
                 .y_mm = table_number(from, line, "y_mm", 0),
                 .width_mm = table_number(from, line, "width_mm", 1),
                 .depth_mm = table_number(from, line, "height_mm", 1),
                 .height_mm = BODY_HEIGHT_MM,
                 .cosine = cos(angle),
                 .sine = sin(angle)};
    made.temp_c = scene->ambient_c + 1.33 * rise_near(scene, made.x_mm, made.y_mm);
    return made;
}

/* A can's sleeve is a little off the board, its bare lid mirrors the room. */
static body part_body(const picture_scene *scene, size_t line)
{
    const table *from = scene->parts;
    double diameter_mm = table_number(from, line, "diameter_mm", 8);
    body made = {.x_mm = table_number(from, line, "x_mm", 0),
                 .y_mm = table_number(from, line, "y_mm", 0),
                 .diameter_mm = diameter_mm,
                 .height_mm = table_number(from, line, "height_mm", 1.5 * diameter_mm),
                 .top_emissivity = LID_EMISSIVITY};
    made.temp_c = scene->ambient_c + 0.97 * rise_near(scene, made.x_mm, made.y_mm);
    return made;
}

static body *bodies_make(const picture_scene *scene, size_t *count)
{
    body *made =
        array_new(scene->sources->count + scene->parts->count + CLUTTER_MOST, sizeof *made);
    *count = 0;
    for (size_t i = 0; made && i < scene->sources->count; i++)
        if (table_is_row(scene->sources, i))
            made[(*count)++] = source_body(scene, i);
    for (size_t i = 0; made && i < scene->parts->count; i++)
        if (table_is_row(scene->parts, i))
            made[(*count)++] = part_body(scene, i);
    for (size_t i = 0; made && scene->strays && i < scene->strays->count; i++) {
        const stray *one = &scene->strays->strays[i];
        body stands = one->stands;
        stands.temp_c =
            scene->ambient_c + one->rise_share * rise_near(scene, stands.x_mm, stands.y_mm);
        made[(*count)++] = stands;
    }
    return made;
}

static bool marks_write(const picture_scene *scene, const camera *seen_by,
                        const picture_options *asked, gsl_rng *chance, FILE *to)
{
    /* corners first, then the middles of the edges: shares of the rectangle */
    static const double places[8][2] = {{0, 0},   {1, 0},   {1, 1},   {0, 1},
                                        {0.5, 0}, {1, 0.5}, {0.5, 1}, {0, 0.5}};
    fputs("# Invented data: no such board, station or survey exists.\ncol,row,x_mm,y_mm\n", to);
    for (size_t i = 0; i < asked->marks; i++) {
        double x_mm = MARK_INSET_MM + places[i][0] * (scene->width_mm - 2 * MARK_INSET_MM);
        double y_mm = MARK_INSET_MM + places[i][1] * (scene->height_mm - 2 * MARK_INSET_MM);
        double column, row;
        camera_find(seen_by, x_mm, y_mm, &column, &row);
        fprintf(to, "%.1f,%.1f,", column + gsl_ran_gaussian(chance, asked->mark_error_px),
                row + gsl_ran_gaussian(chance, asked->mark_error_px));
        fprintf(to, "%.1f,%.1f\n", x_mm + gsl_ran_gaussian(chance, asked->mark_error_mm),
                y_mm + gsl_ran_gaussian(chance, asked->mark_error_mm));
    }
    return !ferror(to);
}

static bool cells_write(const camera *seen_by, const float *shown_c, FILE *to)
{
    fputs("# Invented data: no such board, station or survey exists.\n", to);
    for (size_t i = 0; i < seen_by->columns * seen_by->rows; i++)
        fprintf(to, "%.2f%c", (double)shown_c[i], (i + 1) % seen_by->columns ? ',' : '\n');
    return !ferror(to);
}

static FILE *file_open(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return fopen(path, "w");
}

static bool picture_write(const picture_scene *scene, const camera *seen_by,
                          const picture_options *asked, const float *shown_c, gsl_rng *chance,
                          const char *folder)
{
    FILE *cells = file_open(folder, "thermogram.csv"), *marks = file_open(folder, "marks.csv");
    bool whole = cells && marks && cells_write(seen_by, shown_c, cells) &&
                 marks_write(scene, seen_by, asked, chance, marks);
    if (cells)
        whole = fclose(cells) == 0 && whole;
    if (marks)
        whole = fclose(marks) == 0 && whole;
    return whole;
}

/* Solder mask over copper and laminate, print and flux: an emissivity that wanders, alike over a
 * centimetre. NULL when memory is short. */
static double *texture_new(const plate *board, gsl_rng *chance)
{
    size_t across = board->columns / TEXTURE_MM + 2, up = board->rows / TEXTURE_MM + 2;
    double *knots = array_new(across * up, sizeof *knots);
    double *made = array_new(board->cells, sizeof *made);
    for (size_t k = 0; knots && k < across * up; k++)
        knots[k] = gsl_ran_gaussian(chance, TEXTURE_SD);
    for (size_t i = 0; knots && made && i < board->cells; i++) {
        size_t x = i % board->columns, y = i / board->columns;
        double right = (double)(x % TEXTURE_MM) / TEXTURE_MM;
        double high = (double)(y % TEXTURE_MM) / TEXTURE_MM;
        const double *at = knots + y / TEXTURE_MM * across + x / TEXTURE_MM;
        made[i] = (1 - high) * ((1 - right) * at[0] + right * at[1]) +
                  high * ((1 - right) * at[across] + right * at[across + 1]);
    }
    free(knots);
    return made;
}

bool picture_take(const picture_scene *scene, const picture_options *asked, gsl_rng *chance,
                  const char *folder)
{
    camera seen_by = {.columns = asked->columns,
                      .rows = asked->rows,
                      .noise_k = NOISE_K,
                      .set_emissivity = asked->set_emissivity,
                      .offset_k = OFFSET_LIMIT_K * (2 * gsl_rng_uniform(chance) - 1)};
    view seen = {
        .board = scene->truth, .ambient_c = scene->ambient_c, .emissivity = MASK_EMISSIVITY};
    body *bodies = bodies_make(scene, &seen.body_count);
    float *shown_c = array_new(asked->columns * asked->rows, sizeof *shown_c);
    double *texture = NULL;
    bool whole = bodies && shown_c;
    if (whole && scene->strays) {
        seen_by.shade_k = gsl_ran_gaussian(chance, SHADE_SD_K);
        seen.texture = texture = texture_new(scene->truth, chance);
        whole = texture && clutter_write(scene->strays, scene->width_mm, scene->height_mm, folder);
    }
    if (whole) {
        seen.bodies = bodies;
        camera_hang(&seen_by, scene->truth);
        camera_shoot(&seen_by, &seen, chance, shown_c);
        whole = picture_write(scene, &seen_by, asked, shown_c, chance, folder);
    }
    free(bodies);
    free(texture);
    free(shown_c);
    return whole;
}
