/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit names: heat that nobody listed, sources that the readings deny, readings that do not
 * fit. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "field/scene.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* The likeliest source that was found and not listed; NULL where there is none. */
static const sf_source_fit *found_in(const sf_field *field)
{
    size_t count;
    const sf_source_fit *sources = sf_field_sources(field, &count), *best = NULL;
    for (size_t j = 0; j < count; j++)
        if (!sources[j].listed && (!best || sources[j].probability > best->probability))
            best = &sources[j];
    return best;
}

/* The plain scene with one more source that nobody listed, and a reading on it. */
static void hide_one(scene *job)
{
    scene_plain(job);
    scene_hide_source(job, 35, 68, 12, 42000);
    scene_scatter(job, 14, 0.4, 1001);
    scene_add_reading(job, 36, 67, 0.4);
}

static void unlisted_source_under_a_reading_is_named_at_its_place(void **state)
{
    (void)state;
    scene job;
    hide_one(&job);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 21);
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
    assert_sound(&job, field);
    const sf_source_fit *found = found_in(field);
    assert_non_null(found);
    assert_true(found->probability > 0.9);
    assert_true(hypot(found->x_mm - 35, found->y_mm - 68) < 6);
    assert_true(found->width_mm > 6 && found->width_mm < 25);
    assert_close(found->height_mm, found->width_mm, 0, 0);
    assert_true(found->evidence > 1);
    assert_memory_equal(found->ref, "unlisted ", 9);
    /* most of the 26 K or so that it adds under itself */
    assert_true(found->rise_k.value > 8 && found->rise_k.value < 40);
    assert_true(complained_of(&heard, SF_WARNING, "again first"));
    assert_int_equal(heard.error_count, 0);
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
}

static void finding_it_brings_the_field_nearer_the_truth(void **state)
{
    (void)state;
    scene job;
    hide_one(&job);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 21);
    sf_field *field = scene_field(&job);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, 33, 72, &there), SF_OK);
    /* 5 mm beside the reading: a field that only bends to the reading falls off at once */
    assert_close(there.value, truth_at(&from, 33, 72), 0.12, 0);
    sf_field_free(field);
    truth_clear(&from);
}

static void nothing_is_named_where_all_is_listed(void **state)
{
    (void)state;
    for (unsigned long seed = 0; seed < 4; seed++) {
        scene job;
        scene_plain(&job);
        scene_scatter(&job, 18, 0.4, 1010 + seed);
        truth from = scene_truth(&job, 1.25);
        scene_read(&job, &from, 1, 23 + seed);
        sf_field *field;
        sf_diagnostics heard = {0};
        assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
        const sf_source_fit *found = found_in(field);
        assert_true(!found || found->probability < 0.9);
        assert_false(complained_of(&heard, SF_WARNING, "would have to cool"));
        sf_diagnostics_clear(&heard);
        sf_field_free(field);
        truth_clear(&from);
    }
}

static void source_that_the_readings_deny_is_a_contradiction(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 18, 0.3, 1003);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 24);
    /* a fourth is listed where a heat sink cools the board instead; much further down the readings
     * there would be held to be wrong */
    scene_add_source(&job, 58, 38, 12, 12, 0);
    for (int i = 0; i < 5; i++) {
        scene_add_reading(&job, 54.0 + 4 * (i % 3), 35.0 + 6.0 * (i / 3), 0.3);
        job.seen[18 + i].rise_k = truth_at(&from, 54 + 4 * (i % 3), 35 + 6.0 * (i / 3)) - 3;
    }
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
    assert_sound(&job, field);
    size_t count;
    const sf_source_fit *sources = sf_field_sources(field, &count);
    assert_true(sources[3].contradiction && sources[3].rise_k.value < 0);
    for (size_t j = 0; j < 3; j++)
        assert_false(sources[j].contradiction);
    assert_true(complained_of(&heard, SF_WARNING, "would have to cool"));
    for (size_t i = 0; i < heard.count; i++)
        if (strstr(heard.items[i].what, "would have to cool")) {
            assert_string_equal(heard.items[i].file, "sources.csv");
            assert_int_equal(heard.items[i].line, 5);
        }
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
}

/* How many diagnostics have the words where the readings know better what a source gives than its
 * listed watts, which are `factor` times the true ones, give or take a fifth. */
