/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Findings as the command line and the page tell them. */
#include "output/findings.h"

#include "core/json_values.h"

static json_t *finding_json(const sf_finding *of)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:o}", "section", of->section, "words",
                     value_words(of->words), "ref", of->ref ? value_words(of->ref) : json_null(),
                     "x_mm", value_number(of->x_mm), "y_mm", value_number(of->y_mm));
}

json_t *findings_json(const sf_outcome *outcome)
{
    sf_finding *findings;
    size_t count;
    if (sf_outcome_findings(outcome, &findings, &count) != SF_OK)
        return NULL;
    json_t *made = json_array();
    for (size_t i = 0; made && i < count; i++)
        made = list_append(made, finding_json(&findings[i]));
    sf_findings_free(findings, count);
    return made;
}
