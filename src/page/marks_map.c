/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Fits the map between board and photo. */
#include "page/marks_map.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/photo_marks.h"
#include "readings/marks.h"
#include "readings/viewpoint.h"

bool mark_list_make(size_t count, mark_list *made)
{
    made->count = count;
    made->pixels = array_new(count + 2, sizeof *made->pixels);
    made->places = array_new(count + 2, sizeof *made->places);
    if (made->pixels && made->places)
        return true;
    mark_list_clear(made);
    return false;
}

void mark_list_clear(mark_list *discarded)
{
    free(discarded->pixels);
    free(discarded->places);
    *discarded = (mark_list){0};
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

sf_status marks_map_fit(mark_list *marks, marks_found *found)
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
        return "two marks turn and scale the photo, four or more take its perspective out; one or "
               "three hold nothing";
    if (status == SF_ERROR_NUMERIC)
        return "the marks hold no map: three of four lie nearly on a line, or two are at one place "
               "or mixed up";
    return status == SF_ERROR_DATA ? "photo-marks.csv has faults, told below" : "";
}

void marks_found_clear(marks_found *discarded)
{
    free(discarded->residual_mm);
    *discarded = (marks_found){.rms_mm = NAN};
}
