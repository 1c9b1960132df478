/* Fits the map between board and photo. */
#include "page/marks_map.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
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

void marks_found_clear(marks_found *discarded)
{
    free(discarded->residual_mm);
    *discarded = (marks_found){.rms_mm = NAN};
}
