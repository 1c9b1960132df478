/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One change of one sheet, as page/edits.h describes it. */
#ifndef SPOTFIELD_PAGE_EDIT_H
#define SPOTFIELD_PAGE_EDIT_H

#include <jansson.h>

#include "page/sheet.h"

/* Makes the change. SF_ERROR_ARGUMENT, SF_ERROR_DATA (the row is not as expected),
 * SF_ERROR_MEMORY; after an error the sheet may be changed in part, and is to be thrown away. */
sf_status edit_sheet(sheet *in, const json_t *op);

#endif
