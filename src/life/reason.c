/* Reasons: one function a clause, one list of clauses a rule. */
#include "life/reason.h"

#include <math.h>
#include <stdlib.h>

#include "life/words.h"

/* No one plans beyond: more years than this are told as "over". */
#define YEARS_TOLD_MAX 50.0
#define SURE_MAX 0.995
/* A narrower interval of the share used says nothing. */
#define INTERVAL_TOLD 0.005

/* How much a reason tells of the heat; less where the line would grow too long. */
typedef enum detail { DETAIL_BARE, DETAIL_HOURS, DETAIL_ALL } detail;

static void add_temperature(text *into, const dossier *of)
{
    const sf_part_result *result = of->result;
    text_addf(into, "%.0f ± ", result->temp_c);
    text_addf(into, result->temp_sd_k < 0.95 ? "%.1f C" : "%.0f C", result->temp_sd_k);
    if (result->temp_c > of->part->rated_c)
        text_addf(into, " (above its %g C rating)", of->part->rated_c);
}

static void add_hours_run(text *into, const dossier *of)
{
    add_whole(into, of->ran.hours * of->part->duty);
    text_add(into, of->part->duty < 1 ? " h stressed" : " h");
    if (of->ran.source == HOURS_ESTIMATED) {
        text_add(into, " (at ");
        add_whole(into, of->job->board.hours_per_year);
        text_add(into, " a year)");
    }
}

static void add_assumed(text *into, const dossier *of)
{
    if (!of->result->endurance_assumed)
        return;
    text_add(into, " (");
    add_whole(into, of->result->endurance_h);
    text_addf(into, " h at %g C assumed)", of->part->rated_c);
}

static void add_life(text *into, const dossier *of)
{
    if (of->lived->told) {
        text_addf(into, of->lived->count == 1 ? " in %zu period" : " in %zu periods",
                  of->lived->count);
        return;
    }
    bool capped = of->result->life_h >= of->job->policy.life_cap_h;
    text_add(into, capped ? " of over " : " of ");
    add_hours(into, of->result->life_h);
    text_add(into, of->result->endurance_assumed ? " life" : " rated life");
}

static void add_interval(text *into, const dossier *of)
{
    if (of->result->used_high - of->result->used_low <= INTERVAL_TOLD)
        return;
    text_add(into, " (90 %: ");
    add_percent_range(into, of->result->used_low, of->result->used_high);
    text_add(into, ")");
}

/* "62 ± 2 C, 24,000 h of 18,100 h rated life: 133 % used (90 %: 105 to 168 %)". */
static void add_heat(text *into, const dossier *of, detail depth)
{
    add_temperature(into, of);
    if (of->ran.source == HOURS_UNKNOWN) {
        text_add(into, ", run hours unknown");
        return;
    }
    text_add(into, ", ");
    if (depth >= DETAIL_HOURS) {
        add_hours_run(into, of);
        add_life(into, of);
        add_assumed(into, of);
        text_add(into, ": ");
    }
    add_percent(into, of->result->used);
    text_add(into, " used");
    if (depth == DETAIL_BARE)
        add_assumed(into, of);
    if (depth == DETAIL_ALL)
        add_interval(into, of);
}

static void add_reading(text *into, const dossier *of)
{
    text_add(into, "reads ");
    add_quantity(into, of->part->measured_uf);
    text_add(into, " uF, ");
    add_deviation(into, of->found.marking_pct);
    text_add(into, " on its marking");
    if (of->with->controls > 0) {
        text_add(into, ", new parts ");
        add_deviation(into, 100 * (of->with->bias - 1));
        text_add(into, ": ");
        add_deviation(into, of->found.reading_pct);
    }
}

static void add_esr(text *into, const dossier *of)
{
    text_add(into, "ESR ");
    add_quantity(into, of->part->measured_esr_ohm);
    text_add(into, " ohm, limit ");
    add_quantity(into, of->part->esr_limit_ohm);
}

/* "98 % sure it is past its life", or a chance where it is less likely than not. */
static void add_past_life(text *into, const dossier *of)
{
    double past_life = of->result->past_life;
    if (past_life > SURE_MAX)
        text_add(into, "over 99 %");
    else
        add_percent(into, past_life);
    text_add(into, past_life < 0.5 ? " chance past its life" : " sure it is past its life");
}

static void add_age(text *into, const dossier *of)
{
    text_addf(into, "%.0f years old (seals: %g)", floor(of->result->age_years),
              of->job->policy.seal_years);
}

static void add_left(text *into, const dossier *of)
{
    const sf_part_result *result = of->result;
    bool capped = result->left_h >= of->job->policy.life_cap_h;
    if (isnan(result->left_years)) {
        text_add(into, capped ? "over " : "");
        add_hours(into, result->left_h);
        text_add(into, " left");
    } else if (result->left_years > YEARS_TOLD_MAX) {
        text_addf(into, "over %g years left at today's use", YEARS_TOLD_MAX);
    } else {
        text_addf(into, capped ? "over %.0f" : "%.1f", result->left_years);
        text_add(into, " years left at today's use");
    }
}

