/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What report.html says of readings, thermogram and heat sources: how they fit, and what does not.
 */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"
#include "output/markup.h"
#include "output/report_text.h"
#include "output/sample.h"

/* A picture seen by a camera, on a job of so many readings; the body's name would be markup. */
static text words_with_thermogram(size_t readings)
{
    sf_outcome *outcome = sample_outcome(3, readings);
    sf_body body = {.ref = "Q<3>", .pixels = 47, .temp_c = 83.26};
    sf_cold_patch patch = {
        .corners = {{12, 30.5}, {24, 30.5}, {24, 41.2}, {12, 41.2}}, .below_k = 9.3, .pixels = 88};
    sf_pixels pixels = {.count = 8886,
                        .masked = 37,
                        .cold = 210,
                        .patches = &patch,
                        .patch_count = 1,
                        .turned = "turned by 180 degrees",
                        .pixel_sd_k = 0.11,
                        .offset_sd_k = 1.26,
                        .gain_sd = 0.0334,
                        .marks_rms_mm = 0.37,
                        .left_out = 10314,
                        .blank = 17,
                        .off_board = 5863,
                        .on_bodies = 4434,
                        .least_c = 24.4,
                        .most_c = 65.7,
                        .pixel_mm = 0.85,
                        .covered = 0.93,
                        .mark_count = 6,
                        .bodies = &body,
                        .body_count = 1};
    markup found;
    sample_job(outcome)->thermogram.columns = 160;
    sample_job(outcome)->thermogram.rows = 120;
    outcome->pixels = &pixels;
    char *html = page_of(outcome);
    markup_read(html, &found);
    assert_string_equal(found.fault, "");
    text words = found.words;
    found.words = (text){0};
    markup_clear(&found);
    free(html);
    outcome->pixels = NULL;
    sample_free(outcome);
    return words;
}

static void a_thermogram_is_told_with_its_pixels_marks_and_doubts(void **state)
{
    (void)state;
    static const char *const told[] = {
        "thermogram of 160 \u00D7 120 pixels, each 0.85 mm wide on the board, shows 93 % of it",
        "8,886 pixels on bare board, from 24.4 to 65.7 \u00B0C",
        "4,434 on parts and sources",
        "5,863 off the board and 17 without a temperature",
        "37 masked",
        "left out: 210 pixels",
        "ring,x_mm,y_mm\n1,12.0,30.5\n1,24.0,30.5\n1,24.0,41.2\n1,12.0,41.2\n",
        "The picture fits the listed sources far better turned by 180 degrees: check the marks",
        "The patch at x 12 to 24, y 30 to 41 mm is colder than its surroundings by 9 K and looks "
        "like "
        "bare metal: mask it",
        "6 marks tie it to the board within 0.4 mm",
        "0.11 K of noise in a pixel; 1.26 K that all pixels share",
        "3.3 % of the rise",
        "Q<3> 83.3 \u00B0C",
        "the readings are predicted from all the others to within",
    };
    text words = words_with_thermogram(7);
    for (size_t i = 0; i < sizeof told / sizeof *told; i++)
        if (!strstr(words.bytes, told[i]))
            fail_msg("not told: %s", told[i]);
    text_clear(&words);
}

static void without_readings_nothing_is_said_of_them(void **state)
{
    (void)state;
    text words = words_with_thermogram(0);
    assert_non_null(strstr(
        words.bytes, "the cells of the thermogram are predicted from all the others to within"));
    assert_null(strstr(words.bytes, "Every reading fits its neighbours"));
    assert_null(strstr(words.bytes, "The score is the distance"));
    assert_null(strstr(words.bytes, "Readings, corrected"));
    text_clear(&words);
}

static void a_reading_that_does_not_fit_is_named_with_both_explanations(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    char *html = page_of(outcome);
    const char *named = strstr(html, "<strong>R7</strong>");
    assert_non_null(named);
    assert_null(strstr(html, "<strong>R6</strong>"));
    char item[900];
    snprintf(item, sizeof item, "%s", named);
    *strstr(item, "</li>") = '\0';
    assert_non_null(strstr(item, "7.3 K lower"));
    assert_non_null(strstr(item, "lifted bead"));
    assert_non_null(strstr(item, "unlisted source"));
    assert_non_null(strstr(html, "One reading does not fit"));
    free(html);
    sample_free(outcome);
}

static void a_reading_that_is_too_high_points_to_a_source_first(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    for (size_t i = 0; i < outcome->field->reading_count; i++)
        outcome->field->readings[i].score = 0.7;
    outcome->field->readings[2].score = 3.01;
    outcome->observations[2].rise_k = outcome->field->readings[2].left_out_k.value + 5.4;
    char *html = page_of(outcome);
    const char *named = strstr(html, "<strong>R3</strong>");
    assert_non_null(named);
    const char *source = strstr(named, "unlisted source"), *bead = strstr(named, "lifted bead");
    assert_true(source && bead && source < bead);
    assert_non_null(strstr(named, "5.4 K higher"));
    free(html);
    sample_free(outcome);
}

static void of_very_many_misfits_the_first_are_named(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 71);
    for (size_t i = 0; i < outcome->field->reading_count; i++)
        outcome->field->readings[i].score = i % 2 ? 4.7 : -3.9;
    char *html = page_of(outcome);
    assert_non_null(strstr(html, ">70 readings do not fit, first "));
    assert_non_null(strstr(html, "<p>70 readings do not fit; the first 40 are named here.</p>"));
    assert_int_equal(occurrences(html, " K higher than the others predict") +
                         occurrences(html, " K lower than the others predict"),
                     40);
    free(html);
    sample_free(outcome);
}

