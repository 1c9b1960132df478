/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One part's reasoning, number by number: temperature, life, hours, share used, meter and eye. */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_math.h>

#include "life/decide.h"
#include "life/order.h"

/* What is not known of the temperature of a part, K. */
static double part_temp_sd_k(const sf_job *job, sf_estimate rise_k)
{
    return hypot(hypot(rise_k.sd, job->policy.case_offset_sd_k), job->board.service_ambient_sd_k);
}

/* The can takes its heat from the board below it. */
static void explain_rise(text *into, const part_context *of, sf_estimate rise_k)
{
    const sf_part_result *result = of->result;
    double air_c = sf_service_air_c(of->job);
    double board_k = result->board_c - air_c;
    if (!isnan(board_k))
        text_addf(
            into,
            "  rise of the board below = %.4g K over air, standard deviation %.4g K: the field at "
            "(%g, %g) mm\n",
            board_k, result->board_sd_k, of->part->x_mm, of->part->y_mm);
    text_addf(into, "  rise of the can over air = %.4g K, standard deviation %.4g K", rise_k.value,
              rise_k.sd);
    if (!isnan(board_k))
        text_addf(into, ": %.4g of the board's", rise_k.value / board_k);
    text_add(into, "\n");
}

static void explain_temperature(text *into, const part_context *of, sf_estimate rise_k)
{
    const sf_policy *policy = &of->job->policy;
    double case_sd_k = policy->case_offset_sd_k, air_sd_k = of->job->board.service_ambient_sd_k;
    text_add(into, "Temperature\n");
    explain_rise(into, of, rise_k);
    text_addf(into, "  air in service = %.4g C: board.csv, service_ambient\n",
              of->job->board.service_ambient_c);
    text_addf(into, "  cover rise = %.4g K: policy, cover_rise_k\n", policy->cover_rise_k);
    text_addf(into, "  temperature in service = rise + air + cover = %.4g C\n", of->result->temp_c);
    text_addf(into, "  uncertainty of the case = %.4g K: policy, case_offset_sd_k\n", case_sd_k);
    text_addf(
        into,
        "  uncertainty of the air = %.4g K: board.csv, service_ambient_u; one for all parts\n",
        air_sd_k);
    text_addf(into, "  uncertainty of the temperature = sqrt(%.4g^2 + %.4g^2 + %.4g^2) = %.4g K\n",
              rise_k.sd, case_sd_k, air_sd_k, part_temp_sd_k(of->job, rise_k));
}

static const char *ripple_source(const part_context *of)
{
    const sf_part *part = of->part;
    if (!isfinite(part->ripple_a / part->rated_ripple_a))
        return "the ripple currents are not both given";
    return of->result->ripple_factor == 1
               ? "its own can was read, which already includes the ripple's heat, or r is at most "
                 "1 and "
                 "the endurance not marked as with ripple"
               : "Ki^((1 - r^2) dT0/10), r = ripple_a/rated_ripple_a; dT0 5 K and Ki 2, 4 where "
                 "r > 1, from 105 C up, dT0 10 K and Ki 2 below";
}

static const char *endurance_source(const part_context *of)
{
    if (!of->result->endurance_assumed)
        return "parts.csv, endurance_h";
    return of->job->policy.endurance_by_meter >= 0.5
               ? "not marked; policy, corrected by what the meter found of its grade"
               : "not marked; policy, the lowest common one of its grade";
}

static void explain_life(text *into, const part_context *of)
{
    const sf_policy *policy = &of->job->policy;
    const sf_part_result *result = of->result;
    double acting_c = fmax(result->temp_c, policy->life_floor_c);
    double doubling_k = sf_life_doubling_k(of->part->type);
    double life_h = sf_life_hours_by(doubling_k, result->endurance_h, of->part->rated_c,
                                     result->temp_c, policy->life_floor_c) *
                    result->ripple_factor * result->voltage_factor;
    text_add(into, "Life at that temperature\n");
    if (of->asked.no_law) {
        text_addf(into, "  not given: %s\n", sf_life_no_law_text(of->part->type));
        return;
    }
    text_addf(into, "  endurance L0 = %.0f h: %s\n", result->endurance_h, endurance_source(of));
    text_addf(into, "  at T0 = %.4g C: parts.csv, rated_c\n", of->part->rated_c);
    text_addf(into, "  K_ripple = %.4g: %s\n", result->ripple_factor, ripple_source(of));
    text_addf(into, "  K_voltage = %.4g: %s\n", result->voltage_factor,
              result->voltage_factor == 1
                  ? "1 for cans under 20 mm or 160 V, or by policy, voltage_exponent"
                  : "(working/rated)^-n, the ratio held in 0.6 to 1; policy, voltage_exponent");
    text_addf(into, "  temperature used = max(%.4g, %.4g) = %.4g C: policy, life_floor_c\n",
              result->temp_c, policy->life_floor_c, acting_c);
    text_addf(into, "  L = L0 * 2^((T0 - T)/%.4g) * K_ripple * K_voltage = %.0f h\n", doubling_k,
              life_h);
    text_addf(into, "  life reported = min(L, %.0f) = %.0f h: policy, life_cap_h\n",
              policy->life_cap_h, result->life_h);
}

