/* Findings as the command line and the page tell them. */
#include "report/findings.h"

#include "core/json_values.h"

json_t *findings_json(const sf_outcome *outcome)
{
    sf_finding *findings;
    size_t count;
    if (sf_outcome_findings(outcome, &findings, &count) != SF_OK)
        return NULL;
    json_t *made = json_array();
    for (size_t i = 0; made && i < count; i++)
        made = list_append(made, json_pack("{s:s, s:o}", "section", findings[i].section, "words",
                                           value_words(findings[i].words)));
    sf_findings_free(findings, count);
    return made;
}
