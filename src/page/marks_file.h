/* photo-marks.csv: points of the photo whose place on the board is known. */
#ifndef SPOTFIELD_PAGE_MARKS_FILE_H
#define SPOTFIELD_PAGE_MARKS_FILE_H

#include <stddef.h>

#include "spotfield/status.h"

/* How board and upright photo lie to one another. */
typedef struct marks_found {
    double to_pixel[9];  /* from the board, mm, to the photo, as marks_apply takes it */
    double *residual_mm; /* per mark; NULL where two marks alone leave none */
    size_t count;
    double rms_mm; /* NAN where as many marks were given as the map has unknowns */
} marks_found;

/* Reads the marks and fits the map: two marks a turn and a scale, four and more a perspective.
 * SF_ERROR_MISSING: other than 2 or at least 4 marks; SF_ERROR_DATA: the file is no table of
 * numbers; SF_ERROR_NUMERIC: they hold no map; SF_ERROR_MEMORY. */
sf_status marks_file_fit(const char *folder, marks_found *found);
void marks_found_clear(marks_found *discarded);

#endif
