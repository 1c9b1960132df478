/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The invented board: heat falls off from each source, life follows the 10-kelvin rule. */
#include "output/sample.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"

static const double service_c = 38.5, run_hours = 9437;

/* ref, centre, size, rise under itself */
static const struct {
    const char *ref;
    double x_mm, y_mm, width_mm, height_mm, rise_k;
} heaters[] = {
    {"H1", 31, 122, 30, 12, 21},  {"H2", 64, 131, 18, 18, 14}, {"H3", 118, 96, 25, 10, 44},
    {"H4", 171, 134, 14, 14, 12}, {"H5", 186, 52, 22, 9, 36},  {"H6", 92, 22, 10, 10, 9},
};

enum { HEATERS = sizeof heaters / sizeof *heaters };

static double rise_at(double x_mm, double y_mm)
{
    double rise_k = 2.3;
    for (size_t i = 0; i < HEATERS; i++)
        rise_k +=
            heaters[i].rise_k * exp(-hypot(x_mm - heaters[i].x_mm, y_mm - heaters[i].y_mm) / 24.0);
    return rise_k;
}

/* Numbers in 0..1 that look random and are the same everywhere (a linear congruence). */
static double next_share(unsigned *state)
{
    *state = *state * 1664525u + 1013904223u;
    return (*state >> 8) / 16777216.0;
}

static void fill_board(sf_job *job)
{
    job->folder = text_copy("");
    job->board =
        (sf_board){.name = text_copy("Rack power supply, mixing desk of a community radio"),
                   .width_mm = 220,
                   .height_mm = 160,
                   .laminate = SF_LAMINATE_CEM1,
                   .thickness_mm = 1.6,
                   .copper_layers = 1,
                   .copper_thickness_um = 35,
                   .copper_cover = 0.4,
                   .air = SF_AIR_ENCLOSED,
                   .ambient_c = 22.4,
                   .service_ambient_c = service_c,
                   .run_hours = run_hours,
                   .run_hours_sd = NAN,
                   .made_year = 1989,
                   .surveyed = text_copy("2024-03-17"),
                   .survey_year = 2024.2,
                   .hours_per_year = 1460,
                   .service_goal_h = 15000};
    job->policy = sf_policy_default();
    job->policy.past_life_check = 0.08;
    job->assumptions = array_new(2, sizeof *job->assumptions);
    job->assumptions[0] = text_copy("board.csv says nothing of copper_cover: 40 % is taken.");
    job->assumptions[1] = text_copy("17 parts have no endurance marked: the lowest common one of "
                                    "their grade is taken.");
    job->assumption_count = 2;
    job->periods = array_new(1, sizeof *job->periods);
    job->periods[0] = (sf_period){run_hours, service_c, 1, text_copy("on the air")};
    job->period_count = 1;
}

static void fill_parts(sf_job *job, size_t count)
{
    static const double values[] = {4.7, 10, 47, 100, 220, 1000}, volts[] = {16, 25, 35, 63};
    unsigned state = 20240317;
    job->parts = array_new(count, sizeof *job->parts);
    job->part_count = count;
    for (size_t i = 0; i < count; i++) {
        sf_part *part = &job->parts[i];
        *part = (sf_part){.ref = text_format("C%zu", i + 1),
                          .x_mm = 8 + 204 * next_share(&state),
                          .y_mm = 8 + 144 * next_share(&state),
                          .diameter_mm = 5 + floor(8 * next_share(&state)),
                          .height_mm = 11,
                          .capacitance_uf = values[(size_t)(6 * next_share(&state))],
                          .rated_v = volts[(size_t)(4 * next_share(&state))],
                          .rated_c = 85,
                          .endurance_h = i % 5 == 4 ? NAN : 2000,
                          .critical = i % 29 == 3,
                          .note = text_copy("")};
    }
}

void sample_decide(sf_part_result *result, sf_rule rule)
{
    static const sf_cause causes[] = {
        [SF_RULE_EVIDENCE] = SF_CAUSE_METER, [SF_RULE_CRITICAL] = SF_CAUSE_CRITICAL,
        [SF_RULE_PAST_LIFE] = SF_CAUSE_HEAT, [SF_RULE_DOUBT] = SF_CAUSE_HEAT,
        [SF_RULE_MEASURE] = SF_CAUSE_AGE,    [SF_RULE_LEAVE] = SF_CAUSE_NONE};
    result->rule = rule;
    result->verdict = rule <= SF_RULE_PAST_LIFE ? SF_REPLACE
                      : rule < SF_RULE_LEAVE    ? SF_CHECK
                                                : SF_LEAVE;
    result->cause = causes[rule];
}

