/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What would become of all parts under a what-if: counts, worn ones to expect, the next to go. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "life/decide.h"
#include "life/prospect.h"

static bool what_if_holds(const sf_job *job, const sf_what_if *asked)
{
    if (!isfinite(asked->air_k) || !(asked->hours >= 0 && isfinite(asked->hours)))
        return false;
    for (size_t i = 0; asked->rise_shares && i < job->part_count; i++)
        if (!(asked->rise_shares[i].value > 0 && asked->rise_shares[i].value <= 1 &&
              asked->rise_shares[i].sd >= 0 && isfinite(asked->rise_shares[i].sd)))
            return false;
    return true;
}

/* Where this part is the next of those in place to use up its life, it is noted. */
static void note_next(sf_prospect *into, const sf_part_result *today, size_t part)
{
    bool stays = today->verdict != SF_REPLACE && today->used < 1;
    if (!stays || !(isnan(into->next_h) || today->left_h < into->next_h))
        return;
    into->next_h = today->left_h;
    into->next_part = part;
}

static bool is_renewed(const sf_what_if *asked, sf_verdict today)
{
    return !isnan(asked->grade_c) && today == SF_REPLACE;
}

static sf_status add_part(const prospect_board *of, size_t index, sf_estimate rise_k,
                          const sf_what_if *asked, sf_verdict today, sf_prospect *into)
{
    bool renewed = is_renewed(asked, today);
    sf_what_if at_once = *asked;
    sf_part_result start = {0}, end = {0};
    at_once.hours = 0;
    sf_status status = prospect_part(of, index, rise_k, &at_once, renewed, &start);
    if (status == SF_OK)
        status = prospect_part(of, index, rise_k, asked, renewed, &end);
    free(start.reason);
    free(end.reason);
    if (status != SF_OK)
        return status;
    note_next(into, &start, index);
    into->verdicts[end.verdict]++;
    if (!isnan(sf_life_doubling_k(of->job->parts[index].type)))
        into->worn_out += end.worn_out;
    return SF_OK;
}

sf_status sf_parts_prospect(const sf_job *job, const sf_estimate *rises_k,
                            const sf_part_result *results, const sf_what_if *asked,
                            sf_prospect *prospect)
{
    sf_prospect found = {.next_h = NAN, .next_years = NAN, .next_part = (size_t)-1};
    if (!what_if_holds(job, asked))
        return SF_ERROR_ARGUMENT;
    bool *can_read = cans_read(job);
    prospect_board of = {job, can_read, results};
    sf_status status = can_read ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < job->part_count; i++)
        status = add_part(&of, i, rises_k[i], asked, results[i].verdict, &found);
    free(can_read);
    if (status != SF_OK)
        return status;
    if (job->board.hours_per_year > 0)
        found.next_years = found.next_h / job->board.hours_per_year;
    *prospect = found;
    return SF_OK;
}

sf_status sf_parts_later(const sf_job *job, const sf_estimate *rises_k,
                         const sf_part_result *results, const sf_what_if *asked,
                         sf_part_result **later)
{
    *later = NULL;
    if (!what_if_holds(job, asked))
        return SF_ERROR_ARGUMENT;
    bool *can_read = cans_read(job);
    prospect_board of = {job, can_read, results};
    sf_part_result *found = array_new(job->part_count, sizeof *found);
    sf_status status = can_read && found ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < job->part_count; i++)
        status = prospect_part(&of, i, rises_k[i], asked, is_renewed(asked, results[i].verdict),
                               &found[i]);
    free(can_read);
    if (status == SF_OK)
        *later = found;
    else
        sf_part_results_free(found, job->part_count);
    return status;
}
