/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads and corrects what a folder holds, and plans on it. */
#include "survey/plan_job.h"

sf_status job_understand(const char *folder,
                         sf_status (*read)(const char *, sf_job **, sf_diagnostics *),
                         understood *made, sf_diagnostics *diagnostics)
{
    *made = (understood){0};
    sf_status status = read(folder, &made->job, diagnostics);
    if (status == SF_OK) {
        status = sf_readings_correct(made->job, &made->observations, &made->observation_count,
                                     diagnostics);
        sf_status pictured = sf_thermogram_correct(made->job, &made->pixels, diagnostics);
        status = status == SF_OK ? pictured : status;
    }
    if (status != SF_OK)
        understood_clear(made);
    return status;
}

void understood_clear(understood *ended)
{
    sf_pixels_free(ended->pixels);
    sf_observations_free(ended->observations, ended->observation_count);
    sf_job_free(ended->job);
    *ended = (understood){0};
}

planned plan_job(const char *folder)
{
    planned done = {0};
    understood found;
    sf_diagnostics dropped = {0};
    sf_plan_options options = sf_plan_options_default();
    options.points = 3;
    if (job_understand(folder, sf_job_read_to_plan, &found, &dropped) == SF_OK) {
        options.pixels = found.pixels;
        sf_plan_make(found.job, found.observations, found.observation_count, &options, &done.plan,
                     &dropped);
        done.job = found.job;
        found.job = NULL;
    }
    understood_clear(&found);
    sf_diagnostics_clear(&dropped);
    return done;
}

void planned_clear(planned *ended)
{
    sf_plan_free(ended->plan);
    sf_job_free(ended->job);
    *ended = (planned){0};
}
