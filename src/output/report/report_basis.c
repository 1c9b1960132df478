/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was assumed, what was fitted, and the policy behind the verdicts. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "output/report/html.h"
#include "output/report/report.h"

/* --- the rules --- */

static void add_share(text *into, const char *before, double share, const char *after)
{
    text_add(into, before);
    html_short(into, share * 100);
    text_add(into, after);
}

static void add_years(text *into, const char *before, double years, const char *after)
{
    text_add(into, before);
    html_short(into, years);
    text_add(into, after);
}

static void add_rules(const sf_policy *policy, text *into)
{
    text_add(into, "<p>The first rule that applies decides:</p>\n<ol>\n"
                   "<li>Worn by meter or eye: replace, whatever the heat says.</li>\n");
    add_years(into, "<li>Critical, and older than ", policy->seal_years, " years");
    add_share(into, " or with a chance of at least ", policy->past_life_critical,
              " % that its rated life is used up: replace.</li>\n");
    add_share(into, "<li>A chance of at least ", policy->past_life_replace, " %: replace.</li>\n");
    add_share(into, "<li>A chance of at least ", policy->past_life_check,
              " %, mostly because the temperature is unsure: check, by reading the board "
              "there.</li>\n");
    add_share(into, "<li>A chance of at least ", policy->past_life_check,
              " %, or less life left than the board is to run, or a capacitance above its "
              "tolerance, as a leaky part reads on simple meters");
    add_share(into, ", or an old seal and more than ", policy->used_middling,
              " % used: check, by measuring capacitance and series resistance.</li>\n");
    text_add(into, "<li>No reading on its piece of the board, or a reading or source near it that "
                   "is in doubt: check, by reading there again. The same where the hours run "
                   "disagree with the years: check which is right.</li>\n");
    text_add(into, "<li>Otherwise leave.</li>\n</ol>\n");
}

static void report_rules(const report *shown, text *into)
{
    const sf_policy *policy = &shown->outcome->job->policy;
    text_add(into, "<h3>How a verdict is reached</h3>\n");
    add_rules(policy, into);
    text_add(into,
             "<p>Two chances must not be confused. That the <em>rated life is used up</em> "
             "follows from the uncertainty of temperature, hours and endurance, and it decides. "
             "That a <em>part is worn out</em> follows from the spread between parts alike; "
             "summed over the board it says how many bad ones to expect on the "
             "meter.</p>\n");
    add_years(into, "<p>Seals age whether or not the board runs: past ", policy->seal_years,
              " years a part is beyond the makers\u2019 guidance. Alone that does not condemn a "
              "cool, unstressed part. It turns a critical one to replace, and one of middling use "
              "to check.</p>\n");
}

static void add_assumptions(const sf_job *job, text *into)
{
    text_add(into, "<h3>Assumed where the files say nothing</h3>\n");
    if (job->assumption_count == 0) {
        text_add(into, "<p>Nothing: every value came from the files.</p>\n");
        return;
    }
    text_add(into, "<ul>\n");
    for (size_t i = 0; i < job->assumption_count; i++) {
        text_add(into, "<li>");
        html_sentence(into, job->assumptions[i]);
        text_add(into, "</li>\n");
    }
    text_add(into, "</ul>\n");
}

static void add_board(const sf_board *board, text *into)
{
    text_add(into, "<p>The board is ");
    html_number(into, board->width_mm, 0);
    text_add(into, " \u00D7 ");
    html_number(into, board->height_mm, 0);
    text_add(into, " mm of ");
    html_text(into, sf_laminate_text(board->laminate));
    text_add(into, ", ");
    html_number(into, board->thickness_mm, 1);
    text_addf(into, " mm thick, with %d copper layer%s of ", board->copper_layers,
              board->copper_layers == 1 ? "" : "s");
    html_number(into, board->copper_thickness_um, 0);
    text_add(into, " \u00B5m that cover ");
    html_percent(into, board->copper_cover);
    text_add(into, " %; the air about it was ");
    html_text(into, sf_air_text(board->air));
    text_add(into, " while it was read.</p>\n");
}

static void open_row(const char *term, text *into)
{
    text_addf(into, "<tr><th scope=\"row\">%s</th><td class=\"number\">", term);
}

static void close_row(const char *unit, const char *meaning, text *into)
{
    text_addf(into, "</td><td>%s</td><td>%s</td></tr>\n", unit, meaning);
}