/* Starts a clause, parted from the one before it where there is one. */
static void part_clause(text *into, const char *mark)
{
    if (into->length > 0)
        text_add(into, mark);
}

static void tell_evidence(text *into, const dossier *of, detail depth)
{
    (void)depth;
    if (of->found.damaged)
        text_add(into, of->part->condition == SF_CONDITION_BULGED ? "bulged" : "leaking");
    if (of->found.reads_low) {
        part_clause(into, "; ");
        add_reading(into, of);
        text_addf(into, ", below -%g %%", of->part->tolerance_low_pct);
    }
    if (of->found.esr_worn) {
        part_clause(into, "; ");
        add_esr(into, of);
    }
    text_add(into, ": worn");
    if (of->result->past_life < of->job->policy.past_life_check)
        text_add(into, ", though heat alone would not say so: ");
    else if (of->result->past_life >= of->job->policy.past_life_check)
        text_add(into, ", as heat says: ");
    if (!isnan(of->result->past_life)) {
        add_percent(into, of->result->used);
        text_add(into, " used");
    }
}

static void tell_critical(text *into, const dossier *of, detail depth)
{
    text_add(into, "critical: ");
    add_heat(into, of, depth);
    if (of->result->past_life >= of->job->policy.past_life_critical) {
        text_add(into, ", ");
        add_past_life(into, of);
    }
    if (of->asked.past_seal) {
        text_add(into, "; ");
        add_age(into, of);
    }
}

/* A reading that does not condemn: of use where it sides with the heat or against it. */
static void add_meter(text *into, const dossier *of)
{
    if (!evidence_fine(&of->found, of->part))
        return;
    text_add(into, of->result->verdict == SF_REPLACE ? "; yet the meter reads fine"
                                                     : "; meter reads fine");
    if (!isnan(of->found.reading_pct)) {
        text_add(into, " (");
        add_deviation(into, of->found.reading_pct);
        text_add(into, ")");
    }
}

static void tell_past_life(text *into, const dossier *of, detail depth)
{
    add_heat(into, of, depth);
    text_add(into, ", ");
    add_past_life(into, of);
    add_meter(into, of);
}

static void tell_doubt(text *into, const dossier *of, detail depth)
{
    add_heat(into, of, depth);
    text_add(into, ", ");
    add_past_life(into, of);
    if (isnan(of->result->clear_below_c))
        text_add(into, "; no reading would clear it: measure capacitance and ESR");
    else
        text_addf(into, "; read the board at (%.0f, %.0f): under %.0f C on the bench clears it",
                  of->part->x_mm, of->part->y_mm, of->result->clear_below_c);
}

static void add_meter_doubts(text *into, const dossier *of)
{
    if (of->found.reads_high || of->found.reads_near_low) {
        text_add(into, ", reads ");
        add_deviation(into, of->found.reading_pct);
    }
    if (of->found.reads_high)
        text_addf(into, ", above +%g %%: perhaps leaky", of->part->tolerance_high_pct);
    if (of->found.reads_near_low)
        text_addf(into, ", below -%g %% by less than the meter's doubt",
                  of->part->tolerance_low_pct);
    if (of->found.esr_doubtful) {
        text_add(into, ", ");
        add_esr(into, of);
    }
}

static void tell_measure(text *into, const dossier *of, detail depth)
{
    const sf_policy *policy = &of->job->policy;
    add_heat(into, of, depth);
    if (of->result->past_life >= policy->past_life_check) {
        text_add(into, ", ");
        add_past_life(into, of);
    }
    if (of->asked.left_h < of->asked.goal_h) {
        text_add(into, ", ");
        add_hours(into, of->asked.left_h);
        text_add(into, " left of the ");
        add_whole(into, of->asked.goal_h);
        text_add(into, " h goal");
    }
    if (of->asked.past_seal && of->asked.used >= policy->used_middling) {
        text_add(into, ", ");
        add_age(into, of);
    }
    add_meter_doubts(into, of);
    text_add(into, "; measure capacitance and ESR");
}

static void tell_leave(text *into, const dossier *of, detail depth)
{
    add_heat(into, of, depth);
    text_add(into, ", ");
    add_left(into, of);
    if (of->asked.past_seal) {
        text_add(into, "; ");
        add_age(into, of);
        text_add(into, ", but little worn");
    }
    add_meter(into, of);
}

typedef void (*teller)(text *into, const dossier *of, detail depth);

static const teller tellers[] = {
    [SF_RULE_EVIDENCE] = tell_evidence,   [SF_RULE_CRITICAL] = tell_critical,
    [SF_RULE_PAST_LIFE] = tell_past_life, [SF_RULE_DOUBT] = tell_doubt,
    [SF_RULE_MEASURE] = tell_measure,     [SF_RULE_LEAVE] = tell_leave,
};

char *reason_write(const dossier *of)
{
    text line = {0};
    for (int depth = DETAIL_ALL; depth >= DETAIL_BARE; depth--) {
        text_clear(&line);
        tellers[of->result->rule](&line, of, (detail)depth);
        if (line.length <= REASON_LENGTH)
            break;
    }
    return text_take(&line);
}
