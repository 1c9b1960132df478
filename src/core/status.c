/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The words for each status. */
#include "spotfield/status.h"

static const char *const status_texts[SF_STATUS_COUNT] = {
    [SF_OK] = "done",
    [SF_ERROR_ARGUMENT] = "an argument lies outside its documented range",
    [SF_ERROR_MEMORY] = "memory is short",
    [SF_ERROR_MISSING] = "a needed file is missing",
    [SF_ERROR_DATA] = "the input is wrong",
    [SF_ERROR_WRITE] = "a result could not be written",
    [SF_ERROR_NUMERIC] = "the computation found no finite answer",
    [SF_ERROR_SOLVE] = "a library of this system for linear algebra answered wrongly",
};

const char *sf_status_text(sf_status status)
{
    if ((int)status < 0 || status >= SF_STATUS_COUNT)
        return "unknown status";
    return status_texts[status];
}
