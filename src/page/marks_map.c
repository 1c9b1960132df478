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

typedef struct mark_list {
    sf_point *pixels, *places; /* two more than count: room for those that stand in for two marks */
    size_t count;
} mark_list;

static void mark_list_clear(mark_list *discarded)
{
    free(discarded->pixels);
    free(discarded->places);
    *discarded = (mark_list){0};
}

/* Room for `count` marks; false when memory is short, with nothing to clear. */
static bool mark_list_make(size_t count, mark_list *made)
{
    made->count = count;
    made->pixels = array_new(count + 2, sizeof *made->pixels);
    made->places = array_new(count + 2, sizeof *made->places);
    if (made->pixels && made->places)
        return true;
    mark_list_clear(made);
    return false;
}

/* Two marks hold a turn and one scale: the other two corners of a square upon them follow, mirrored
 * in the picture, whose rows run down. */
static void square_up(mark_list *marks)
{
    for (size_t i = 0; i < 2; i++) {
        double along_px = marks->pixels[1].x_mm - marks->pixels[0].x_mm;
        double down_px = marks->pixels[1].y_mm - marks->pixels[0].y_mm;
        double along_mm = marks->places[1].x_mm - marks->places[0].x_mm;
        double up_mm = marks->places[1].y_mm - marks->places[0].y_mm;
        marks->pixels[2 + i] =
            (sf_point){marks->pixels[1 - i].x_mm + down_px, marks->pixels[1 - i].y_mm - along_px};
        marks->places[2 + i] =
            (sf_point){marks->places[1 - i].x_mm - up_mm, marks->places[1 - i].y_mm + along_mm};
    }
}

/* Fits the map: two marks a turn and a scale, four and more a perspective. SF_ERROR_MISSING: other
 * than 2 or at least 4 marks; SF_ERROR_NUMERIC: they hold no map; SF_ERROR_MEMORY. After an error
 * there is nothing to clear. */
static sf_status marks_map_fit(mark_list *marks, marks_found *found)
{
    bool two = marks->count == 2;
    *found = (marks_found){.rms_mm = NAN};
    if (!two && marks->count < MARKS_LEAST)
        return SF_ERROR_MISSING;
    if (two)
        square_up(marks);
    size_t count = two ? MARKS_LEAST : marks->count;
    double to_board[9];
    found->residual_mm = array_new(count, sizeof *found->residual_mm);
    if (!found->residual_mm)
        return SF_ERROR_MEMORY;
    sf_status status = marks_fit(marks->pixels, marks->places, count, to_board, found->residual_mm,
                                 &found->rms_mm);
    if (status != SF_OK) {
        marks_found_clear(found);
        return status;
    }
    viewpoint_invert(to_board, found->to_pixel);
    found->count = marks->count;
    if (count == MARKS_LEAST)
        found->rms_mm = NAN;
    return SF_OK;
}

static sf_status fit_read(const photo_marks *read, marks_found *found)
{
    mark_list marks = {0};
    if (!mark_list_make(read->count, &marks))
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < read->count; i++) {
        const photo_mark *mark = &read->items[i];
        marks.pixels[i] = (sf_point){mark->column_px, mark->row_px};
        marks.places[i] = (sf_point){mark->x_mm, mark->y_mm};
    }
    sf_status status = marks_map_fit(&marks, found);
    mark_list_clear(&marks);
    return status;
}

sf_status marks_file_fit(const char *folder, marks_found *found)
{
    photo_marks read;
    sf_diagnostics told_elsewhere = {0};
    *found = (marks_found){.rms_mm = NAN};
    sf_status status = photo_marks_read(folder, &read, &told_elsewhere);
    if (status == SF_OK)
        status = fit_read(&read, found);
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
