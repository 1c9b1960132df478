/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* report.html: sound markup, everything that must be said, parts in their order and place. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/markup.h"
#include "output/report/report.h"
#include "output/report_text.h"
#include "output/sample.h"
#include "output/set_words.h"
#include "output/tables.h"

static void check_sound(const sf_outcome *outcome)
{
    char *html = page_of(outcome);
    markup found;
    markup_read(html, &found);
    assert_string_equal(found.fault, "");
    markup_clear(&found);
    free(html);
}

static void the_page_of_a_full_job_is_sound(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(90, 24);
    check_sound(outcome);
    sample_free(outcome);
}

static void the_page_of_a_bare_job_is_sound(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(0, 0);
    outcome->field->source_count = 0;
    outcome->zones->count = 0;
    outcome->kit->count = 0;
    sample_job(outcome)->assumption_count = 0;
    check_sound(outcome);
    sample_job(outcome)->assumption_count = 2;
    sample_free(outcome);
}

/* What leaving the parts risks: neither those to check nor those to replace are left. */
static void the_bad_ones_among_those_left_are_counted_without_those_to_check(void **state)
{
    (void)state;
    static const sf_verdict verdicts[] = {SF_CHECK, SF_LEAVE, SF_REPLACE, SF_LEAVE};
    static const double worn_out[] = {0.93, 0.31, 0.98, 0.12};
    sf_outcome *outcome = sample_outcome(4, 5);
    for (size_t i = 0; i < 4; i++) {
        outcome->results[i].verdict = verdicts[i];
        outcome->results[i].worn_out = worn_out[i];
    }
    char *html = page_of(outcome);
    markup found;
    markup_read(html, &found);
    /* 0.93 + 0.31 + 0.98 + 0.12 and 0.31 + 0.12, to a tenth (computed) */
    assert_non_null(strstr(found.words.bytes,
                           "about 2.3 of 4 parts should prove worn out, 0.4 of the 2 to leave"));
    markup_clear(&found);
    free(html);
    sample_free(outcome);
}

static void where_nobody_told_of_mains_the_page_asks(void **state)
{
    (void)state;
    static const char first[] = "The job does not say where mains and high voltage are";
    sf_outcome *outcome = sample_outcome(3, 5);
    for (int told = 0; told <= 1; told++) {
        sample_job(outcome)->keepout_told = told;
        char *html = page_of(outcome);
        markup found;
        markup_read(html, &found);
        assert_string_equal(found.fault, "");
        assert_int_equal(occurrences(found.words.bytes, first), !told);
        assert_int_equal(occurrences(found.words.bytes, keepout_question), !told);
        if (!told) /* at its head, before anything is acted on */
            assert_true(strstr(found.words.bytes, first) > strstr(found.words.bytes, "Look first"));
        markup_clear(&found);
        free(html);
    }
    sample_free(outcome);
}

static void what_is_not_known_is_read_out_as_such(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 5);
    sf_job *job = sample_job(outcome);
    outcome->kit->lines[1].rated_v = NAN;
    job->board.run_hours = job->board.service_goal_h = job->parts[1].capacitance_uf = NAN;
    outcome->results[1].used = outcome->results[1].left_h = outcome->results[1].left_years = NAN;
    outcome->references[0].rmse_k = outcome->references[1].rmse_k = NAN;
    outcome->zones->hot_from_c = outcome->zones->warm_from_c = NAN;
    outcome->field->summary.length_mm.value = NAN;
    char *html = page_of(outcome);
    markup found;
    markup_read(html, &found);
    assert_string_equal(found.fault, "");
    assert_non_null(strstr(found.words.bytes, "not known"));
    assert_non_null(strstr(found.words.bytes, "could not be fitted"));
    assert_null(strstr(found.words.bytes, " nan"));
    assert_null(strstr(found.words.bytes, "Spreading length"));
    markup_clear(&found);
    free(html);
    sample_free(outcome);
}

/* The sample's parts are 35 years old, its seals good for 15 as the policy says. */
static void no_years_left_are_told_beyond_the_age_of_the_seals(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    sample_job(outcome)->policy.seal_years = 15;
    outcome->results[0].left_h = 7300;
    outcome->results[0].left_years = 5;
    char *html = page_of(outcome);
    size_t old = occurrences(html, ">old seals<");
    assert_true(old > 0);
    free(html);
    outcome->results[0].age_years = 9;
    html = page_of(outcome);
    assert_int_equal(occurrences(html, ">old seals<"), old - 1);
    assert_int_equal(occurrences(html, ">5.0 years</td>"), 1);
    free(html);
    sample_free(outcome);
}