static void decide(const sf_part *part, sf_part_result *result, double rise_k)
{
    double lasts_h = isnan(part->endurance_h) ? 1000 : part->endurance_h;
    result->temp_c = service_c + rise_k;
    result->temp_sd_k = 0.6 + 0.03 * rise_k;
    result->endurance_h = lasts_h;
    result->endurance_assumed = isnan(part->endurance_h);
    result->life_h = lasts_h * exp2((part->rated_c - result->temp_c) / 10);
    result->hours = run_hours;
    result->age_years = 35.2;
    result->used = run_hours / result->life_h;
    double sd = 0.0693 * hypot(result->temp_sd_k, 1.5) + (result->endurance_assumed ? 0.3 : 0);
    result->used_low = result->used * exp(-1.645 * sd);
    result->used_high = result->used * exp(1.645 * sd);
    result->past_life = 0.5 * erfc(-log(result->used) / sd / sqrt(2));
    result->worn_out = 1 - exp(-pow(result->used / 2.117, 3));
    result->left_h = fmax(result->life_h - run_hours, 0);
    result->left_years = result->left_h / 1460;
    result->reading_pct = result->clear_below_c = NAN;
    sample_decide(result, result->past_life >= 0.5    ? SF_RULE_PAST_LIFE
                          : result->past_life >= 0.08 ? SF_RULE_DOUBT
                                                      : SF_RULE_LEAVE);
    result->settles = result->verdict == SF_CHECK ? 0.37 : NAN;
    result->settles_by = SF_METHOD_INFRARED;
    static const char *const words[] = {"Leave it", "Read the board there again",
                                        "Probably past its rated life"};
    result->reason =
        text_format("%s: at %.0f C +/- %.1f K it has used %.0f %% of its rated life.",
                    words[result->verdict], result->temp_c, result->temp_sd_k, result->used * 100);
}

static void fill_results(sf_outcome *outcome)
{
    const sf_job *job = outcome->job;
    outcome->results = array_new(job->part_count, sizeof *outcome->results);
    for (size_t i = 0; i < job->part_count; i++)
        decide(&job->parts[i], &outcome->results[i],
               rise_at(job->parts[i].x_mm, job->parts[i].y_mm));
}

static void fill_grid(sf_outcome *outcome)
{
    sf_field *field = outcome->field;
    field->grid = (sf_grid){.cell_mm = 5, .columns = 44, .rows = 32};
    size_t cells = field->grid.columns * field->grid.rows;
    field->inside = array_new(cells, 1);
    field->rise_k = array_new(cells, sizeof(double));
    field->rise_sd_k = array_new(cells, sizeof(double));
    outcome->temps_c = array_new(cells, sizeof(double));
    for (size_t i = 0; i < cells; i++) {
        double x_mm = ((double)(i % 44) + 0.5) * 5, y_mm = ((double)(i / 44) + 0.5) * 5;
        field->inside[i] = x_mm > 20 || y_mm > 20;
        field->rise_k[i] = rise_at(x_mm, y_mm);
        field->rise_sd_k[i] = 0.6 + 0.03 * rise_at(x_mm, y_mm);
        if (!field->inside[i])
            field->rise_k[i] = field->rise_sd_k[i] = NAN;
        outcome->temps_c[i] = field->rise_k[i] + service_c;
    }
    field->grid.inside = field->inside;
    field->summary = (sf_field_summary){.model = "heat-balance",
                                        .readings = 0,
                                        .cells = cells - 16,
                                        .cell_mm = 5,
                                        .length_mm = {23.7, 2.9},
                                        .prior_length_mm = 19.8,
                                        .loss_w_m2k = {16.2, 3.1},
                                        .background_k = {2.3, 0.4},
                                        .unlisted_sd_k = 0.83,
                                        .noise_factor = 1.07,
                                        .left_out_rmse_k = 1.34,
                                        .log_evidence = -51.3};
}

static void fill_sources(sf_field *field)
{
    field->sources = array_new(HEATERS + 1, sizeof *field->sources);
    field->source_count = HEATERS + 1;
    for (size_t i = 0; i < HEATERS; i++) {
        sf_source_fit *source = &field->sources[i];
        *source = (sf_source_fit){.listed = true,
                                  .x_mm = heaters[i].x_mm,
                                  .y_mm = heaters[i].y_mm,
                                  .width_mm = heaters[i].width_mm,
                                  .height_mm = heaters[i].height_mm,
                                  .rise_k = {heaters[i].rise_k, 1.7},
                                  .power_w = {heaters[i].rise_k * 0.061, 0.21},
                                  .probability = 1,
                                  .power_score = NAN};
        snprintf(source->ref, sizeof source->ref, "%s", heaters[i].ref);
    }
    field->sources[5].contradiction = true;
    field->sources[5].rise_k.value = -3.4;
    field->sources[HEATERS] = (sf_source_fit){"unlisted 1", false,        141.3, 27.8, 14,    14, 0,
                                              {7.9, 2.6},   {0.41, 0.17}, 3.7,   0.93, false, NAN};
}

