/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* compare.csv: each part of either survey, its rise before and after, and heat against meter. */
#include "output/comparison.h"
#include "output/csv.h"

const sf_part *pair_part(const compared *of, const sf_part_change *pair)
{
    return pair->before != SF_NO_PART ? &of->before->job->parts[pair->before]
                                      : &of->after->job->parts[pair->after];
}

static void add_estimate(text *into, sf_estimate estimate)
{
    csv_number(into, estimate.value, 2);
    csv_number(into, estimate.sd, 3);
}

static void add_row(const compared *shown, const sf_part_change *pair, text *into)
{
    const sf_part *part = pair_part(shown, pair);
    csv_text(into, part->ref);
    csv_number(into, part->x_mm, 2);
    csv_number(into, part->y_mm, 2);
    add_estimate(into, pair->rise_before_k);
    add_estimate(into, pair->rise_after_k);
    add_estimate(into, pair->change_k);
    csv_text(into, sf_change_text(pair->change));
    csv_number(into, pair->temp_before_c, 2);
    csv_number(into, pair->temp_after_c, 2);
    csv_yes_no(into, pair->pulled);
    csv_text(into, pair->heat_known ? sf_verdict_text(pair->heat) : "");
    csv_text(into, sf_meter_finding_text(pair->meter));
    csv_number(into, pair->reading_pct, 1);
    csv_end_row(into);
}

void compare_csv(const compared *shown, text *into)
{
    text_add(into, "ref,x_mm,y_mm,rise_before_k,rise_before_sd_k,rise_after_k,rise_after_sd_k,"
                   "change_k,change_sd_k,change,temp_before_c,temp_after_c,pulled,heat,meter,"
                   "reading_pct\n");
    for (size_t i = 0; i < shown->found->part_count; i++)
        add_row(shown, &shown->found->parts[i], into);
}
