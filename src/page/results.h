/* The export: the same results as those of a mapping by the command line. */
#ifndef SPOTFIELD_PAGE_RESULTS_H
#define SPOTFIELD_PAGE_RESULTS_H

#include <jansson.h>

#include "core/text.h"
#include "spotfield/complaint.h"
#include "spotfield/status.h"

/* Maps the job in `folder` and writes all its results. Errors: those of sf_job_read, sf_map_job and
 * sf_outcome_write. */
sf_status results_export(const char *folder, const char *results, sf_complaints *complaints);

/* The names of the results as an array; NULL when memory is short. */
json_t *results_names(void);

/* Reads one of them and tells its media type. SF_ERROR_MISSING where there is none of that name. */
sf_status result_read(const char *results, const char *name, text *into, const char **type);

/* The content security policy for results: the report brings its own style and script along, and
 * names them in a stricter policy of its own. */
extern const char result_policy[];

#endif
