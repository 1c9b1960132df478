/* Reads photo-marks.csv and fits the map between board and photo. */
#include "page/marks_file.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/number.h"
#include "page/job_files.h"
#include "readings/marks.h"

typedef struct mark_list {
    sf_point *pixels, *places; /* two more than count: room for those that stand in */
    size_t count;
} mark_list;

static sf_status read_number(const sheet *of, size_t row, const char *name, double *into)
{
    size_t column = sheet_column(of, name);
    char *words = column == SHEET_NONE ? text_copy("") : sheet_text(of, row, column);
    struct number number;
    if (!words)
        return SF_ERROR_MEMORY;
    bool sound = number_read(words, false, &number) == NUMBER_FINE && fabs(number.value) < 1e6;
    free(words);
    if (sound)
        *into = number.value;
    return sound ? SF_OK : SF_ERROR_DATA;
}

static sf_status read_marks(const sheet *of, mark_list *into)
{
    into->count = of->row_count - 1;
    into->pixels = array_new(into->count + 2, sizeof *into->pixels);
    into->places = array_new(into->count + 2, sizeof *into->places);
    sf_status status = into->pixels && into->places ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < into->count; i++) {
        double *numbers[] = {&into->pixels[i].x_mm, &into->pixels[i].y_mm, &into->places[i].x_mm,
                             &into->places[i].y_mm};
        static const char *const names[] = {"column_px", "row_px", "x_mm", "y_mm"};
        for (size_t k = 0; status == SF_OK && k < 4; k++)
            status = read_number(of, i + 1, names[k], numbers[k]);
    }
    return status;
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

/* The inverse of a 3 x 3 matrix but for its scale: the transposed matrix of its cofactors. */
static void turn_over(const double of[9], double inverse[9])
{
    for (int row = 0; row < 3; row++)
        for (int column = 0; column < 3; column++) {
            int a = (column + 1) % 3, b = (column + 2) % 3, c = (row + 1) % 3, d = (row + 2) % 3;
            inverse[3 * row + column] =
                of[3 * a + c] * of[3 * b + d] - of[3 * a + d] * of[3 * b + c];
        }
}

/* A map's third coordinate must be positive where the board is, for marks_apply. */
static void face_board(double map[9], const sf_point *place)
{
    double third = map[6] * place->x_mm + map[7] * place->y_mm + map[8];
    for (int i = 0; i < 9 && third < 0; i++)
        map[i] = -map[i];
}

static sf_status fit(mark_list *marks, marks_found *found)
{
    bool two = marks->count == 2;
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
    if (status != SF_OK)
        return status;
    turn_over(to_board, found->to_pixel);
    face_board(found->to_pixel, &marks->places[0]);
    found->count = marks->count;
    if (count == MARKS_LEAST)
        found->rms_mm = NAN;
    return SF_OK;
}

sf_status marks_file_fit(const char *folder, marks_found *found)
{
    sheet read = {0};
    bool absent = false;
    mark_list marks = {0};
    *found = (marks_found){.rms_mm = NAN};
    sf_status status =
        job_file_read(folder, job_file_find("photo-marks.csv"), &read, &absent, NULL);
    if (status == SF_OK)
        status = read_marks(&read, &marks);
    if (status == SF_OK)
        status = fit(&marks, found);
    sheet_clear(&read);
    free(marks.pixels);
    free(marks.places);
    if (status != SF_OK)
        marks_found_clear(found);
    return status;
}

void marks_found_clear(marks_found *discarded)
{
    free(discarded->residual_mm);
    *discarded = (marks_found){.rms_mm = NAN};
}