static void add_estimate(const char *term, sf_estimate found, const char *unit, const char *meaning,
                         text *into)
{
    open_row(term, into);
    html_estimate(into, found.value, found.sd, 1);
    close_row(unit, meaning, into);
}

static void add_value(const char *term, double value, int decimals, const char *unit,
                      const char *meaning, text *into)
{
    open_row(term, into);
    html_number(into, value, decimals);
    close_row(unit, meaning, into);
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
    report_table_open(into, "field-list", "What the fit found");
    report_heading(into, "Quantity", "name", false);
    report_heading(into, "Value", "number", false);
    report_heading(into, "Unit", "word", false);
    report_heading(into, "Meaning", "prose", false);
    text_addf(into,
              "</tr></thead>\n<tbody>\n<tr><th scope=\"row\">Model</th><td "
              "class=\"number\">%s</td><td></td>"
              "<td>how readings became a field</td></tr>\n",
              summary.model);
    add_balance(&summary, into);
    add_value("Noise factor", summary.noise_factor, 2, "",
              "fitted on the readings\u2019 own uncertainty; 1 where that was right", into);
    add_value("Expected error", sf_outcome_part_error_k(outcome), 1, "K",
              "of a part\u2019s temperature: root mean square of its uncertainty over all parts",
              into);
    add_value("Left-out error", summary.left_out_rmse_k, 2, "K",
              "root mean square of reading less its prediction from the others; it compares models "
              "and is no error of the map",
              into);
    text_add(into, "<tr><th scope=\"row\">Cells</th><td class=\"number\">");
    html_grouped(into, (double)summary.cells);
    text_add(into, "</td><td></td><td>of ");
    html_number(into, summary.cell_mm, 2);
    text_add(into, " mm inside the outline</td></tr>\n");
    report_table_close(into);
}

static void add_period(const sf_period *period, text *into)
{
    text_add(into, "<tr>");
    html_cell_grouped(into, period->hours);
    html_cell_number(into, period->service_ambient_c, 1);
    html_cell_number(into, period->load, 2);
    html_cell_text(into, period->note);
    text_add(into, "</tr>\n");
}

static void add_history(const sf_job *job, text *into)
{
    if (job->period_count == 0)
        return;
    text_add(into, "<h3>History</h3>\n");
    report_table_open(into, "history-list", "Periods of use, whose shares of life add up");
    report_heading(into, "Hours", "number", false);
    report_heading(into, "Air, \u00B0C", "number", false);
    report_heading(into, "Load", "number", false);
    report_heading(into, "Note", "prose", false);
    text_add(into, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < job->period_count && i < REPORT_ROWS_MAX; i++)
        add_period(&job->periods[i], into);
    report_table_close(into);
}

static double policy_value(const sf_policy *policy, const sf_policy_key *key)
{
    double value;
    memcpy(&value, (const char *)policy + key->offset, sizeof value);
    return value;
}

static void add_policy_row(const sf_policy *policy, const sf_policy *usual,
                           const sf_policy_key *key, text *into)
{
    double value = policy_value(policy, key), default_value = policy_value(usual, key);
    text_add(into, value == default_value ? "<tr class=\"usual\">" : "<tr>");
    text_add(into, "<th scope=\"row\">");
    html_text(into, key->meaning);
    text_add(into, " <code>");
    html_text(into, key->key);
    text_add(into, "</code></th><td class=\"number\">");
    html_short(into, value);
    if (*key->unit) {
        text_add(into, " ");
        html_sentence(into, key->unit);
    }
    if (value != default_value) {
        text_add(into, " <span class=\"flag\">changed from ");
        html_short(into, default_value);
        text_add(into, "</span>");
    }
    text_add(into, "</td>");
    html_cell_text(into, key->source);
    text_add(into, "</tr>\n");
}

static void add_policy(const sf_policy *policy, text *into)
{
    sf_policy usual = sf_policy_default();
    text_add(into, "<h3>Policy</h3>\n<p>Rated life doubles for each 10 K that a part runs "
                   "cooler than its rating, and periods add up as shares of that life. Each value "
                   "below can be changed in policy.csv.</p>\n");
    report_table_open(into, "policy-list", "Thresholds and where they come from");
    report_heading(into, "Threshold", "name", false);
    report_heading(into, "Value", "number", false);
    report_heading(into, "Source", "prose", false);
    text_add(into, "</tr></thead>\n<tbody>\n");
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++)
        add_policy_row(policy, &usual, key, into);
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