static size_t told_of_watts(double factor, const char *words)
{
    scene job;
    scene_plain(&job);
    double watts_of_strength = stack_up_of(&job.board).loss_w_m2k * 1e-6;
    const sf_source *wrong = &job.sources[1];
    job.sources[1].power_w = factor * job.strength_k_mm2[1] * watts_of_strength;
    job.sources[1].power_sd_w = 0.2 * wrong->power_w;
    scene_scatter(&job, 21, 0.3, 77);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 53);
    sf_field *field;
    sf_diagnostics heard = {0};
    size_t count = 0, sources = 0;
    assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
    const sf_source_fit *fits = sf_field_sources(field, &sources);
    assert_true(isnan(fits[0].power_score) && isnan(fits[sources - 1].power_score));
    char score[48];
    snprintf(score, sizeof score, ", %.1f standard deviations %s", fabs(fits[1].power_score),
             fits[1].power_score < 0 ? "less" : "more");
    for (size_t i = 0; i < heard.count; i++) {
        const sf_diagnostic *told = &heard.items[i];
        count += strstr(told->what, words) != NULL;
        if (!strstr(told->what, " is listed at "))
            continue;
        assert_non_null(strstr(told->what, score));
        assert_true(fabs(fits[1].power_score) > 3);
        assert_int_equal(told->severity, SF_WARNING);
        assert_string_equal(told->file, "sources.csv");
        assert_int_equal(told->line, wrong->line);
        assert_string_equal(told->column, "power_w");
        assert_memory_equal(told->what, wrong->ref, strlen(wrong->ref));
    }
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
    return count;
}

/* Computed: a tenth of the listed watts enters the board at least, and is known to their fifth, so
 * that next to nothing lies 5 standard deviations below it, however many they are. */
static void watts_far_too_many_are_told(void **state)
{
    (void)state;
    assert_int_equal(told_of_watts(1700, ", 5.0 standard deviations less"), 1);
    assert_int_equal(told_of_watts(170, " standard deviations less"), 1);
}

/* A thousandth typed for a whole: the readings about the source are believed, not its watts. */
static void watts_far_too_few_hide_no_heat(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    job.sources[1].power_w =
        1e-3 * job.strength_k_mm2[1] * stack_up_of(&job.board).loss_w_m2k * 1e-6;
    job.sources[1].power_sd_w = 0.2 * job.sources[1].power_w;
    scene_scatter(&job, 21, 0.3, 77);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 53);
    sf_field *field = scene_field(&job);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, 85, 62, &there), SF_OK);
    assert_true(fabs(there.value - truth_at(&from, 85, 62)) < 2 * there.sd);
    sf_field_free(field);
    truth_clear(&from);
}

static void watts_within_their_doubt_are_not_told(void **state)
{
    (void)state;
    assert_int_equal(told_of_watts(1, " is listed at "), 0);
    assert_int_equal(told_of_watts(1.3, " is listed at "), 0);
    assert_int_equal(told_of_watts(0.75, " is listed at "), 0);
}

/* One reading among many that is off by so much; whether it is named, and its score. */
static double score_of_one_off_by(double off_k, int *named)
{
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 24, 0.4, 1004);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 25);
    /* the reading farthest from any source */
    size_t lone = 0;
    double widest = 0;
    for (size_t i = 0; i < job.reading_count; i++) {
        double nearest = INFINITY;
        for (size_t j = 0; j < 3; j++)
            nearest = fmin(nearest, hypot(job.seen[i].x_mm - job.sources[j].x_mm,
                                          job.seen[i].y_mm - job.sources[j].y_mm));
        if (nearest > widest) {
            widest = nearest;
            lone = i;
        }
    }
    job.seen[lone].id = "stray";
    job.seen[lone].rise_k += off_k;
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
    size_t count;
    double score = sf_field_readings(field, &count)[lone].score;
    *named = 0;
    for (size_t i = 0; i < heard.count; i++)
        if (strstr(heard.items[i].what, "stray")) {
            assert_string_equal(heard.items[i].file, "readings.csv");
            assert_int_equal(heard.items[i].line, job.seen[lone].line);
            assert_string_equal(heard.items[i].column, "value");
            *named = 1;
        }
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
    return score;
}

