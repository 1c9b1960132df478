/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Fits the map between board and photo. */
#include "page/marks_map.h"

#include <math.h>
#include <stdlib.h>

#include "core/json_values.h"
#include "core/memory.h"
#include "job/files.h"
#include "readings/marks.h"
#include "readings/viewpoint.h"

/* Two marks hold a turn and one scale: the other two corners of a square upon them follow, mirrored
 * in the picture, whose rows run down. */
static void square_up(sf_point pixels[4], sf_point places[4])
{
    for (size_t i = 0; i < 2; i++) {
        double along_px = pixels[1].x_mm - pixels[0].x_mm;
        double down_px = pixels[1].y_mm - pixels[0].y_mm;
        double along_mm = places[1].x_mm - places[0].x_mm;
        double up_mm = places[1].y_mm - places[0].y_mm;
        pixels[2 + i] = (sf_point){pixels[1 - i].x_mm + down_px, pixels[1 - i].y_mm - along_px};
        places[2 + i] = (sf_point){places[1 - i].x_mm - up_mm, places[1 - i].y_mm + along_mm};
    }
}

static sf_status fit_points(const photo_marks *marks, size_t count, sf_point *pixels,
                            sf_point *places, marks_found *found)
{
    double to_board[9];
    for (size_t i = 0; i < marks->count; i++) {
        const photo_mark *mark = &marks->items[i];
        pixels[i] = (sf_point){mark->column_px, mark->row_px};
        places[i] = (sf_point){mark->x_mm, mark->y_mm};
    }
    if (marks->count < count)
        square_up(pixels, places);
    sf_status status =
        marks_fit(pixels, places, count, to_board, found->residual_mm, &found->rms_mm);
    if (status == SF_OK)
        viewpoint_invert(to_board, found->to_pixel);
    return status;
}

/* Fits the map: two marks a turn and a scale, four and more a perspective. SF_ERROR_MISSING: other
 * than 2 or at least 4 marks; SF_ERROR_NUMERIC: they hold no map; SF_ERROR_MEMORY. After an error
 * there is nothing to clear. */
static sf_status marks_map_fit(const photo_marks *marks, marks_found *found)
{
    *found = (marks_found){.rms_mm = NAN};
    if (marks->count != 2 && marks->count < MARKS_LEAST)
        return SF_ERROR_MISSING;
    size_t count = marks->count == 2 ? MARKS_LEAST : marks->count;
    sf_point *pixels = array_new(count, sizeof *pixels), *places = array_new(count, sizeof *places);
    found->residual_mm = array_new(count, sizeof *found->residual_mm);
    sf_status status = pixels && places && found->residual_mm
                           ? fit_points(marks, count, pixels, places, found)
                           : SF_ERROR_MEMORY;
    free(pixels);
    free(places);
    if (status != SF_OK) {
        marks_found_clear(found);
        return status;
    }
    found->count = marks->count;
    if (count == MARKS_LEAST)
        found->rms_mm = NAN;
    return SF_OK;
}

sf_status marks_file_fit(const char *folder, marks_found *found)
{
    photo_marks read;
    sf_diagnostics told_elsewhere = {0};
    *found = (marks_found){.rms_mm = NAN};
    sf_status status = photo_marks_read(folder, &read, &told_elsewhere);
    if (status == SF_OK)
        status = marks_map_fit(&read, found);
    else if (status == SF_ERROR_MISSING)
        status = SF_ERROR_DATA;
    photo_marks_clear(&read);
    sf_diagnostics_clear(&told_elsewhere);
    return status;
}

const char *marks_lack(sf_status status)
{
    if (status == SF_ERROR_MISSING)
        return "two marks turn and scale the photo, four or more correct its perspective; one or "
               "three are no use";
    if (status == SF_ERROR_NUMERIC)
        return "the marks fix no place on the board: three of four lie nearly on a line, or two "
               "are at one place "
               "or mixed up";
    return status == SF_ERROR_DATA ? "photo-marks.csv has faults, listed below" : "";
}

void marks_found_clear(marks_found *discarded)
{
    free(discarded->residual_mm);
    *discarded = (marks_found){.rms_mm = NAN};
}

/* --- tried on the marks of a job --- */

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

static bool take_marks(const json_t *given, photo_marks *into, sf_diagnostics *diagnostics)
{
    bool sound = true;
    for (size_t i = 0; i < into->count; i++) {
        const json_t *mark = json_array_get(given, i);
        photo_mark *made = &into->items[i];
        sound &= take_number(mark, i, "column_px", &made->column_px, diagnostics);
        sound &= take_number(mark, i, "row_px", &made->row_px, diagnostics);
        sound &= take_number(mark, i, "x_mm", &made->x_mm, diagnostics);
        sound &= take_number(mark, i, "y_mm", &made->y_mm, diagnostics);
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
    photo_marks marks = {.count = json_array_size(given)};
    marks_found found = {.rms_mm = NAN};
    *tried = NULL;
    if (!json_is_array(given)) {
        sf_diagnose(diagnostics, SF_ERROR, "marks", 0, "", "there are none", "a list of marks");
        return SF_ERROR_ARGUMENT;
    }
    marks.items = array_new(marks.count, sizeof *marks.items);
    if (!marks.items)
        return SF_ERROR_MEMORY;
    sf_status status =
        take_marks(given, &marks, diagnostics) ? marks_map_fit(&marks, &found) : SF_ERROR_ARGUMENT;
    if (status == SF_OK || status == SF_ERROR_MISSING || status == SF_ERROR_NUMERIC) {
        *tried = tried_json(status, &found);
        status = *tried ? SF_OK : SF_ERROR_MEMORY;
    }
    free(marks.items); /* that have no names */
    marks_found_clear(&found);
    return status;
}
