/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of a plan: its points as a table, and on the heat map as numbered rings. */
#include <stdlib.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"
#include "output/report/worksheet.h"
#include "output/result_set.h"
#include "output/tables.h"
#include "spotfield/output.h"
#include "survey/facts.h"
#include "survey/what_if.h"

enum { TITLE_LINES = 3 };

void plan_record(const void *of, size_t row, record *into)
{
    const sf_plan *plan = of;
    const sf_plan_point *point = ROW_OF(sf_plan_point, plan->points, row);
    record_count(into, "rank", row + 1);
    record_short(into, "x_mm", point->x_mm);
    record_short(into, "y_mm", point->y_mm);
    record_words(into, "spot", sf_spot_text(point->spot));
    record_words(into, "side", sf_side_text(point->side));
    record_words(into, "method", sf_method_text(point->method));
    record_number(into, "gain", point->gain, 4);
    record_words(into, "on", point->on);
    record_words(into, "reason", point->reason);
}

/* --- the picture --- */

/* What a scene borrows. */
typedef struct plan_scene {
    double *temps_c; /* per cell, in service */
    sf_point *points;
    text titles[TITLE_LINES];
    const char *lines[TITLE_LINES];
} plan_scene;

static void clear_scene(plan_scene *of)
{
    free(of->temps_c);
    free(of->points);
    for (size_t i = 0; i < TITLE_LINES; i++)
        text_clear(&of->titles[i]);
}

static void add_titles(const sf_plan *plan, const sf_job *job, text titles[TITLE_LINES])
{
    text_add(&titles[0], board_name(job));
    if (plan->count > 0)
        text_addf(&titles[1], "Where to read next: %zu place%s, the most useful first", plan->count,
                  plan->count == 1 ? "" : "s");
    else
        text_add(&titles[1], "No further reading would change a verdict");
    if (plan->readings > 0)
        text_addf(&titles[2], "On the map from %zu reading%s", plan->readings,
                  plan->readings == 1 ? "" : "s");
    else
        text_add(&titles[2], "No readings yet: expected from construction and listed sources");
}

static sf_status set_scene(const sf_plan *plan, const sf_job *job, plan_scene *into)
{
    into->temps_c = service_temps_c(job, plan->field);
    into->points = array_new(plan->count, sizeof *into->points);
    if (!into->temps_c || !into->points)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < plan->count; i++)
        into->points[i] = (sf_point){plan->points[i].x_mm, plan->points[i].y_mm};
    add_titles(plan, job, into->titles);
    for (size_t i = 0; i < TITLE_LINES; i++) {
        into->lines[i] = into->titles[i].bytes;
        if (into->titles[i].failed)
            return SF_ERROR_MEMORY;
    }
    return SF_OK;
}

static sf_status draw_plan(const sf_plan *plan, const sf_job *job,
                           const sf_observation *observations, size_t observation_count,
                           const sf_picture_options *options, worksheet *sheet, file_block *png)
{
    plan_scene borrowed = {0};
    unsigned char *bytes = NULL;
    sf_status status = set_scene(plan, job, &borrowed);
    sf_scene scene = {.job = job,
                      .grid = sf_field_grid(plan->field),
                      .values = borrowed.temps_c,
                      .quantity = plan->readings > 0 ? "Temperature in service"
                                                     : "Temperature expected in service",
                      .unit = "C",
                      .observations = observations,
                      .observation_count = observation_count,
                      .results = plan->readings > 0 ? plan->results : NULL,
                      .points = borrowed.points,
                      .point_count = plan->count,
                      .title_lines = borrowed.lines,
                      .title_line_count = TITLE_LINES};
    scene.sources = sf_field_sources(plan->field, &scene.source_count);
    if (status == SF_OK)
        status = sf_scene_draw(&scene, options, &bytes, &png->count, NULL);
    png->bytes = bytes;
    /* the sheet has marks of its own, and no room for titles */
    scene.point_count = scene.title_line_count = 0;
    if (status == SF_OK)
        status = sf_scene_draw(&scene, options, &sheet->png, &sheet->png_size, &sheet->frame);
    clear_scene(&borrowed);
    return status;
}

sf_status sf_plan_write(const sf_plan *plan, const sf_job *job, const sf_observation *observations,
                        size_t observation_count, const sf_picture_options *picture,
                        const char *folder, sf_diagnostics *diagnostics)
{
    enum { TABLE, PICTURE, PAGE, FILES };
    text contents[FILES] = {{0}};
    worksheet sheet = {.job = job, .plan = plan};
    file_block blocks[FILES] = {
        {.name = "plan.csv"}, {.name = "plan.png"}, {.name = "worksheet.html"}};
    sf_status status =
        draw_plan(plan, job, observations, observation_count, picture, &sheet, &blocks[PICTURE]);
    if (status == SF_OK) {
        records_csv(plan_record, plan, plan->count, &contents[TABLE]);
        worksheet_html(&sheet, &contents[PAGE]);
        status = result_texts_write(folder, blocks, contents, FILES, diagnostics);
    } else {
        sf_diagnose(diagnostics, SF_ERROR, "plan.png", 0, "", sf_status_text(status), "");
    }
    free((void *)blocks[PICTURE].bytes);
    free(sheet.png);
    return status;
}