static const char *hours_source_text(const part_context *of)
{
    if (of->ran.source == HOURS_ESTIMATED)
        return "hours_per_year times age";
    if (!isnan(of->part->hours))
        return "parts.csv, its own hours";
    return of->lived->told ? "history.csv, the part's share of the board's years"
                           : "board.csv, run_hours, the part's share of the board's years";
}

/* One line for each stretch of the history; they add to used. */
static void explain_periods(text *into, const part_context *of, double rise_k)
{
    const sf_policy *policy = &of->job->policy;
    const sf_part_result *result = of->result;
    for (size_t i = 0; i < of->lived->count; i++) {
        const sf_period *period = &of->lived->periods[i];
        double hours = result->hours * of->part->duty * period->hours / of->lived->total_h;
        double temp_c = rise_k * period->load + period->service_ambient_c + policy->cover_rise_k;
        double life_h = sf_life_hours_by(sf_life_doubling_k(of->part->type), result->endurance_h,
                                         of->part->rated_c, temp_c, policy->life_floor_c) *
                        result->ripple_factor * result->voltage_factor;
        text_addf(into,
                  "  period %zu: %.0f h at rise * %.4g + %.4g + %.4g = %.4g C, L = %.0f h, used "
                  "%.4g\n",
                  i + 1, hours, period->load, period->service_ambient_c, policy->cover_rise_k,
                  temp_c, life_h, hours / life_h);
    }
}

static void explain_doubt(text *into, const part_context *of, double temp_sd_k)
{
    const sf_part_result *result = of->result;
    const sf_policy *policy = &of->job->policy;
    double doubling_k = sf_life_doubling_k(of->part->type);
    text_addf(
        into,
        "  uncertainty of ln used: ln 2/%.4g * %.4g K = %.4g from temperature above the floor\n",
        doubling_k, temp_sd_k, M_LN2 / doubling_k * temp_sd_k);
    text_addf(into, "  uncertainty of endurance = %.4g, of hours = %.4g: log-normal, %s\n",
              result->endurance_sd, of->ran.sd,
              result->endurance_assumed ? "policy, endurance_sd" : "marked: none");
    text_addf(into, "  used, 90 %% interval = %.4g to %.4g\n", result->used_low, result->used_high);
    text_addf(into, "  past_life = P(used > 1) = %.4g\n", result->past_life);
    text_addf(
        into,
        "  worn_out = %.4g: 1 - exp(ln(1 - %.4g) used^%.4g) averaged over the uncertainty; policy, "
        "wear_at_rated and wear_shape\n",
        result->worn_out, policy->wear_at_rated, policy->wear_shape);
}

static void explain_wear(text *into, const part_context *of, sf_estimate rise_k)
{
    const sf_part_result *result = of->result;
    text_add(into, "Life used\n");
    if (of->asked.no_law) {
        text_add(into, "  not given\n");
        return;
    }
    if (of->ran.source == HOURS_UNKNOWN) {
        text_add(into, "  hours = not known: neither run_hours nor hours_per_year with a year\n");
        return;
    }
    text_addf(into, "  hours = %.0f: %s\n", result->hours, hours_source_text(of));
    text_addf(into, "  duty = %.4g: share of them under stress, parts.csv\n", of->part->duty);
    explain_periods(into, of, rise_k.value);
    text_addf(into, "  used = sum of the periods = %.4g\n", result->used);
    text_addf(into, "  the same, had it been no warmer than its air = %.4g\n", result->used_in_air);
    if (result->used > 0)
        explain_doubt(into, of, part_temp_sd_k(of->job, rise_k));
    text_addf(into, "  left = (1 - used) * L / duty, 0 to the cap = %.0f h", result->left_h);
    if (result->left_years * of->job->board.hours_per_year < result->left_h)
        text_addf(into, ", and %.4g years until its seals are older than seal_years",
                  result->left_years);
    else if (!isnan(result->left_years))
        text_addf(into, ", at %.0f h a year %.4g years", of->job->board.hours_per_year,
                  result->left_years);
    text_add(into, "\n");
}

static void explain_age(text *into, const part_context *of)
{
    double seal_years = of->job->policy.seal_years;
    text_add(into, "Calendar\n");
    if (isnan(of->result->age_years))
        text_add(into, "  age = not known\n");
    else
        text_addf(into, "  age = %.4g years: %s the %.4g advised for seals; policy, seal_years\n",
                  of->result->age_years, of->asked.past_seal ? "past" : "within", seal_years);
}

