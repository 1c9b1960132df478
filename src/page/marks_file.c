/* Reads photo-marks.csv. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/number.h"
#include "page/job_files.h"
#include "page/marks_map.h"

/* As all files of a job: a decimal comma is one where commas do not part the cells. */
static sf_status read_number(const sheet *of, size_t row, const char *name, double *into)
{
    char *words = sheet_text_of(of, row, name);
    if (!words)
        return SF_ERROR_MEMORY;
    struct number read = {0};
    bool sound = number_read(words, of->separator != ',', &read) == NUMBER_FINE &&
                 fabs(read.value) < MARK_NUMBER_MOST;
    free(words);
    *into = read.value;
    return sound ? SF_OK : SF_ERROR_DATA;
}

static sf_status read_marks(const sheet *of, mark_list *into)
{
    static const char *const names[] = {"column_px", "row_px", "x_mm", "y_mm"};
    sf_status status = mark_list_make(of->row_count - 1, into) ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < into->count; i++) {
        double *numbers[] = {&into->pixels[i].x_mm, &into->pixels[i].y_mm, &into->places[i].x_mm,
                             &into->places[i].y_mm};
        for (size_t k = 0; status == SF_OK && k < 4; k++)
            status = read_number(of, i + 1, names[k], numbers[k]);
    }
    return status;
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
        status = marks_map_fit(&marks, found);
    sheet_clear(&read);
    mark_list_clear(&marks);
    return status;
}
