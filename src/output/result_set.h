/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of one run as one: a folder of results holds those of one run or of another, never of
 * both, and never in the place of what somebody else has put there. */
#ifndef SPOTFIELD_OUTPUT_RESULT_SET_H
#define SPOTFIELD_OUTPUT_RESULT_SET_H

#include "core/atomic.h"
#include "core/text.h"

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

#endif
