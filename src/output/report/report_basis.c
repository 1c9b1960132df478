/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was assumed, what was fitted, and the policy behind the verdicts. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

static void add_rules(const sf_policy *policy, text *into)
{
    html_addf(into, BASIS_RULES, policy->seal_years, policy->past_life_critical * 100,
              policy->past_life_replace * 100, policy->past_life_check * 100);
    html_addf(into, BASIS_RULES_ON_CHECKS, policy->past_life_check * 100,
              policy->used_middling * 100);
}

static void report_rules(const report *shown, text *into)
{
    const sf_policy *policy = &shown->outcome->job->policy;
    text_add(into, "<h3>How a verdict is reached</h3>\n");
    add_rules(policy, into);
    text_add(into, BASIS_TWO_CHANCES);
    html_addf(into, BASIS_SEALS, policy->seal_years);
}

static void add_assumptions(const sf_job *job, text *into)
{
    text_add(into, "<h3>Assumed where the files say nothing</h3>\n");
    if (job->assumption_count == 0) {
        text_add(into, "<p>Nothing: every value came from the files.</p>\n");
        return;
    }
    text_add(into, "<ul>\n");
    for (size_t i = 0; i < job->assumption_count; i++)
        html_addf(into, "<li>%-s</li>\n", job->assumptions[i]);
    text_add(into, "</ul>\n");
}

static void add_board(const sf_board *board, text *into)
{
    html_addf(into, BASIS_BOARD, board->width_mm, board->height_mm,
              sf_laminate_text(board->laminate), board->thickness_mm, board->copper_layers,
              board->copper_layers == 1 ? "" : "s", board->copper_thickness_um, board->copper_cover,
              sf_air_text(board->air));
}

static void add_estimate(const char *term, sf_estimate found, const char *unit, const char *meaning,
                         text *into)
{
    html_addf(into, "<tr><th scope=\"row\">%s</th><td class=\"number\">", term);
    html_estimate(into, found.value, found.sd, 1);
    html_addf(into, "</td><td>%s</td><td>%s</td></tr>\n", unit, meaning);
}

static void add_value(const char *term, double value, int decimals, const char *unit,
                      const char *meaning, text *into)
{
    html_addf(into, "<tr><th scope=\"row\">%s</th><td class=\"number\">", term);
    html_number(into, value, decimals);
    html_addf(into, "</td><td>%s</td><td>%s</td></tr>\n", unit, meaning);
}

/* What only a heat balance has. */
static void add_balance(const sf_field_summary *summary, text *into)
{
    if (!isfinite(summary->length_mm.value))
        return;
    add_estimate("Spreading length", summary->length_mm, "mm",
                 "how far heat runs along the board before the air takes it; fitted", into);
    add_value("Spreading length by construction", summary->prior_length_mm, 1, "mm",
              "the same from laminate, copper and air alone, before any reading", into);
    add_estimate("Loss coefficient", summary->loss_w_m2k, "W/m\u00B2K",
                 "heat given to the air, both faces together", into);
    add_estimate("Background", summary->background_k, "K",
                 "rise of the whole board that no source accounts for", into);
    add_value("Unlisted heat", summary->unlisted_sd_k, 2, "K",
              "size of the scattered heat that no source accounts for", into);
}

static void add_field(const sf_outcome *outcome, text *into)
{
    sf_field_summary summary = sf_field_summarize(outcome->field);
    text_add(into, "<h3>The field</h3>\n");
    add_board(&outcome->job->board, into);
    report_table_open(into, "field-list", "What the fit found",
                      "name Quantity|number Value|word Unit|prose Meaning");
    html_addf(into, BASIS_MODEL_ROW, summary.model);
    add_balance(&summary, into);
    add_value("Noise factor", summary.noise_factor, 2, "",
              "fitted factor on the readings\u2019 own uncertainty; 1 where that was right", into);
    add_value("Expected error", sf_outcome_part_error_k(outcome), 1, "K",
              "of a part\u2019s temperature: root mean square of its uncertainty over all parts",
              into);
    add_value("Left-out error", summary.left_out_rmse_k, 2, "K", BASIS_LEFT_OUT_MEANING, into);
    html_addf(into, BASIS_CELLS_ROW, (double)summary.cells, summary.cell_mm);
    report_table_close(into);
}

static void add_period(const sf_period *period, text *into)
{
    html_addf(into, BASIS_PERIOD, period->hours, period->service_ambient_c, period->load,
              period->note);
}

static void add_history(const sf_job *job, text *into)
{
    if (job->period_count == 0)
        return;
    text_add(into, "<h3>History</h3>\n");
    report_table_open(into, "history-list", "Periods of use, whose shares of life add up",
                      "number Hours|number Air, \u00B0C|number Load|prose Note");
    for (size_t i = 0; i < job->period_count && i < REPORT_ROWS_MAX; i++)
        add_period(&job->periods[i], into);
    report_table_close(into);
}

static void add_policy_row(const sf_policy *policy, const sf_policy_key *key, text *into)
{
    double value;
    memcpy(&value, (const char *)policy + key->offset, sizeof value);
    text_add(into, value == key->usual ? "<tr class=\"usual\">" : "<tr>");
    html_addf(into, "<th scope=\"row\">%s <code>%s</code></th><td class=\"number\">", key->meaning,
              key->key);
    html_addf(into, strcmp(key->unit, "C") == 0 ? "%g \u00B0C" : "%g %-s", value, key->unit);
    if (value != key->usual)
        html_addf(into, " <span class=\"flag\">changed from %g</span>", key->usual);
    html_addf(into, "</td><td>%s</td></tr>\n", key->source);
}

static void add_policy(const sf_policy *policy, text *into)
{
    text_add(into, BASIS_POLICY);
    report_table_open(into, "policy-list", "Thresholds and where they come from",
                      "name Threshold|number Value|prose Source");
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++)
        add_policy_row(policy, key, into);
    report_table_close(into);
}

void report_basis(const report *shown, text *into)
{
    const sf_job *job = shown->outcome->job;
    add_assumptions(job, into);
    report_rules(shown, into);
    add_field(shown->outcome, into);
    add_history(job, into);
    add_policy(&job->policy, into);
}
