/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From the JSON of marks to how far each of them misses. */
#include "page/marks_try.h"

#include <math.h>
#include <stdlib.h>

#include "core/json_values.h"
#include "job/photo_marks.h"
#include "page/marks_map.h"

static bool take_number(const json_t *mark, size_t row, const char *name, double *into,
                        sf_diagnostics *diagnostics)
{
    const json_t *given = json_object_get(mark, name);
    *into = json_number_value(given);
    if (json_is_number(given) && fabs(*into) <= PHOTO_MARK_MOST)
        return true;
    sf_diagnose(diagnostics, SF_ERROR, "marks", row + 1, name,
                given ? "is not a number that a mark can have" : "is missing",
                "a number from -1,000,000 to 1,000,000");
    return false;
}

static bool take_marks(const json_t *given, mark_list *into, sf_diagnostics *diagnostics)
{
    bool sound = true;
    for (size_t i = 0; i < into->count; i++) {
        const json_t *mark = json_array_get(given, i);
        sound &= take_number(mark, i, "column_px", &into->pixels[i].x_mm, diagnostics);
        sound &= take_number(mark, i, "row_px", &into->pixels[i].y_mm, diagnostics);
        sound &= take_number(mark, i, "x_mm", &into->places[i].x_mm, diagnostics);
        sound &= take_number(mark, i, "y_mm", &into->places[i].y_mm, diagnostics);
    }
    return sound;
}

static json_t *tried_json(sf_status status, const marks_found *found)
{
    json_t *residuals = json_array();
    for (size_t i = 0; i < found->count; i++)
        residuals = list_append(residuals, value_number(found->residual_mm[i]));
    return json_pack("{s:b, s:s, s:o, s:o}", "fits", status == SF_OK, "why", marks_lack(status),
                     "residuals_mm", residuals, "rms_mm", value_number(found->rms_mm));
}

sf_status marks_try(const json_t *asked, json_t **tried, sf_diagnostics *diagnostics)
{
    const json_t *given = json_object_get(asked, "marks");
    mark_list marks = {0};
    marks_found found = {.rms_mm = NAN};
    *tried = NULL;
    if (!json_is_array(given)) {
        sf_diagnose(diagnostics, SF_ERROR, "marks", 0, "", "there are none", "a list of marks");
        return SF_ERROR_ARGUMENT;
    }
    if (!mark_list_make(json_array_size(given), &marks))
        return SF_ERROR_MEMORY;
    sf_status status =
        take_marks(given, &marks, diagnostics) ? marks_map_fit(&marks, &found) : SF_ERROR_ARGUMENT;
    if (status == SF_OK || status == SF_ERROR_MISSING || status == SF_ERROR_NUMERIC) {
        *tried = tried_json(status, &found);
        status = *tried ? SF_OK : SF_ERROR_MEMORY;
    }
    mark_list_clear(&marks);
    marks_found_clear(&found);
    return status;
}
