/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The two pictures of an outcome: what is shown, and the words above it. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/parallel.h"
#include "core/text.h"
#include "spotfield/output.h"
#include "survey/facts.h"

enum { TITLE_LINES = 3 };

/* The words of a picture; each text may have failed. */
typedef struct lettering {
    text titles[TITLE_LINES];
    const char *lines[TITLE_LINES];
    double *readings_c; /* what each reading comes to in service */
} lettering;

static void add_air(text *into, const sf_job *job)
{
    const sf_board *board = &job->board;
    text_addf(into, "%s%s%s %s \u00B0C at the bench, %s \u00B0C in service",
              board->surveyed[0] ? "Surveyed " : "", board->surveyed,
              board->surveyed[0] ? ", air" : "Air", fixed_told(board->ambient_c, 1).bytes,
              fixed_told(sf_service_air_c(job), 1).bytes);
}

static void add_model(text *into, const sf_outcome *outcome)
{
    sf_field_summary summary = sf_field_summarize(outcome->field);
    double error_k = sf_outcome_part_error_k(outcome);
    text_addf(into, "Model %s", summary.model);
    if (isfinite(summary.length_mm.value))
        text_addf(into, ", spreading length %s mm", fixed_told(summary.length_mm.value, 1).bytes);
    if (isfinite(error_k))
        text_addf(into, ", expected error at a part %s K", fixed_told(error_k, 1).bytes);
}

static bool set_letters(const sf_outcome *outcome, lettering *letters)
{
    text_add(&letters->titles[0], board_name(outcome->job));
    add_air(&letters->titles[1], outcome->job);
    add_model(&letters->titles[2], outcome);
    letters->readings_c = array_new(outcome->observation_count, sizeof *letters->readings_c);
    bool whole = letters->readings_c != NULL;
    for (size_t i = 0; whole && i < outcome->observation_count; i++)
        letters->readings_c[i] = outcome->observations[i].rise_k + sf_service_air_c(outcome->job);
    for (size_t i = 0; i < TITLE_LINES; i++) {
        letters->lines[i] = letters->titles[i].bytes;
        whole = whole && !letters->titles[i].failed;
    }
    return whole;
}

static void clear_letters(lettering *letters)
{
    for (size_t i = 0; i < TITLE_LINES; i++)
        text_clear(&letters->titles[i]);
    free(letters->readings_c);
}

/* A picture to draw. */
typedef struct picture {
    sf_scene scene;
    const sf_picture_options *options;
    unsigned char *png;
    size_t size;
    sf_picture_frame frame;
} picture;

static picture heat_picture(const sf_outcome *outcome, const lettering *letters,
                            const sf_picture_options *options)
{
    picture made = {.options = options};
    made.scene = (sf_scene){.job = outcome->job,
                            .grid = sf_field_grid(outcome->field),
                            .values = outcome->temps_c,
                            .quantity = "Temperature in service",
                            .unit = "C",
                            .observations = outcome->observations,
                            .observation_count = outcome->observation_count,
                            .observation_labels = letters->readings_c,
                            .results = outcome->results,
                            .zones = outcome->zones,
                            .title_lines = letters->lines,
                            .title_line_count = TITLE_LINES};
    made.scene.sources = sf_field_sources(outcome->field, &made.scene.source_count);
    return made;
}

/* The same view; zones and readings would say nothing in kelvins of doubt. */
static picture doubt_picture(const picture *heat, const sf_field *field)
{
    picture made = *heat;
    made.scene.values = sf_field_rise_sd_k(field);
    made.scene.quantity = "Standard deviation";
    made.scene.unit = "K";
    made.scene.observation_labels = NULL;
    made.scene.zones = NULL;
    return made;
}

static sf_status draw_picture(void *given)
{
    picture *drawn = given;
    return sf_scene_draw(&drawn->scene, drawn->options, &drawn->png, &drawn->size, &drawn->frame);
}

sf_status sf_outcome_draw(const sf_outcome *outcome, const sf_picture_options *options,
                          sf_pictures *pictures, sf_diagnostics *diagnostics)
{
    lettering letters = {0};
    sf_status status = SF_ERROR_MEMORY;
    *pictures = (sf_pictures){0};
    if (set_letters(outcome, &letters)) {
        picture both[2] = {heat_picture(outcome, &letters, options)}, *heat = &both[0],
                *doubt = &both[1];
        *doubt = doubt_picture(heat, outcome->field);
        status = parallel_for(draw_picture, both, 2, sizeof *both);
        *pictures = (sf_pictures){heat->png, heat->size, doubt->png, doubt->size, heat->frame};
    }
    clear_letters(&letters);
    if (status != SF_OK) {
        sf_pictures_clear(pictures);
        sf_diagnose(diagnostics, SF_ERROR, "", 0, "drawing the pictures", sf_status_text(status),
                    "");
    }
    return status;
}

void sf_pictures_clear(sf_pictures *pictures)
{
    free(pictures->heat_png);
    free(pictures->doubt_png);
    *pictures = (sf_pictures){0};
}
