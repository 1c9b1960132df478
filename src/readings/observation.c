/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The last corrections of a spot, its uncertainty, and both in words. */
#include "readings/settle.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/text.h"
#include "readings/correction.h"

/* --- uncertainty of what an instrument showed --- */

#define BIT(choice) (1u << (choice))
#define ANY_SPOT (BIT(SF_SPOT_BOARD) | BIT(SF_SPOT_PART) | BIT(SF_SPOT_SOURCE))
#define ANY_BEAD                                                                                   \
    (BIT(SF_METHOD_THERMOCOUPLE_K) | BIT(SF_METHOD_THERMOCOUPLE_J) | BIT(SF_METHOD_THERMOCOUPLE_T))

/* Every row that meets method and spot counts, in quadrature. A limit is the half width of a
 * rectangular distribution, the greater of limit_k and limit_share of the shown temperature;
 * rise_share is a standard uncertainty. */
static const struct contribution {
    unsigned methods, spots;
    double limit_k, limit_share;
    double rise_share;
} contributions[] = {
    /* IEC 60584-1, tolerance class 2, type K: 2.5 C or 0.0075 |t| */
    {BIT(SF_METHOD_THERMOCOUPLE_K), ANY_SPOT, 2.5, 0.0075, 0},
    /* IEC 60584-1, tolerance class 2, type J: 2.5 C or 0.0075 |t| */
    {BIT(SF_METHOD_THERMOCOUPLE_J), ANY_SPOT, 2.5, 0.0075, 0},
    /* IEC 60584-1, tolerance class 2, type T: 1.0 C or 0.0075 |t| */
    {BIT(SF_METHOD_THERMOCOUPLE_T), ANY_SPOT, 1.0, 0.0075, 0},
    /* handheld infrared thermometers, 2 K or 2 %: common practice, no source */
    {BIT(SF_METHOD_INFRARED), ANY_SPOT, 2.0, 0.02, 0},
    /* judgement: by how a bead is taped, its wire laid along the surface, it is 3 % of the rise
     * uncertain, beside what all beads show too little */
    {ANY_BEAD, ANY_SPOT, 0, 0, 0.03},
    /* judgement: an infrared spot of some centimetres averages the board about it */
    {BIT(SF_METHOD_INFRARED), BIT(SF_SPOT_BOARD), 0, 0, 0.03},
    /* judgement: the same spot overlaps the rim of a can or body; a fifth of the spot
     * beside it, at half the rise, costs a tenth of the rise */
    {BIT(SF_METHOD_INFRARED), BIT(SF_SPOT_PART) | BIT(SF_SPOT_SOURCE), 0, 0, 0.08},
};

doubt doubt_by_default(sf_method method, sf_spot spot, double shown_c)
{
    doubt sum = {0, 0};
    for (size_t i = 0; i < sizeof contributions / sizeof contributions[0]; i++) {
        const struct contribution *row = &contributions[i];
        if (!(row->methods & BIT(method)) || !(row->spots & BIT(spot)))
            continue;
        double limit_k = fmax(row->limit_k, row->limit_share * fabs(shown_c));
        sum.instrument_sd_k = hypot(sum.instrument_sd_k, limit_k / sqrt(3));
        sum.rise_share = hypot(sum.rise_share, row->rise_share);
    }
    return sum;
}

double sf_rated_core_rise_k(double rated_c)
{
    return rated_c >= 105 ? 5 : 10;
}

/* --- a spot --- */

static bool is_contact(const sf_reading *row)
{
    return row->method != SF_METHOD_INFRARED;
}

/* A bead drains heat through its own wire and shows less than the surface had: with b the share
 * of the rise it loses, rise = shown rise/(1 - b), and d rise/db = rise/(1 - b). All beads of a
 * survey lose alike, and each more or less by how it was taped. */
static void correct_bead(const sf_policy *policy, double taping_share, sf_observation *made,
                         double *own_sd_k)
{
    double passed = 1 - policy->bead_bias_pct / 100;
    made->rise_k /= passed;
    for (int common = 0; common < SF_COMMON_COUNT; common++)
        made->common_k[common] /= passed;
    made->common_k[SF_COMMON_BEAD] = policy->bead_bias_sd_pct / 100 * made->rise_k / passed;
    *own_sd_k = hypot(*own_sd_k / passed, taping_share * made->rise_k / passed);
}

/* What a can adds by its own ripple, and how sure; where the ripple is not known, hardly any. The
 * makers' rise is that of the core; of that the can shows most (judgement). */
static void expect_own_heat(const sf_job *job, sf_observation *made)
{
    made->own_sd_k = OWN_HEAT_SD_K;
    if (made->part == SF_NO_PART)
        return;
    const sf_part *part = &job->parts[made->part];
    double ratio = part->ripple_a / part->rated_ripple_a;
    if (!isfinite(ratio))
        return;
    double core_k = ratio * ratio * sf_rated_core_rise_k(part->rated_c);
    made->own_k = OWN_HEAT_SEEN * core_k;
    made->own_sd_k = hypot(made->own_sd_k, OWN_HEAT_SD * core_k);
}

/* Rise and standard uncertainty: what readings of one instrument, bead or surface have together,
 * and the rest, which is this reading's alone. */
