/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Maps a job and writes its results; reads one of them back. */
#include "page/export.h"

#include <string.h>

#include "core/json_values.h"
#include "page/folder_file.h"
#include "page/job_files.h"

/* No result is larger: field.csv of the finest grid has some 50 MB. */
enum { RESULT_BYTES_MOST = 256 << 20 };

const char result_policy[] = "default-src 'none'; script-src 'unsafe-inline'; "
                             "style-src 'unsafe-inline'; img-src data:; connect-src 'none'; "
                             "base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

sf_status results_make(const char *folder, mapping *made, sf_diagnostics *diagnostics)
{
    sf_map_options options = sf_map_options_default();
    sf_picture_options picture = sf_picture_options_default();
    uint64_t stamp = 0;
    *made = (mapping){0};
    sf_status status = job_read_settled(folder, sf_job_read, &made->job, &stamp, diagnostics);
    if (status == SF_OK)
        status = sf_map_job(made->job, &options, &made->outcome, diagnostics);
    if (status == SF_OK)
        status = sf_outcome_draw(made->outcome, &picture, &made->pictures, diagnostics);
    return status;
}

void results_clear(mapping *made)
{
    sf_pictures_clear(&made->pictures);
    sf_outcome_free(made->outcome);
    sf_job_free(made->job);
    *made = (mapping){0};
}

json_t *results_names(void)
{
    json_t *made = json_array();
    for (const sf_output *output = sf_outputs(); output->name; output++)
        made = list_append(made, json_pack("{s:s, s:s}", "name", output->name, "description",
                                           output->description));
    return made;
}

static const char *type_of(const char *name)
{
    static const char *const types[][2] = {{".csv", "text/csv; charset=utf-8"},
                                           {".png", "image/png"},
                                           {".html", "text/html; charset=utf-8"}};
    const char *ending = strrchr(name, '.');
    for (size_t i = 0; ending && i < sizeof types / sizeof *types; i++)
        if (strcmp(types[i][0], ending) == 0)
            return types[i][1];
    return "application/octet-stream";
}

static bool is_result(const char *name)
{
    for (const sf_output *output = sf_outputs(); output->name; output++)
        if (strcmp(output->name, name) == 0)
            return true;
    return false;
}

sf_status result_read(const char *results, bool own, const char *name, text *into,
                      const char **type)
{
    if (!is_result(name))
        return SF_ERROR_MISSING;
    *type = type_of(name);
    return own_file_read(results, own, name, RESULT_BYTES_MOST, into);
}
