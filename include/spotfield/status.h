/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What every fallible function of the library returns. */
#ifndef SPOTFIELD_STATUS_H
#define SPOTFIELD_STATUS_H

#include "spotfield/api.h"

SF_BEGIN_C

typedef enum sf_status {
    SF_OK = 0,         /* done; the results are valid */
    SF_ERROR_ARGUMENT, /* an argument lies outside its documented range */
    SF_ERROR_MEMORY,   /* the system gave no more memory; nothing was leaked */
    SF_ERROR_MISSING,  /* a needed file or folder is not there or cannot be read */
    SF_ERROR_DATA,     /* the input is wrong; the diagnostic list says where */
    SF_ERROR_WRITE,    /* a result could not be written; earlier results are intact */
    SF_ERROR_NUMERIC,  /* a computation did not reach a finite answer */
    SF_ERROR_SOLVE, /* a library for linear algebra answered wrongly; the input is not to blame */
    SF_STATUS_COUNT /* number of statuses; not a status */
} sf_status;

/* One sentence in English for a status, without a final period; never NULL. The text is static.
 * A value outside the enum answers "unknown status". */
SF_API const char *sf_status_text(sf_status status);

SF_END_C

#endif