static void reading_that_is_far_too_cold_is_named_with_its_line(void **state)
{
    (void)state;
    int named;
    double score = score_of_one_off_by(-9, &named);
    assert_true(score < -3);
    assert_true(named);
}

static void reading_that_fits_is_not_named(void **state)
{
    (void)state;
    int named;
    double score = score_of_one_off_by(0, &named);
    assert_true(fabs(score) < 3);
    assert_false(named);
}

static void contradicting_readings_stay_bounded_and_are_named(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_scatter(&job, 16, 0.4, 1005);
    truth from = scene_truth(&job, 1.25);
    scene_read(&job, &from, 1, 26);
    double before = truth_at(&from, 58.75, 76.25);
    scene_add_reading(&job, 58.75, 76.25, 0.4);
    scene_add_reading(&job, 58.75, 76.25, 0.4);
    job.seen[16].rise_k = before - 14;
    job.seen[17].rise_k = before + 14;
    sf_field *field;
    sf_diagnostics heard = {0};
    assert_int_equal(scene_fit(&job, &field, &heard), SF_OK);
    assert_sound(&job, field);
    sf_estimate there;
    assert_int_equal(sf_field_at(field, 58.75, 76.25, &there), SF_OK);
    assert_true(there.value > before - 14 && there.value < before + 14);
    /* the rest of the board keeps within what was read on it */
    sf_grid cells = sf_field_grid(field);
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++)
        assert_true(sf_field_rise_k(field)[cell] > -10 && sf_field_rise_k(field)[cell] < 80);
    size_t count;
    const sf_reading_fit *readings = sf_field_readings(field, &count);
    assert_true(readings[16].gross > 0.5 || sf_field_summarize(field).noise_factor > 1.5);
    assert_true(heard.warning_count >= 1);
    sf_diagnostics_clear(&heard);
    sf_field_free(field);
    truth_clear(&from);
}

static void two_unlisted_sources_are_both_named(void **state)
{
    (void)state;
    int told_apart = 0;
    for (unsigned long seed = 0; seed < 8; seed++) {
        scene job;
        scene_plain(&job);
        scene_hide_source(&job, 35, 68, 12, 50000);
        scene_hide_source(&job, 61, 41, 12, 46000);
        scene_scatter(&job, 16, 0.4, 1002 + seed);
        scene_add_reading(&job, 36, 67, 0.4);
        scene_add_reading(&job, 60, 40, 0.4);
        truth from = scene_truth(&job, 1.25);
        scene_read(&job, &from, 1, 22 + seed);
        sf_field *field = scene_field(&job);
        size_t count;
        const sf_source_fit *sources = sf_field_sources(field, &count);
        int near_first = 0, near_second = 0;
        for (size_t j = 3; j < count; j++) {
            assert_false(sources[j].listed);
            near_first += hypot(sources[j].x_mm - 35, sources[j].y_mm - 68) < 8;
            near_second += hypot(sources[j].x_mm - 61, sources[j].y_mm - 41) < 8;
            for (size_t other = 3; other < j; other++)
                assert_string_not_equal(sources[j].ref, sources[other].ref);
        }
        told_apart += near_first >= 1 && near_second >= 1;
        sf_field_free(field);
        truth_clear(&from);
    }
    /* where noise is unlucky the search may settle on one between the two, or the model's own
     * discrepancy takes their heat */
    assert_true(told_apart >= 6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unlisted_source_under_a_reading_is_named_at_its_place),
        cmocka_unit_test(finding_it_brings_the_field_nearer_the_truth),
        cmocka_unit_test(nothing_is_named_where_all_is_listed),
        cmocka_unit_test(source_that_the_readings_deny_is_a_contradiction),
        cmocka_unit_test(watts_far_too_many_are_told),
        cmocka_unit_test(watts_far_too_few_hide_no_heat),
        cmocka_unit_test(watts_within_their_doubt_are_not_told),
        cmocka_unit_test(reading_that_is_far_too_cold_is_named_with_its_line),
        cmocka_unit_test(reading_that_fits_is_not_named),
        cmocka_unit_test(contradicting_readings_stay_bounded_and_are_named),
        cmocka_unit_test(two_unlisted_sources_are_both_named),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
