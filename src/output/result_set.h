/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of one run as one: a folder of results holds those of one run or of another, never of
 * both, and never in the place of what somebody else has put there. */
#ifndef SPOTFIELD_OUTPUT_RESULT_SET_H
#define SPOTFIELD_OUTPUT_RESULT_SET_H

#include <stdbool.h>
#include <stdint.h>

#include "core/atomic.h"
#include "core/text.h"
#include "spotfield/output.h"

/* Writes the blocks into `folder`, as atomic_write does, with three promises more.
 * One: where a job sits in the folder, or a file of one of these names that is no result, nothing
 * is touched: SF_ERROR_WRITE. A table is a result when its columns begin as the new one's do;
 * pictures and pages count as results beside such a table. Two: of two runs into one folder one
 * waits for the other, some seconds at most. Three: the folder is exchanged as a whole, so that a
 * run that is killed leaves the earlier files or the new ones. Where that cannot be (docs/files.md,
 * "Result files"), the files are put in place one by one. What killed runs have left is cleared
 * away. */
sf_status result_set_write(const char *folder, const file_block *blocks, size_t count,
                           sf_diagnostics *diagnostics);

/* The same of blocks whose bytes are in `contents`, but for those whose text is empty: they have
 * their bytes already. Takes the texts over. Where one has failed nothing is written. */
sf_status result_texts_write(const char *folder, file_block *blocks, text *contents, size_t count,
                             sf_diagnostics *diagnostics);

/* --- what results were made from, so that they are not made twice: two checksums on the last line
 * of report.html, one of what went in, one of all that came out --- */

/* As sf_outcome_write, and marks the results with the checksum of what they were made from. */
sf_status outcome_write_marked(const sf_outcome *outcome, const sf_pictures *pictures,
                               uint64_t made_from, const char *folder, sf_diagnostics *diagnostics);

/* Whether the folder holds every file of sf_outputs just as it was written, made from the same.
 * What cannot be read does not stand. */
bool results_stand(const char *folder, uint64_t made_from);

/* --- a folder with new files in it takes the place of another in one step --- */

/* Replaces the folder (a path without links) by one that holds the blocks and all other files of
 * the old one. True when it is done. False where it cannot be, and nothing has changed then: the
 * system cannot exchange names there, the folder is not ours to replace, the program runs inside
 * it, or it holds anything but plain files. What
 * the system does not let go, then or after success, is a warning. */
bool folder_exchange(const char *folder, const file_block *blocks, size_t count,
                     sf_diagnostics *diagnostics);

/* Removes what killed runs have left beside and inside the folder. Only while no other run is at
 * work there. What holds files that are nowhere else stays, and is a warning. */
void staging_tidy(const char *folder, sf_diagnostics *diagnostics);

/* Warns of what the system did not let go; `context` is a list of diagnostics. */
void tell_of_left(void *context, const char *path, int error);

#endif
