/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers and evidence in words. */
#include "life/owner_words.h"

#include <math.h>

#include "core/digits.h"

void add_hours(text *into, double hours)
{
    double unit = hours > 0 ? pow(10, fmin(fmax(floor(log10(hours)) - 2, 0), 2)) : 1;
    text_addf(into, "%s h", number_told(round(hours / unit) * unit).bytes);
}

static void add_percent_number(text *into, double share)
{
    double pct = 100 * share;
    if (pct < 0.1)
        text_add(into, "under 0.1");
    else if (pct < 9.95)
        text_addf(into, "%.2g", pct);
    else
        text_add(into, whole_told(pct).bytes);
}

void add_percent(text *into, double share)
{
    add_percent_number(into, share);
    text_add(into, " %");
}

void add_percent_range(text *into, double low, double high)
{
    add_percent_number(into, low);
    text_add(into, " to ");
    add_percent(into, high);
}

void add_deviation(text *into, double pct)
{
    text_addf(into, "%+.1f %%", pct);
}

void add_quantity(text *into, double value)
{
    double unit = value > 0 ? pow(10, fmax(floor(log10(value)) - 3, -4)) : 1;
    text_add(into, number_told(unit < 1 ? round(value / unit) * unit : round(value)).bytes);
}

/* --- what meter, eye and nose found --- */

static void add_reading(text *into, const part_context *of)
{
    text_add(into, "reads ");
    add_quantity(into, of->part->measured_uf);
    text_add(into, " uF, ");
    add_deviation(into, of->found.marking_pct);
    text_add(into, " against its marking");
    if (of->with->controls > 0) {
        text_add(into, ", ");
        add_deviation(into, of->found.reading_pct);
        text_add(into, " against new parts");
    }
    text_addf(into, ", limit -%g %%", of->part->tolerance_low_pct);
}

static void add_esr(text *into, const part_context *of)
{
    text_add(into, "ESR ");
    add_quantity(into, of->part->measured_esr_ohm);
    text_add(into, " ohm, limit ");
    add_quantity(into, of->found.esr_limit_ohm);
}

static void add_leakage(text *into, const part_context *of)
{
    text_add(into, "leakage ");
    add_quantity(into, of->part->leakage_ua);
    text_add(into, " uA, limit ");
    add_quantity(into, of->found.leakage_limit_ua);
}

void add_evidence(text *into, const part_context *of)
{
    const char *mark = "worn: ";
    if (of->found.damaged) {
        text_add(into, mark);
        text_add(into, sf_condition_text(of->part->condition));
        mark = "; ";
    }
    if (of->found.reads_low) {
        text_add(into, mark);
        add_reading(into, of);
        mark = "; ";
    }
    if (of->found.esr_worn) {
        text_add(into, mark);
        add_esr(into, of);
        mark = "; ";
    }
    if (of->found.leaks_worn) {
        text_add(into, mark);
        add_leakage(into, of);
    }
}

void add_meter_fine(text *into, const part_context *of, const char *before)
{
    if (!of->found.fine)
        return;
    text_addf(into, "%s meter reads fine", before);
    if (!isnan(of->found.reading_pct)) {
        text_add(into, " (");
        add_deviation(into, of->found.reading_pct);
        text_add(into, ")");
    }
}

void add_meter_doubts(text *into, const part_context *of)
{
    if (of->found.reads_high || of->found.reads_near_low) {
        text_add(into, ", reads ");
        add_deviation(into, of->found.reading_pct);
    }
    if (of->found.reads_high)
        text_addf(into, ", above +%g %%: perhaps leaky", of->part->tolerance_high_pct);
    if (of->found.reads_near_low)
        text_addf(into, ", below -%g %% by less than the meter's uncertainty",
                  of->part->tolerance_low_pct);
    if (of->found.esr_doubtful) {
        text_add(into, ", ");
        add_esr(into, of);
    }
    if (of->found.leaks_doubtful) {
        text_add(into, ", ");
        add_leakage(into, of);
        text_add(into, ": reform it and measure again");
    }
    if (of->found.smells)
        text_add(into, ", smells of electrolyte: look under it and its neighbours");
}
