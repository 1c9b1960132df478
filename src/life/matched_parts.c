/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pairing the parts of two surveys, by binary search in the sorted references of the second. */
#include "life/matched_parts.h"

#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

static int compare_refs(const void *one, const void *other)
{
    const sf_part *const *a = one, *const *b = other;
    return strcmp((*a)->ref, (*b)->ref);
}

static const sf_part **sorted_parts(const sf_job *job)
{
    const sf_part **parts = array_new(job->part_count, sizeof *parts);
    for (size_t i = 0; parts && i < job->part_count; i++)
        parts[i] = &job->parts[i];
    if (parts)
        qsort(parts, job->part_count, sizeof *parts, compare_refs);
    return parts;
}

static size_t find_twin(const sf_part *part, const sf_job *in, const sf_part **sorted)
{
    const sf_part **found = bsearch(&part, sorted, in->part_count, sizeof *sorted, compare_refs);
    return found ? (size_t)(*found - in->parts) : SF_NO_PART;
}

static void pair_all(const sf_job *before, const sf_job *after, const sf_part **sorted,
                     bool *paired, sf_part_change *pairs, size_t *count)
{
    for (size_t i = 0; i < before->part_count; i++) {
        size_t twin = find_twin(&before->parts[i], after, sorted);
        pairs[(*count)++] = (sf_part_change){.before = i, .after = twin};
        if (twin != SF_NO_PART)
            paired[twin] = true;
    }
    for (size_t i = 0; i < after->part_count; i++)
        if (!paired[i])
            pairs[(*count)++] = (sf_part_change){.before = SF_NO_PART, .after = i};
}

sf_status matched_parts_pair(const sf_job *before, const sf_job *after, sf_part_change *pairs,
                             size_t *count)
{
    *count = 0;
    const sf_part **sorted = sorted_parts(after);
    bool *paired = array_new(after->part_count, sizeof *paired);
    bool whole = sorted && paired;
    if (whole)
        pair_all(before, after, sorted, paired, pairs, count);
    free(sorted);
    free(paired);
    return whole ? SF_OK : SF_ERROR_MEMORY;
}
