/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What results were made from, so that they are not made twice: two checksums on the last line of
 * report.html, one of what went in, one of all that came out. */
#ifndef SPOTFIELD_OUTPUT_RESULT_MARK_H
#define SPOTFIELD_OUTPUT_RESULT_MARK_H

#include <stdbool.h>
#include <stdint.h>

#include "core/atomic.h"
#include "core/text.h"
#include "spotfield/output.h"

/* As sf_outcome_write, and marks the results with the checksum of what they were made from. */
sf_status outcome_write_marked(const sf_outcome *outcome, const sf_pictures *pictures,
                               uint64_t made_from, const char *folder, sf_diagnostics *diagnostics);

/* The line; `blocks` are all files, the report last. */
void result_mark_add(uint64_t made_from, const file_block *blocks, size_t count, text *report);

/* Whether the folder holds every file of sf_outputs just as it was written, made from the same.
 * What cannot be read does not stand. */
bool results_stand(const char *folder, uint64_t made_from);

#endif
