/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Parts whose life is a matter of hours and grade, and what the meter makes of an assumption. */
#include "output/grade_words.h"

#include <math.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"
#include "survey/facts.h"

/* The map ranks these parts by nothing that matters; a meter on a few of them tells of all. */
char *by_grade_words(const sf_outcome *outcome, size_t *coolest)
{
    const sf_part *parts = outcome->job->parts;
    const sf_part_result *results = outcome->results;
    size_t count = 0, hottest = 0;
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        if (!past_by_grade(&results[i]))
            continue;
        if (count == 0 || results[i].temp_c < results[*coolest].temp_c)
            *coolest = i;
        if (count == 0 || results[i].temp_c > results[hottest].temp_c)
            hottest = i;
        count++;
    }
    if (count == 0)
        return text_copy("");
    if (count == 1)
        return text_format("%s is past rated life by hours and grade alone: the map cannot help "
                           "there; measure it",
                           parts[*coolest].ref);
    return text_format(
        "%zu are past rated life by hours and grade alone: the map cannot help there; "
        "measure a sample of these, from %s (coolest) to %s (hottest)",
        count, parts[*coolest].ref, parts[hottest].ref);
}

char *by_meter_words(const sf_outcome *outcome, const sf_grade_found *of)
{
    bool longer = of->factor_low > 1, told = of->good + of->worn > 0;
    text made = {0};
    if (!told || (!longer && of->factor_high >= 1))
        return text_copy("");
    text_addf(&made, "Your meter says that parts rated %s ",
              of->high_grade ? "105 C or more" : "below 105 C");
    text_add(&made, longer ? "outlive the " : "last less than the ");
    text_add(&made, number_told(round(of->endurance_h)).bytes);
    if (longer)
        text_addf(&made, " h assumed by a factor of %.1f or more", floor(of->factor_low * 10) / 10);
    else
        text_addf(&made, " h assumed, by a factor of %.1f or less",
                  ceil(of->factor_high * 10) / 10);
    text_addf(&made, " (%zu measured good, %zu worn): %s", of->good, of->worn,
              outcome->job->policy.endurance_by_meter >= 0.5
                  ? "the verdicts use it"
                  : "set endurance_by_meter to 1 in policy.csv to use it");
    return text_take(&made);
}