static void explain_capacitance(text *into, const part_context *of)
{
    const sf_part *part = of->part;
    const evidence *found = &of->found;
    text_addf(into, "  capacitance = %.6g uF on a marking of %.6g: %+.3g %% as read\n",
              part->measured_uf, part->capacitance_uf, found->marking_pct);
    text_addf(into,
              "  the meter reads new parts %.4g times their marking: median of %zu controls\n",
              of->with->bias, of->with->controls);
    text_addf(into, "  corrected = %+.3g %%, tolerance -%.6g/+%.6g %%: %s\n", found->reading_pct,
              part->tolerance_low_pct, part->tolerance_high_pct,
              found->reads_low        ? "below it: worn"
              : found->reads_near_low ? "below it, but within the meter's uncertainty"
              : found->reads_high     ? "above it: perhaps leaky"
                                      : "within it");
}

static void explain_esr(text *into, const part_context *of)
{
    const sf_part *part = of->part;
    const sf_policy *policy = &of->job->policy;
    double limit_ohm = of->found.esr_limit_ohm;
    if (isnan(limit_ohm)) {
        text_addf(into, "  ESR = %.4g ohm: no limit to judge it by\n", part->measured_esr_ohm);
        return;
    }
    if (isnan(part->esr_limit_ohm))
        text_addf(
            into,
            "  ESR limit = %.4g * tan delta / (2 pi 120 Hz C), at %.0f Hz = %.4g ohm; policy, "
            "esr_age_factor\n",
            policy->esr_age_factor, part->esr_hz, limit_ohm);
    text_addf(into, "  ESR = %.4g ohm, limit %.4g, worn above %.4g times that: %s\n",
              part->measured_esr_ohm, limit_ohm, policy->esr_doubt_factor,
              of->found.esr_worn       ? "worn"
              : of->found.esr_doubtful ? "above the limit"
                                       : "within it");
}

static void explain_leakage(text *into, const part_context *of)
{
    double limit_ua = of->found.leakage_limit_ua;
    if (isnan(limit_ua))
        text_addf(into, "  leakage = %.4g uA: no limit to judge it by\n", of->part->leakage_ua);
    else
        text_addf(into, "  leakage = %.4g uA, limit %.4g, worn above %.4g times that: %s\n",
                  of->part->leakage_ua, limit_ua, of->job->policy.leakage_doubt_factor,
                  of->found.leaks_worn       ? "worn"
                  : of->found.leaks_doubtful ? "above the limit"
                                             : "within it");
}

static void explain_evidence(text *into, const part_context *of)
{
    const sf_part *part = of->part;
    explain_age(into, of);
    text_add(into, "Meter and eye\n");
    if (!isnan(of->found.reading_pct))
        explain_capacitance(into, of);
    else
        text_add(into, "  capacitance = not measured, or no marking to judge it by\n");
    if (!isnan(part->measured_esr_ohm))
        explain_esr(into, of);
    else
        text_add(into, "  ESR = not measured\n");
    if (!isnan(part->leakage_ua))
        explain_leakage(into, of);
    text_addf(into, "  condition = %s\n",
              part->condition == SF_CONDITION_UNKNOWN ? "not given"
                                                      : sf_condition_text(part->condition));
}

/* What a new part would have to be marked for. */
static void explain_new_part(text *into, const part_context *of)
{
    const sf_board *board = &of->job->board;
    double grade_c = fmax(of->part->rated_c, 105);
    if (isnan(board->service_goal_h) || of->asked.no_law)
        return;
    text_add(into, "A new part here\n");
    text_addf(into, "  service goal = %.0f h: board.csv; margin = %.4g: policy, kit_margin\n",
              board->service_goal_h, of->job->policy.kit_margin);
    text_addf(into,
              "  endurance needed at %.4g C = goal * margin * duty / min(K_ripple, 1) / 2^((%.4g - "
              "T)/10) = %.0f h\n",
              grade_c, grade_c, needed_endurance_h(of->job, of->part, of->result, grade_c));
}

sf_status sf_part_explain(const sf_job *job, size_t index, sf_estimate rise_k,
                          const sf_part_result *result, char **explained)
{
    *explained = NULL;
    if (index >= job->part_count)
        return SF_ERROR_ARGUMENT;
    history lived;
    meter with;
    const sf_part *part = &job->parts[index];
    history_start(&lived, job);
    if (meter_judge(job, &with) != SF_OK)
        return SF_ERROR_MEMORY;
    evidence found = evidence_gather(part, &with, &job->policy);
    part_context of = {job,
                       part,
                       &lived,
                       &with,
                       part_run_time(job, part),
                       found,
                       part_rule_inputs(job, part, &found, result),
                       result};
    text said = {0};
    explain_temperature(&said, &of, rise_k);
    explain_life(&said, &of);
    explain_wear(&said, &of, rise_k);
    explain_evidence(&said, &of);
    explain_new_part(&said, &of);
    explain_rules(&said, &of);
    *explained = text_take(&said);
    return *explained ? SF_OK : SF_ERROR_MEMORY;
}
