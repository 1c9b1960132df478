/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A file of a folder as bytes: used by all of the page that reads what others may have put there.
 */
#ifndef SPOTFIELD_PAGE_FOLDER_FILE_H
#define SPOTFIELD_PAGE_FOLDER_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "spotfield/status.h"

/* Adds what the file holds; one that is not there adds nothing, with *absent set, and is SF_OK.
 * Neither a pipe nor a device is waited for. SF_ERROR_MISSING where it cannot be read or is no
 * regular file, SF_ERROR_DATA where it has more than `most` bytes, SF_ERROR_MEMORY; *into then
 * holds what came until then. */
sf_status folder_file_read(const char *folder, const char *name, size_t most, text *into,
                           bool *absent);

/* The same for a file that must stand there itself: a link to one elsewhere is SF_ERROR_MISSING, as
 * one that is not there; so is, of a folder that `is_own`, a link to that. */
sf_status own_file_read(const char *folder, bool is_own, const char *name, size_t most, text *into);

/* Whether the file of that path is a regular one and holds exactly these bytes; takes no memory. */
bool file_holds(const char *path, const void *bytes, size_t count);

#endif
