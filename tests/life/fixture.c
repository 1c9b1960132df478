/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Jobs for the tests of the life room. */
#include "life/fixture.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"

sf_policy usual_policy(void)
{
    return (sf_policy){
        .cover_rise_k = 0,
        .case_offset_sd_k = 1.5,
        .position_sd_mm = 1,
        .past_life_check = 0.05,
        .past_life_replace = 0.5,
        .past_life_critical = 0.05,
        .seal_years = 15,
        .used_middling = 0.5,
        .life_cap_h = 131400,
        .life_floor_c = 40,
        .endurance_85_h = 1000,
        .endurance_105_h = 2000,
        .endurance_sd = 0.35,
        .wear_shape = 3,
        .wear_at_rated = 0.10,
        .voltage_exponent = 0,
        .esr_doubt_factor = 2,
        .esr_age_factor = 1.3,
        .leakage_doubt_factor = 5,
        .kit_margin = 1.25,
        .kit_spare_pct = 10,
        .zone_warm_used = 0.25,
        .zone_hot_pct = 15,
        .zone_cool_pct = 50,
        .work_minutes = 12,
        .slip_pct = 1,
    };
}

sf_part plain_part(const char *ref)
{
    return (sf_part){
        .ref = (char *)ref,
        .x_mm = 31,
        .y_mm = 17,
        .diameter_mm = 8,
        .height_mm = NAN,
        .lead_pitch_mm = NAN,
        .capacitance_uf = 47,
        .tolerance_low_pct = 20,
        .tolerance_high_pct = 20,
        .rated_v = 25,
        .rated_c = 85,
        .endurance_h = 2000,
        .ripple_a = NAN,
        .rated_ripple_a = NAN,
        .working_v = NAN,
        .duty = 1,
        .hours = NAN,
        .measured_uf = NAN,
        .measured_esr_ohm = NAN,
        .esr_hz = 100e3,
        .esr_limit_ohm = NAN,
        .tan_delta = NAN,
        .leakage_ua = NAN,
        .leakage_limit_ua = NAN,
        .note = "",
    };
}

sf_job plain_job(sf_part *parts, size_t count)
{
    return (sf_job){
        .folder = "",
        .board = {.name = "desk supply",
                  .width_mm = 90,
                  .height_mm = 60,
                  .ambient_c = 23,
                  .service_ambient_c = 23,
                  .run_hours = 24000,
                  .run_hours_sd = NAN,
                  .made_year = 2009,
                  .surveyed = "2021-07-02",
                  .survey_year = 2021.5,
                  .hours_per_year = NAN,
                  .service_goal_h = NAN},
        .parts = parts,
        .part_count = count,
        .policy = usual_policy(),
    };
}

sf_part_result decide_one(const sf_job *job, double rise_k, double sd_k)
{
    sf_estimate rise = {rise_k, sd_k};
    sf_part_result *results = NULL;
    assert_int_equal(job->part_count, 1);
    assert_int_equal(sf_parts_decide(job, &rise, &results), SF_OK);
    sf_part_result result = results[0];
    result.reason = strdup(results[0].reason);
    sf_part_results_free(results, 1);
    return result;
}