static void found_and_contradicted_sources_are_named(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    char *html = page_of(outcome);
    const char *found = strstr(html, "<strong>unlisted 1</strong>");
    assert_non_null(found);
    assert_non_null(strstr(found, "near x 141, y 28 mm, about 14 mm across"));
    assert_non_null(strstr(html, "<strong>H6</strong> is listed as a heat source, but for the "
                                 "readings to fit it would have to cool the board (\u22123.4"));
    assert_null(strstr(html, "<strong>H5</strong>"));
    free(html);
    sample_free(outcome);
}

static void watts_that_the_readings_deny_are_looked_at_first(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    sf_source listed[6] = {{.ref = "H1"},
                           {.ref = "H2"},
                           {.ref = "H3", .power_w = 17.5, .side = SF_SIDE_SOLDER},
                           {.ref = "H4"},
                           {.ref = "H5", .power_w = 0.83},
                           {.ref = "H6", .power_w = 9.7}};
    sample_job(outcome)->sources = listed;
    sample_job(outcome)->source_count = 6;
    sf_source_fit *sources = outcome->field->sources;
    sources[4].power_score = 2.99;
    char *html = page_of(outcome);
    assert_null(strstr(html, "whose power does not fit"));
    assert_null(strstr(html, "watts"));
    assert_non_null(
        strstr(html, "<th scope=\"row\">H3 <span class=\"marking\">solder side</span>"));
    assert_non_null(strstr(html, "<th scope=\"row\">H5</th>"));
    free(html);
    sources[2].power_score = -3.01;
    sources[5].power_score = -7.3; /* it is contradicted, and told as such alone */
    html = page_of(outcome);
    assert_non_null(strstr(html,
                           "<li><a href=\"#sources\">One listed source whose power does not fit "
                           "the readings: H3</a></li>"));
    assert_non_null(strstr(html,
                           "<strong>H3</strong> is listed at 17.5 W, but the readings give it "
                           "2.68"));
    assert_int_equal(occurrences(html, "listed, power contradicted"), 1);
    assert_int_equal(occurrences(html, " is listed at "), 1);
    free(html);
    sources[4].power_score = 3.4;
    html = page_of(outcome);
    assert_non_null(
        strstr(html, ">2 listed sources whose power does not fit the readings, first "));
    free(html);
    sample_job(outcome)->sources = NULL;
    sample_job(outcome)->source_count = 0;
    sample_free(outcome);
}

static void the_reference_is_praised_when_it_is_better(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    char *html = page_of(outcome);
    assert_non_null(strstr(
        html, "within 1.34 K by heat-balance, which made this map; within 6.27 K "
              "by the reference model thin-plate (a smooth surface that knows nothing "
              "about heat); within 5.83 K by the reference model kriging (a weighted "
              "mean of the readings that knows nothing about heat). The map predicts best."));
    free(html);
    outcome->references[1].rmse_k = 0.87;
    html = page_of(outcome);
    assert_non_null(strstr(html, "Here kriging is clearly better than the map."));
    assert_non_null(strstr(html, "where a heat source is missing"));
    assert_non_null(strstr(html,
                           "The reference model kriging predicts the readings better than the "
                           "map</a>"));
    free(html);
    outcome->references[0] = (sf_reference){"heat-balance", 0.86};
    html = page_of(outcome);
    assert_non_null(strstr(html, "map this board with it"));
    assert_non_null(
        strstr(html, "within 0.86 K by the reference model heat-balance; within 0.87 K"));
    free(html);
    outcome->references[0].rmse_k = NAN;
    html = page_of(outcome);
    assert_non_null(
        strstr(html, "the reference model heat-balance could not be fitted; within 0.87 K"));
    assert_non_null(strstr(html, "Here kriging is clearly better than the map."));
    free(html);
    sample_free(outcome);
}

static void models_within_the_doubt_of_their_errors_come_close(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    sf_field_summary map = sf_field_summarize(outcome->field);
    /* computed from the formula: an rms of n errors is known to 1 / sqrt(2 n) */
    double least_k = map.left_out_rmse_k / (1 + 1 / sqrt(2.0 * (double)map.readings));
    for (size_t i = 0; i < 2; i++) { /* whichever of them */
        outcome->references[i].rmse_k = least_k * 1.01;
        char *html = page_of(outcome);
        assert_non_null(strstr(html, i == 0 ? "The map and thin-plate predict about equally well"
                                            : "The map and kriging predict about equally well"));
        assert_null(strstr(html, "predicts the readings better"));
        free(html);
        outcome->references[i].rmse_k = least_k * 0.99;
        html = page_of(outcome);
        assert_null(strstr(html, "come close"));
        assert_non_null(strstr(html, i == 0 ? "The reference model thin-plate predicts"
                                            : "The reference model kriging predicts"));
        free(html);
        outcome->references[i].rmse_k = 6.27;
    }
    sample_free(outcome);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_thermogram_is_told_with_its_pixels_marks_and_doubts),
        cmocka_unit_test(without_readings_nothing_is_said_of_them),
        cmocka_unit_test(a_reading_that_does_not_fit_is_named_with_both_explanations),
        cmocka_unit_test(a_reading_that_is_too_high_points_to_a_source_first),
        cmocka_unit_test(of_very_many_misfits_the_first_are_named),
        cmocka_unit_test(found_and_contradicted_sources_are_named),
        cmocka_unit_test(watts_that_the_readings_deny_are_looked_at_first),
        cmocka_unit_test(the_reference_is_praised_when_it_is_better),
        cmocka_unit_test(models_within_the_doubt_of_their_errors_come_close),
    };
    return cmocka_run_group_tests_name("report page, findings", tests, NULL, NULL);
}