static void every_part_has_a_row_and_a_ring_where_it_stands(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(37, 9);
    sf_picture_frame frame = sample_pictures.frame;
    char *html = page_of(outcome);
    for (size_t i = 0; i < 37; i++) {
        const sf_part *part = &outcome->job->parts[i];
        char sought[64];
        snprintf(sought, sizeof sought, "<tr id=\"part-%zu\" data-part=\"%zu\"", i + 1, i + 1);
        assert_int_equal(occurrences(html, sought), 1);
        snprintf(sought, sizeof sought, "<a id=\"ring-%zu\" href=\"#part-%zu\"", i + 1, i + 1);
        const char *ring = strstr(html, sought);
        assert_non_null(ring);
        double x_px, y_px, radius_px;
        const char *circle = strstr(ring, "<circle class=\"ring\"");
        assert_int_equal(sscanf(circle, "<circle class=\"ring\" cx=\"%lf\" cy=\"%lf\" r=\"%lf\"",
                                &x_px, &y_px, &radius_px),
                         3);
        /* whole pixels */
        assert_close(x_px, frame.left_px + part->x_mm * frame.px_per_mm, 0, 0.5);
        assert_close(y_px, frame.bottom_px - part->y_mm * frame.px_per_mm, 0, 0.5);
        assert_true(radius_px > part->diameter_mm / 2 * frame.px_per_mm);
    }
    free(html);
    sample_free(outcome);
}

static void the_worst_part_comes_first(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(5, 5);
    static const sf_verdict verdicts[] = {SF_LEAVE, SF_REPLACE, SF_CHECK, SF_REPLACE, SF_LEAVE};
    static const double past_life[] = {0.013, 0.71, 0.31, 0.97, 0.013};
    for (size_t i = 0; i < 5; i++) {
        outcome->results[i].verdict = verdicts[i];
        outcome->results[i].past_life = past_life[i];
        outcome->results[i].used = 0.2 + 0.07 * (double)i;
    }
    size_t *order = parts_worst_first(outcome);
    static const size_t expected[] = {3, 1, 2, 4, 0};
    assert_memory_equal(order, expected, sizeof expected);
    free(order);
    char *html = page_of(outcome);
    const char *row = strstr(html, "<tr id=\"part-");
    for (size_t i = 0; i < 5; i++) {
        assert_int_equal(strtoul(row + strlen("<tr id=\"part-"), NULL, 10), expected[i] + 1);
        row = strstr(row + 1, "<tr id=\"part-");
    }
    free(html);
    sample_free(outcome);
}

static void a_part_of_unknown_wear_ranks_before_the_known(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 5);
    for (size_t i = 0; i < 3; i++)
        outcome->results[i].verdict = SF_CHECK;
    outcome->results[0].past_life = 0.17;
    outcome->results[1].past_life = NAN;
    outcome->results[2].past_life = 0.43;
    size_t *order = parts_worst_first(outcome);
    static const size_t expected[] = {1, 2, 0};
    assert_memory_equal(order, expected, sizeof expected);
    free(order);
    sample_free(outcome);
}

static void a_board_without_a_name_still_has_a_heading(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(2, 5);
    char *name = sample_job(outcome)->board.name;
    sample_job(outcome)->board.name = "";
    char *html = page_of(outcome);
    assert_non_null(strstr(html, "<h1>Board without a name</h1>"));
    assert_non_null(strstr(html, "<title>Board without a name: "));
    sample_job(outcome)->board.name = name;
    free(html);
    sample_free(outcome);
}

static void the_head_tells_how_many_and_then_why(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(2, 5);
    for (size_t i = 0; i < 2; i++)
        sample_decide(&outcome->results[i], SF_RULE_EVIDENCE);
    sample_recount(outcome);
    char *html = page_of(outcome);
    assert_non_null(strstr(html, "<p class=\"sentence\">Replace both capacitors.</p>\n"
                                 "<p class=\"why\">They go because meter or eye found them "
                                 "worn.</p>\n"));
    char names[96];
    snprintf(names, sizeof names, "<span class=\"names\">%s %s</span>",
             sample_job(outcome)->parts[0].ref, sample_job(outcome)->parts[1].ref);
    assert_non_null(strstr(html, names));
    free(html);
    sample_job(outcome)->part_count = 0;
    html = page_of(outcome);
    assert_null(strstr(html, "class=\"why\""));
    free(html);
    sample_job(outcome)->part_count = 2;
    sample_free(outcome);
}

