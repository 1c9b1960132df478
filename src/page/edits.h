/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Changes of a job's files as a browser asks for them, made on the files as they are on the disk at
 * that moment: the page keeps no copy that could overwrite what another program wrote. The history
 * is written with them. */
#ifndef SPOTFIELD_PAGE_EDITS_H
#define SPOTFIELD_PAGE_EDITS_H

#include <jansson.h>

#include "page/history.h"
#include "page/job_files.h"
#include "page/sheet.h"
#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* Makes all changes of the array `ops`, or none, and adds them to the history as one step with the
 * label. Each change is an object
 *   {"file": "parts.csv", "op": "set", "row": 4, "expect": {"ref": "C7"}, "set": {"x_mm": "12.5"}}
 *   {"file": ..., "op": "insert", "row": 4, "set": {...}}   row may be left out: after the last
 *   {"file": ..., "op": "append", "rows": [{...}, ...]}     after the last, with their cells
 *   {"file": ..., "op": "delete", "row": 4, "expect": {...}}
 *   {"file": ..., "op": "begin"}   is there from now on, if only with its header
 *   {"file": ..., "op": "check", "said": "row 3", "set": {...}}   nothing, but its cells are looked
 * at row counts from 0 below the header. Where its cells are not those of `expect`, the one row
 * that has them is meant. SF_ERROR_DATA where a row is not as expected: *conflict is a new object
 * {"file", "row", "why"}, the files are as they were; also, without a conflict, where a cell of
 * "set" is not what its column takes, or a reading by contact in a no-touch area does not say why,
 * which is complained of. SF_ERROR_ARGUMENT: ops are no such array. SF_ERROR_WRITE,
 * SF_ERROR_MEMORY, SF_ERROR_MISSING (a file cannot be read). The history is as it was then. */
sf_status edits_apply(const char *folder, const json_t *ops, const char *label, history *kept,
                      json_t **conflict, sf_diagnostics *diagnostics);

/* Takes the next step of the history on the files. SF_ERROR_ARGUMENT where there is none,
 * SF_ERROR_DATA with a conflict where a file is not as the step left it; else as above. */
sf_status edits_step(const char *folder, direction way, history *kept, json_t **conflict,
                     sf_diagnostics *diagnostics);

/* --- between the files of an edit --- */

/* Whether a member of an op is these words. */
bool op_says(const json_t *op, const char *member, const char *words);

/* Tells of each cell that the ops set, one after another, and that the job could not read: no
 * number, say, or one out of range. The sheets are as they are to be. Rows that are appended were
 * judged by who brings them. SF_ERROR_DATA where there is one, SF_ERROR_MEMORY. */
sf_status cells_check(const batch *all, const json_t *ops, sf_diagnostics *diagnostics);

/* Makes one change of a sheet, as above. SF_ERROR_ARGUMENT, SF_ERROR_DATA (the row is not as
 * expected), SF_ERROR_MEMORY; after an error the sheet may be changed in part, and is to be thrown
 * away. */
sf_status edit_sheet(sheet *in, const json_t *op);

#endif
