/* One change of one sheet, as page/edits.h describes it. */
#ifndef SPOTFIELD_PAGE_EDIT_H
#define SPOTFIELD_PAGE_EDIT_H

#include <jansson.h>

#include "page/sheet.h"

/* Changes the sheet; *back is a new change that undoes it. Changes made here may hold "raw": true:
 * their cells, or the one text "line", are then bytes as they stood. SF_ERROR_ARGUMENT,
 * SF_ERROR_DATA (the row is not as expected), SF_ERROR_MEMORY. */
sf_status edit_sheet(sheet *in, const json_t *op, json_t **back);

#endif
