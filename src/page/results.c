/* Maps a job and writes its results; reads one of them back. */
#include "page/results.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/json_values.h"
#include "page/folder_file.h"
#include "spotfield/report.h"

const char result_policy[] = "default-src 'none'; script-src 'unsafe-inline'; "
                             "style-src 'unsafe-inline'; img-src data:; connect-src 'none'; "
                             "base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

sf_status results_export(const char *folder, const char *results, sf_complaints *complaints)
{
    sf_map_options options = sf_map_options_default();
    sf_job *job = NULL;
    sf_outcome *outcome = NULL;
    sf_status status = sf_job_read(folder, &job, complaints);
    if (status == SF_OK)
        status = sf_map_job(job, &options, &outcome, complaints);
    if (status == SF_OK)
        status = sf_outcome_write(outcome, results, complaints);
    sf_outcome_free(outcome);
    sf_job_free(job);
    return status;
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

sf_status result_read(const char *results, const char *name, text *into, const char **type)
{
    if (!is_result(name))
        return SF_ERROR_MISSING;
    *type = type_of(name);
    bool absent = false;
    sf_status status = folder_file_read(results, name, SIZE_MAX, into, &absent);
    return absent ? SF_ERROR_MISSING : status;
}