static void weigh(const sf_job *job, const settled *spot, sf_observation *made)
{
    const row_value *value = &spot->value;
    doubt assumed = {0, 0};
    double own_sd_k = spot->random_sd_k, sum_k2;
    if (spot->is_default)
        assumed = doubt_by_default(spot->row->method, spot->row->spot, value->shown_c);
    made->rise_k = value->rise_k;
    made->common_k[spot->row->method] =
        spot->is_default ? assumed.instrument_sd_k * value->gain : spot->shared_sd_k;
    made->common_k[SF_COMMON_AIR] = AIR_SD_K;
    if (is_contact(spot->row)) {
        correct_bead(&job->policy, assumed.rise_share, made, &own_sd_k);
    } else {
        made->common_k[SF_COMMON_EMISSIVITY] = value->common_sd_k;
        own_sd_k = hypot(own_sd_k, assumed.rise_share * made->rise_k);
    }
    if (made->spot == SF_SPOT_PART)
        expect_own_heat(job, made);
    sum_k2 = own_sd_k * own_sd_k;
    for (int common = 0; common < SF_COMMON_COUNT; common++)
        sum_k2 += made->common_k[common] * made->common_k[common];
    made->sd_k = sqrt(sum_k2);
}

sf_observation sf_reading_expect(const sf_job *job, sf_method method, sf_spot spot, size_t part,
                                 double rise_k)
{
    const sf_reading row = {.method = method, .spot = spot, .sd_k = NAN};
    double shown_k = fmax(rise_k, 0), ambient_c = job->board.ambient_c;
    if (is_contact(&row))
        shown_k *= 1 - job->policy.bead_bias_pct / 100;
    settled at = {.row = &row, .row_count = 1, .is_default = true, .random_sd_k = REPEAT_SD_K};
    at.value = (row_value){.shown_c = ambient_c + shown_k, .rise_k = shown_k, .gain = 1};
    if (!is_contact(&row))
        at.value.common_sd_k = doubt_of_mask_k(at.value.shown_c, ambient_c);
    sf_observation made = {.method = method, .spot = spot, .part = part};
    weigh(job, &at, &made);
    made.temp_c = ambient_c + made.rise_k;
    made.in_fit = spot != SF_SPOT_SOURCE;
    return made;
}

static void begin_clause(text *remark)
{
    if (remark->length > 0)
        text_add(remark, "; ");
}

static void tell_conversion(text *remark, const settled *spot, double ambient_c)
{
    const sf_reading *row = spot->row;
    if (row->unit == SF_UNIT_MILLIVOLT) {
        begin_clause(remark);
        text_addf(remark, "from mV, reference junction at %.1f C", row->junction_c);
    }
    if (!is_contact(row) && !isnan(row->emissivity)) {
        begin_clause(remark);
        text_addf(remark, "emissivity %.2f, reflected temperature %.1f C", row->emissivity,
                  isnan(row->reflected_c) ? spot->value.ambient_c : row->reflected_c);
    }
    if (spot->value.ambient_c != ambient_c) {
        begin_clause(remark);
        text_addf(remark, "rise over its own air, %.1f C", spot->value.ambient_c);
    }
}

static void tell_series(text *remark, const settled *spot)
{
    const asymptote *led = &spot->warmup.led;
    if (spot->row_count < 2)
        return;
    begin_clause(remark);
    text_addf(
        remark,
        "steady state, extrapolated from %zu readings up to %g min, +/- %.1f K, allowing for a "
        "slower body behind the board (%.0f %% of the rise)",
        spot->row_count, spot->last_minute, led->steady_sd_k, 100 * led->slow_share);
    if (led->steady_sd_k <= SETTLED_SD_K)
        return;
    begin_clause(remark);
    text_addf(remark, "one more reading at %g min would narrow this to about +/- %.1f K",
              led->further_min, led->further_sd_k);
}

/* Of a can that is named, its own. */
static sf_side side_of(const sf_job *job, const sf_reading *row, size_t part)
{
    return part != SF_NO_PART ? job->parts[part].side : row->side;
}

static void tell_doubts(text *remark, const sf_job *job, const settled *spot, size_t part)
{
    const sf_policy *policy = &job->policy;
    const sf_reading *row = spot->row;
    if (is_contact(row) && policy->bead_bias_pct != 0) {
        begin_clause(remark);
        text_addf(remark, "a bead shows %g %% too little of the rise: corrected",
                  policy->bead_bias_pct);
    }
    if (spot->is_default) {
        begin_clause(remark);
        text_add(remark, "no uncertainty given: default of the method");
    }
    if (row->spot == SF_SPOT_PART) {
        begin_clause(remark);
        if (part == SF_NO_PART)
            text_add(remark, "on a part that is not listed");
        else
            text_addf(remark, "on %s", job->parts[part].ref);
    }
    if (side_of(job, row, part) == SF_SIDE_SOLDER) {
        begin_clause(remark);
        text_add(remark, "on the solder side");
    }
    if (row->spot == SF_SPOT_SOURCE) {
        begin_clause(remark);
        text_add(remark, "on the body of a heat source, hotter than the board below it: not in "
                         "the fit");
    }
}

bool observation_make(correction *run, const settled *spot, sf_observation *made)
{
    const sf_reading *row = spot->row;
    size_t part = sf_reading_part(run->job, row);
    text remark = {0};
    tell_conversion(&remark, spot, run->job->board.ambient_c);
    tell_series(&remark, spot);
    tell_doubts(&remark, run->job, spot, part);
    *made = (sf_observation){.id = text_copy(row->id),
                             .x_mm = row->x_mm,
                             .y_mm = row->y_mm,
                             .in_fit = row->spot != SF_SPOT_SOURCE,
                             .method = row->method,
                             .spot = row->spot,
                             .part = part,
                             .side = side_of(run->job, row, part),
                             .remark = text_take(&remark),
                             .line = row->line,
                             .row_count = spot->row_count,
                             .steady_sd_k = spot->warmup.led.steady_sd_k};
    weigh(run->job, spot, made);
    made->temp_c = spot->value.ambient_c + made->rise_k;
    if (made->id && made->remark)
        return true;
    free(made->id);
    free(made->remark);
    run->status = SF_ERROR_MEMORY;
    return false;
}