static void fill_readings(sf_outcome *outcome, size_t count)
{
    unsigned state = 7;
    sf_field *field = outcome->field;
    outcome->observations = array_new(count, sizeof *outcome->observations);
    outcome->observation_count = count;
    field->readings = array_new(count, sizeof *field->readings);
    for (size_t i = 0; i < count; i++) {
        double x_mm = 8 + 204 * next_share(&state), y_mm = 8 + 144 * next_share(&state);
        double rise_k = rise_at(x_mm, y_mm), off_k = 2 * (next_share(&state) - 0.5);
        if (i == 6)
            off_k = -7.3;
        outcome->observations[i] =
            (sf_observation){.id = text_format("R%zu", i + 1),
                             .x_mm = x_mm,
                             .y_mm = y_mm,
                             .rise_k = rise_k + off_k,
                             .temp_c = rise_k + off_k + 22.4,
                             .sd_k = 0.9,
                             .in_fit = i != 4,
                             .method = i % 4 == 1 ? SF_METHOD_INFRARED : SF_METHOD_THERMOCOUPLE_K,
                             .spot = i == 4       ? SF_SPOT_SOURCE
                                     : i % 3 == 0 ? SF_SPOT_PART
                                                  : SF_SPOT_BOARD,
                             .remark = text_copy(i == 4       ? "taken on the body of a heat source"
                                                 : i % 4 == 1 ? "emissivity 0.90, 3.1 K added"
                                                              : "")};
        if (i == 4)
            continue;
        sf_reading_fit fit = {
            i, {rise_k + off_k * 0.2, 0.5}, {rise_k, 1.6}, off_k / 1.6, off_k / 1.6, 0.01, NULL};
        field->readings[field->reading_count++] = fit;
    }
    field->summary.readings = field->reading_count;
}

static void fill_zones(sf_outcome *outcome)
{
    static const struct {
        sf_zone_kind kind;
        const char *name, *sentence;
        double peak_c, x_mm, y_mm;
    } kinds[] = {{SF_ZONE_HOT, "hot around H3", "replace those around H3", 86.9, 117.5, 97.5},
                 {SF_ZONE_HOT, "hot around H5", "replace those around H5", 79.4, 187.5, 52.5},
                 {SF_ZONE_WARM, "warm around H1", "check those around H1", 62.2, 32.5, 122.5},
                 {SF_ZONE_COOL, "cool, the rest", "all of them stay", 51.7, 12.5, 92.5}};
    size_t count = sizeof kinds / sizeof *kinds, parts = outcome->job->part_count;
    sf_zones *zones = outcome->zones = array_new(1, sizeof *zones);
    *zones = (sf_zones){.endurance_h = 2000,
                        .rated_c = 85,
                        .hot_from_c = 62.6,
                        .warm_from_c = 52.4,
                        .count = count,
                        .part_count = parts};
    zones->zones = array_new(count, sizeof *zones->zones);
    zones->part_zone = array_new(parts, sizeof *zones->part_zone);
    for (size_t i = 0; i < count; i++)
        zones->zones[i] = (sf_zone){.kind = kinds[i].kind,
                                    .name = text_copy(kinds[i].name),
                                    .area_mm2 = 1850.0 + 2300.0 * (double)i,
                                    .peak_c = kinds[i].peak_c,
                                    .peak_x_mm = kinds[i].x_mm,
                                    .peak_y_mm = kinds[i].y_mm,
                                    .sentence = text_copy(kinds[i].sentence)};
    for (size_t i = 0; i < parts; i++) {
        double temp_c = outcome->results[i].temp_c;
        zones->part_zone[i] = temp_c >= 62.6   ? (outcome->job->parts[i].x_mm > 152 ? 1 : 0)
                              : temp_c >= 52.4 ? 2
                                               : 3;
    }
}

static void fill_kit(sf_outcome *outcome)
{
    sf_kit *kit = outcome->kit = array_new(1, sizeof *kit);
    kit->count = 2;
    kit->lines = array_new(2, sizeof *kit->lines);
    kit->lines[0] = (sf_kit_line){.capacitance_uf = 100,
                                  .rated_v = 25,
                                  .rated_c = 105,
                                  .endurance_h = 5000,
                                  .diameter_mm_max = 8,
                                  .height_mm_max = 11.5,
                                  .mount = SF_FORM_RADIAL,
                                  .lead_pitch_mm = 3.5,
                                  .ripple_a_min = 0.61,
                                  .esr_ohm_max = NAN,
                                  .low_esr = true,
                                  .count = 5,
                                  .spares = 1,
                                  .refs = text_copy("C3 C17 C40"),
                                  .description = text_copy("Capacitor as C3, \"low ESR\""),
                                  .note = text_copy("")};
    kit->lines[1] = (sf_kit_line){.capacitance_uf = 4.7,
                                  .rated_v = 63,
                                  .rated_c = 105,
                                  .endurance_h = 10000,
                                  .diameter_mm_max = 5,
                                  .height_mm_max = NAN,
                                  .lead_pitch_mm = NAN,
                                  .ripple_a_min = NAN,
                                  .esr_ohm_max = 0.27,
                                  .count = 2,
                                  .spares = 1,
                                  .refs = text_copy("C8 C51"),
                                  .description = text_copy("Capacitor as C8"),
                                  .note = text_copy("the old part has no endurance marked")};
}

