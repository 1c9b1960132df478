/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* policy.csv: every threshold of the corrections and the verdict, in one table. */
#include <string.h>

#include "job/files.h"
#include "job/rows.h"

#define KEY(member, its_unit) #member, its_unit, offsetof(sf_policy, member)

static const sf_policy_key policy_keys[] = {
    {KEY(cover_rise_k, "K"), 0, 60, 0, "the air is warmer by this much with the covers on",
     "0 assumes nothing; 5 to 15 K are usual in closed cabinets (common practice)"},
    {KEY(case_offset_sd_k, "K"), 0, 20, 0.5,
     "standard uncertainty of a part's case, beside its share of the board's rise", "judgement"},
    {KEY(position_sd_mm, "mm"), 0, 20, 1, "standard uncertainty of a reading's place, each axis",
     "judgement: a ruler held to a board"},
    {KEY(shared_pct, "%"), 0, 95, 50,
     "share of the variance of the readings' common errors that two surveys share",
     "judgement: one meter, tape and hand repeat about half of it"},
    {KEY(bead_bias_pct, "%"), 0, 50, 5, "share of the rise that a thermocouple bead reads too low",
     "judgement: bead taped down about 5 %, fine wire in epoxy 2 %, bead only touching 15 %"},
    {KEY(bead_bias_sd_pct, "%"), 0, 50, 2,
     "standard uncertainty of bead_bias_pct, in % of the rise",
     "judgement: taped 2 %, epoxy 1 %, only touching 8 %"},
    {KEY(past_life_check, ""), 0, 1, 0.05,
     "chance that the rated life is used up, from which a part is checked", "judgement"},
    {KEY(past_life_replace, ""), 0, 1, 0.5,
     "chance that the rated life is used up, from which a part is replaced",
     "judgement: more likely than not"},
    {KEY(past_life_critical, ""), 0, 1, 0.05,
     "chance that the rated life is used up, from which a critical part is replaced", "judgement"},
    {KEY(seal_years, "year"), 1, 100, 15, "age from which seals are past the makers' guidance",
     "15 years, common practice in makers' lifetime guides"},
    {KEY(used_middling, ""), 0, 10, 0.5,
     "share of rated life used from which an old seal calls for a check", "judgement"},
    {KEY(life_cap_h, "h"), 1000, 1e7, 131400, "longest life reported", "15 years of 8,760 h"},
    {KEY(life_floor_c, "C"), -40, 85, 40, "no extra life is credited below this temperature",
     "common lower bound of makers' lifetime guides"},
    {KEY(endurance_85_h, "h"), 100, 1e5, 1000,
     "endurance assumed for an unmarked part rated below 105 C",
     "the lowest common one of its grade (common practice)"},
    {KEY(endurance_105_h, "h"), 100, 1e5, 2000,
     "endurance assumed for an unmarked part rated 105 C or more",
     "the lowest common one of its grade (common practice)"},
    {KEY(endurance_sd, ""), 0, 2, 0.45, "log-normal uncertainty of an assumed endurance",
     "judgement: of 2,000 h, 90 % of parts between 950 and 4,200"},
    {KEY(wear_shape, ""), 0.5, 20, 3, "Weibull shape of the spread of life between parts",
     "judgement: published shapes of wear-out lie at 3 to 10"},
    {KEY(wear_at_rated, ""), 0.001, 0.999, 0.10,
     "share of parts worn out at the end of their rated life",
     "judgement: rated life read as a 10 % point"},
    {KEY(voltage_exponent, ""), 0, 10, 0,
     "life grows as (working/rated voltage)^-n; 0 gives no credit",
     "makers disagree, and it only lengthens life"},
    {KEY(esr_doubt_factor, ""), 1, 10, 2,
     "ESR above its limit is flagged; above this many times its limit the part is worn",
     "common tables of ESR disagree two- to fourfold"},
    {KEY(esr_age_factor, ""), 1, 10, 1.3,
     "a calculated ESR limit allows this many times the ESR of the worst new part",
     "makers' endurance tests allow 1.3 times (see theory, ESR limit)"},
    {KEY(leakage_doubt_factor, ""), 1, 1000, 5,
     "leakage above its limit is flagged; above this many times its limit the part is worn",
     "judgement: a rest raises leakage, and reforming brings it down"},
    {KEY(endurance_by_meter, ""), 0, 1, 0,
     "1: an assumed endurance is corrected by what the meter found of its grade; 0: that is only "
     "reported",
     "judgement: only the owner may change an assumption"},
    {KEY(kit_margin, ""), 1, 10, 1.25, "safety factor on endurance: ordered over needed",
     "judgement"},
    {KEY(kit_spare_pct, "%"), 0, 1000, 10, "spares added to each line of the kit, rounded up",
     "common practice"},
    {KEY(zone_warm_used, ""), 0.001, 1, 0.25,
     "share of rated life used at the second life bound of the map", "judgement"},
    {KEY(zone_hot_pct, "%"), 1, 50, 15, "hottest share of the board's area, which counts as hot",
     "judgement"},
    {KEY(zone_cool_pct, "%"), 1, 50, 50, "coolest share of the board's area, which counts as cool",
     "judgement"},
    {KEY(work_minutes, ""), 0.1, 1000, 12, "minutes to replace one part",
     "common practice, no source"},
    {KEY(slip_pct, "%"), 0, 100, 1,
     "replacements that lift a pad, damage a track or go in the wrong way round",
     "common practice, no source"},
    {NULL, NULL, 0, 0, 0, 0, NULL, NULL},
};

enum { POLICY_KEY_COUNT = sizeof policy_keys / sizeof policy_keys[0] - 1 };

_Static_assert(POLICY_KEY_COUNT * sizeof(double) == sizeof(sf_policy),
               "every member of sf_policy has its key");

const sf_policy_key *sf_policy_keys(void)
{
    return policy_keys;
}

sf_policy sf_policy_default(void)
{
    sf_policy made;
    for (const sf_policy_key *key = policy_keys; key->key; key++)
        memcpy((char *)&made + key->offset, &key->usual, sizeof key->usual);
    return made;
}

void policy_file_read(struct intake *intake)
{
    intake->job->policy = sf_policy_default();
    struct column columns[POLICY_KEY_COUNT] = {0};
    for (size_t i = 0; i < POLICY_KEY_COUNT; i++)
        columns[i] = (struct column){
            .name = policy_keys[i].key,
            .kind = COLUMN_NUMBER,
            .offset = policy_keys[i].offset,
            .least = policy_keys[i].least,
            .most = policy_keys[i].most,
            .unit = policy_keys[i].unit,
        };
    keys_read(intake, "policy.csv", false, columns, POLICY_KEY_COUNT, &intake->job->policy, NULL);
}
