/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit is asked: the table of models, the options, and a job as its input. */
#include "field/asked.h"

#include <math.h>
#include <string.h>

#define CELLS_MAX 10000
#define CELLS_LIMIT 1000000
#define POSITION_SD_MM 1.0 /* a ruler and the size of a bead */

static const field_model *const models[] = {&heat_balance_model, &thin_plate_model, &kriging_model};
#define MODEL_COUNT (sizeof models / sizeof *models)

const sf_field_model_name *const *sf_field_models(void)
{
    static const sf_field_model_name *const names[] = {
        &heat_balance_model.called,
        &thin_plate_model.called,
        &kriging_model.called,
        NULL,
    };
    return names;
}

sf_field_options sf_field_options_default(void)
{
    return (sf_field_options){.model = heat_balance_model.called.name,
                              .cell_mm = 0,
                              .cells_max = CELLS_MAX,
                              .position_sd_mm = POSITION_SD_MM};
}

sf_field_input sf_field_input_of(const sf_job *job, const sf_observation *observations,
                                 size_t count)
{
    return (sf_field_input){.board = &job->board,
                            .rings = job->rings,
                            .ring_count = job->ring_count,
                            .sources = job->sources,
                            .source_count = job->source_count,
                            .observations = observations,
                            .observation_count = count};
}

const field_model *find_model(const char *name)
{
    for (size_t i = 0; name && i < MODEL_COUNT; i++)
        if (strcmp(models[i]->called.name, name) == 0)
            return models[i];
    return NULL;
}

bool options_hold(const sf_field_options *options)
{
    return find_model(options->model) && options->cell_mm >= 0 && isfinite(options->cell_mm) &&
           options->cells_max >= 4 && options->cells_max <= CELLS_LIMIT &&
           options->position_sd_mm >= 0 && isfinite(options->position_sd_mm);
}
