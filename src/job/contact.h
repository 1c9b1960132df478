/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Contact in no-touch areas, by the words of readings.csv before they are kept. */
#ifndef SPOTFIELD_JOB_CONTACT_H
#define SPOTFIELD_JOB_CONTACT_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/status.h"

/* Cells of one reading; "" where one is not given. */
typedef struct reading_words {
    char *x_mm, *y_mm, *method, *note;
} reading_words;

/* A note that begins so, with words after it, says why contact was safe there. */
#define CONTACT_REASON "no-touch:"

/* What the area is called that each reading touches without saying why, NULL where it touches none:
 * by contact is what is not by infrared. The areas are those of the folder's keepout.csv as it is;
 * where that cannot be read, every place is in one that is not known. `areas` holds `count` places,
 * NULL before; the caller frees the texts, also after an error. SF_ERROR_MEMORY. */
sf_status contacts_find(const char *folder, const reading_words *readings, size_t count,
                        bool decimal_comma, char **areas);

#endif