static void no_line_of_the_page_ends_between_a_number_and_its_unit(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    text html = {0};
    report_html(outcome, &sample_pictures, &html);
    assert_false(html.failed);
    assert_non_null(strstr(html.bytes, "\u00A0h at 85\u00A0\u00B0C"));
    assert_non_null(strstr(html.bytes, "\u00A0% of this board, from "));
    text_clear(&html);
    sample_free(outcome);
}

static void zones_without_parts_share_a_line(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 5);
    for (size_t i = 0; i < 3; i++)
        outcome->zones->part_zone[i] = 1;
    sample_recount(outcome);
    char *html = page_of(outcome);
    assert_non_null(strstr(html, "<th scope=\"row\">hot around H5</th>"));
    assert_null(strstr(html, "<th scope=\"row\">hot around H3</th>"));
    assert_non_null(strstr(html, "<p>No part here: hot around H3, up to 87 \u00B0C; warm "
                                 "around H1, up to 62 \u00B0C; cool, the rest, up to 52 "
                                 "\u00B0C.</p>"));
    free(html);
    sample_free(outcome);
}

static void assumptions_policy_and_cautions_are_told(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    char *html = page_of(outcome);
    markup found;
    markup_read(html, &found);
    static const char *const told[] = {"copper_cover: 40 % is taken",
                                       "changed from 0.05",
                                       "beyond the makers\u2019 guidance",
                                       "131,400",
                                       "common practice",
                                       "isolating transformer",
                                       "one hand",
                                       "Turn no trimmer",
                                       "infrared",
                                       "discharge each reservoir",
                                       "Local codes",
                                       "not a safety certificate",
                                       "Spreading length",
                                       "Replacing everything",
                                       "9,437 h since 1989"};
    for (size_t i = 0; i < sizeof told / sizeof *told; i++)
        if (!strstr(found.words.bytes, told[i]))
            fail_msg("the page does not say \"%s\"", told[i]);
    markup_clear(&found);
    free(html);
    sample_free(outcome);
}

static void a_very_long_table_is_cut_and_says_so(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(REPORT_ROWS_MAX + 37, REPORT_ROWS_MAX + 59);
    char *html = page_of(outcome);
    assert_int_equal(occurrences(html, "<tr id=\"part-"), REPORT_ROWS_MAX);
    assert_int_equal(occurrences(html, "<a id=\"ring-"), REPORT_ROWS_MAX);
    assert_non_null(strstr(html, "The worst 2000 of 2037;"));
    assert_non_null(strstr(html, "The first 2000 of 2059;"));
    free(html);
    sample_free(outcome);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_page_of_a_full_job_is_sound),
        cmocka_unit_test(the_page_of_a_bare_job_is_sound),
        cmocka_unit_test(the_bad_ones_among_those_left_are_counted_without_those_to_check),
        cmocka_unit_test(where_nobody_told_of_mains_the_page_asks),
        cmocka_unit_test(what_is_not_known_is_read_out_as_such),
        cmocka_unit_test(no_years_left_are_told_beyond_the_age_of_the_seals),
        cmocka_unit_test(every_part_has_a_row_and_a_ring_where_it_stands),
        cmocka_unit_test(the_worst_part_comes_first),
        cmocka_unit_test(a_part_of_unknown_wear_ranks_before_the_known),
        cmocka_unit_test(a_board_without_a_name_still_has_a_heading),
        cmocka_unit_test(the_head_tells_how_many_and_then_why),
        cmocka_unit_test(no_line_of_the_page_ends_between_a_number_and_its_unit),
        cmocka_unit_test(zones_without_parts_share_a_line),
        cmocka_unit_test(assumptions_policy_and_cautions_are_told),
        cmocka_unit_test(a_very_long_table_is_cut_and_says_so),
    };
    return cmocka_run_group_tests_name("report page", tests, NULL, NULL);
}