void sample_recount(sf_outcome *outcome)
{
    sf_zones *zones = outcome->zones;
    size_t counts[SF_VERDICT_COUNT] = {0};
    for (size_t i = 0; i < zones->count; i++) {
        zones->zones[i].parts = 0;
        memset(zones->zones[i].verdicts, 0, sizeof zones->zones[i].verdicts);
    }
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        sf_verdict verdict = outcome->results[i].verdict;
        counts[verdict]++;
        if (zones->part_zone[i] >= zones->count)
            continue;
        zones->zones[zones->part_zone[i]].parts++;
        zones->zones[zones->part_zone[i]].verdicts[verdict]++;
    }
    outcome->kit->replaced = counts[SF_REPLACE];
    outcome->kit->checked = counts[SF_CHECK];
    outcome->kit->left = counts[SF_LEAVE];
}

static unsigned char picture[] = {0x89, 'P', 'N', 'G', 13, 10, 26, 10, 0xFB};

const sf_pictures sample_pictures = {.heat_png = picture,
                                     .heat_png_size = sizeof picture,
                                     .doubt_png = picture,
                                     .doubt_png_size = sizeof picture - 1,
                                     .frame = {1600, 1180, 130, 1090, 6.1}};

sf_outcome *sample_outcome(size_t parts, size_t readings)
{
    sf_outcome *outcome = array_new(1, sizeof *outcome);
    sf_job *job = array_new(1, sizeof *job);
    outcome->job = job;
    outcome->field = array_new(1, sizeof *outcome->field);
    outcome->references = array_new(2, sizeof *outcome->references);
    outcome->references[0] = (sf_reference){"thin-plate", 6.27};
    outcome->references[1] = (sf_reference){"kriging", 5.83};
    outcome->reference_count = 2;
    fill_board(job);
    job->keepout_told = true;
    fill_parts(job, parts);
    fill_results(outcome);
    fill_grid(outcome);
    fill_sources(outcome->field);
    fill_readings(outcome, readings);
    fill_zones(outcome);
    fill_kit(outcome);
    sample_recount(outcome);
    return outcome;
}

sf_job *sample_job(sf_outcome *outcome)
{
    return (sf_job *)outcome->job;
}

void sample_text(char **place, const char *words)
{
    free(*place);
    *place = text_copy(words);
}

static void free_job(sf_job *job)
{
    for (size_t i = 0; i < job->part_count; i++) {
        free(job->parts[i].ref);
        free(job->parts[i].note);
    }
    for (size_t i = 0; i < job->assumption_count; i++)
        free(job->assumptions[i]);
    for (size_t i = 0; i < job->period_count; i++)
        free(job->periods[i].note);
    free(job->parts);
    free(job->assumptions);
    free(job->periods);
    free(job->folder);
    free(job->board.name);
    free(job->board.surveyed);
    free(job);
}

static void free_field(sf_field *field)
{
    free(field->inside);
    free(field->rise_k);
    free(field->rise_sd_k);
    free(field->sources);
    free(field->readings);
    free(field);
}

static void free_found(sf_outcome *outcome)
{
    for (size_t i = 0; i < outcome->job->part_count; i++)
        free(outcome->results[i].reason);
    for (size_t i = 0; i < outcome->observation_count; i++) {
        free(outcome->observations[i].id);
        free(outcome->observations[i].remark);
    }
    for (size_t i = 0; i < outcome->zones->count; i++) {
        free(outcome->zones->zones[i].name);
        free(outcome->zones->zones[i].sentence);
    }
    for (size_t i = 0; i < 2; i++) {
        free(outcome->kit->lines[i].refs);
        free(outcome->kit->lines[i].note);
        free(outcome->kit->lines[i].description);
    }
}

void sample_free(sf_outcome *outcome)
{
    outcome->zones->count = 4;
    free_found(outcome);
    free(outcome->references);
    free(outcome->results);
    free(outcome->observations);
    free(outcome->temps_c);
    free(outcome->zones->zones);
    free(outcome->zones->part_zone);
    free(outcome->zones);
    free(outcome->kit->lines);
    free(outcome->kit);
    free_field(outcome->field);
    free_job(sample_job(outcome));
    free(outcome);
}
