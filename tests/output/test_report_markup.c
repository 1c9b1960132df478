/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The markup of report.html: nothing from a file taken for it, nothing asked of a network, style
 * and script as they are written. */
#include "support/check.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"
#include "output/markup.h"
#include "output/report/html.h"
#include "output/report/report_assets.h"
#include "output/report_text.h"
#include "output/sample.h"

/* Texts that an attacker, or a bad day, could put into a file, and what a reader must see. */
static const struct {
    const char *written, *seen;
} nasty[] = {
    {"<script>alert(7)</script>", "<script>alert(7)</script>"},
    {"\"><img src=x onerror=alert(7)>", "\"><img src=x onerror=alert(7)>"},
    {"' onmouseover='alert(7)", "' onmouseover='alert(7)"},
    {"</td></tr></table><h1>", "</td></tr></table><h1>"},
    {"</style></title>-->]]>", "</style></title>-->]]>"},
    {"&lt;b&gt; &amp; &#60;", "&lt;b&gt; &amp; &#60;"},
    {"C1\u202E7C\u2066\u200F", "C1[U+202E]7C[U+2066][U+200F]"},
    {"a\x01"
     "b\x1b[31m\x7f",
     "a\u2401b\u241B[31m\u2421"},
    {"C1 set: \xC2\x80\xC2\x85\xC2\x9B\xC2\x9F.", "C1 set: \uFFFD\uFFFD\uFFFD\uFFFD."},
    {"two\r\nlines\tand a tab", "two  lines and a tab"},
    {"cut \xE2\x82 short \xFF\xC0\xAF \xED\xA0\x80",
     "cut \uFFFD\uFFFD short \uFFFD\uFFFD\uFFFD \uFFFD\uFFFD\uFFFD"},
    {"\u00B5F \u4E2D \U0001F525 \u00E9", "\u00B5F \u4E2D \U0001F525 \u00E9"},
};

enum { NASTY = sizeof nasty / sizeof *nasty };

static void put_everywhere(sf_outcome *outcome, const char *words)
{
    sf_job *job = sample_job(outcome);
    sample_text(&job->board.name, words);
    sample_text(&job->board.surveyed, words);
    sample_text(&job->parts[2].ref, words);
    sample_text(&job->assumptions[1], words);
    sample_text(&job->periods[0].note, words);
    sample_text(&outcome->results[1].reason, words);
    sample_text(&outcome->observations[6].id, words);
    sample_text(&outcome->observations[5].remark, words);
    sample_text(&outcome->zones->zones[1].name, words);
    sample_text(&outcome->zones->zones[2].sentence, words);
    sample_text(&outcome->kit->lines[0].refs, words);
    sample_text(&outcome->kit->lines[1].note, words);
    snprintf(outcome->field->sources[5].ref, sizeof outcome->field->sources[5].ref, "%s", words);
}

static void no_text_from_a_file_becomes_markup(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(5, 9);
    put_everywhere(outcome, "harmless");
    char *html = page_of(outcome);
    markup plain, found;
    markup_read(html, &plain);
    free(html);
    for (size_t i = 0; i < NASTY; i++) {
        put_everywhere(outcome, nasty[i].written);
        html = page_of(outcome);
        markup_read(html, &found);
        assert_string_equal(found.fault, "");
        assert_int_equal(found.tags, plain.tags);
        /* in the title, the head line and 11 more places; the source's may be cut */
        assert_true(occurrences(found.words.bytes, nasty[i].seen) >= 13);
        markup_clear(&found);
        free(html);
    }
    markup_clear(&plain);
    sample_free(outcome);
}

static void each_character_is_escaped_as_the_table_says(void **state)
{
    (void)state;
    for (size_t i = 0; i < NASTY; i++) {
        text html = {0};
        markup found;
        text_add(&html, "<!DOCTYPE html><p title=\"");
        html_text(&html, nasty[i].written);
        text_add(&html, "\">");
        html_text(&html, nasty[i].written);
        text_add(&html, "</p>");
        markup_read(html.bytes, &found);
        assert_string_equal(found.fault, "");
        assert_non_null(strstr(found.words.bytes, nasty[i].seen));
        assert_non_null(strstr(found.attributes.bytes, nasty[i].seen));
        markup_clear(&found);
        text_clear(&html);
    }
}

static void the_first_and_last_mark_of_direction_of_each_row_are_spelled_out(void **state)
{
    (void)state;
    text html = {0};
    html_text(&html, "\u202A\u202E\u2066\u2069"); /* UAX 9, explicit and isolate controls */
    assert_string_equal(html.bytes, "[U+202A][U+202E][U+2066][U+2069]");
    text_clear(&html);
}

static void no_text_ends_an_attribute_in_single_quotes(void **state)
{
    (void)state;
    text html = {0};
    html_text(&html, "7' high");
    assert_string_equal(html.bytes, "7&#39; high");
    text_clear(&html);
}

static void a_sentence_gets_its_degree_and_plus_minus_signs(void **state)
{
    (void)state;
    static const char *const pairs[][2] = {
        {"61 to 84 C, then", "61 to 84\u00A0\u00B0C, then"},
        {"at 74 C +/- 1.7 K", "at 74\u00A0\u00B0C \u00B1 1.7\u00A0K"},
        {"51 \u00B1 3 C: 43 % used", "51\u00A0\u00B1\u00A03\u00A0\u00B0C: 43\u00A0% used"},
        {"reads 7.31 uF, 470 uFx", "reads 7.31\u00A0\u00B5F, 470 uFx"},
        {"60 hot, 2,000 h of 8", "60 hot, 2,000\u00A0h of 8"},
        {"under 58 C", "under 58\u00A0\u00B0C"},
        {"the 3 C17 and C4", "the 3 C17 and C4"},
        {"C C 5 CX", "C C 5 CX"},
        {" C first", " C first"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        text set = {0};
        html_sentence(&set, pairs[i][0]);
        assert_string_equal(set.bytes, pairs[i][1]);
        text_clear(&set);
    }
}

static void a_page_keeps_numbers_with_their_units_but_leaves_tags_alone(void **state)
{
    (void)state;
    text page = {0};
    text_add(&page, "<style>p { margin: 0 1 % }</style><p title=\"5 h\">43 % of 2,000 h, 5 hot "
                    "<b>12 \u00B0C</b> \u00B1 2 K</p>");
    html_keep_units(&page);
    assert_string_equal(page.bytes,
                        "<style>p { margin: 0 1 % }</style><p title=\"5 h\">43\u00A0% of "
                        "2,000\u00A0h, 5 hot <b>12\u00A0\u00B0C</b> \u00B1\u00A02\u00A0K</p>");
    assert_int_equal(page.length, strlen(page.bytes));
    text_clear(&page);
    html_keep_units(&page);
    assert_null(page.bytes);
}

static void a_chance_is_never_told_as_certain(void **state)
{
    (void)state;
    static const struct {
        double chance;
        const char *words;
    } told[] = {{0, "under 1 %"}, {0.0083, "under 1 %"}, {0.374, "37 %"}, {0.99995, "over 99 %"}};
    for (size_t i = 0; i < sizeof told / sizeof *told; i++) {
        text set = {0};
        html_chance(&set, told[i].chance);
        assert_string_equal(set.bytes, told[i].words);
        text_clear(&set);
    }
}

static void pictures_are_base64(void **state)
{
    (void)state;
    /* RFC 4648, section 10 */
    static const char *const vectors[][2] = {{"", ""},
                                             {"f", "Zg=="},
                                             {"fo", "Zm8="},
                                             {"foo", "Zm9v"},
                                             {"foob", "Zm9vYg=="},
                                             {"fooba", "Zm9vYmE="},
                                             {"foobar", "Zm9vYmFy"}};
    for (size_t i = 0; i < sizeof vectors / sizeof *vectors; i++) {
        text made = {0};
        html_png(&made, (const unsigned char *)vectors[i][0], strlen(vectors[i][0]));
        assert_string_equal(made.bytes + strlen("data:image/png;base64,"), vectors[i][1]);
        text_clear(&made);
    }
}

static void both_pictures_are_in_the_page(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 5);
    char *html = page_of(outcome);
    /* by coreutils' base64 */
    assert_int_equal(occurrences(html, "src=\"data:image/png;base64,iVBORw0KGgr7\""), 1);
    assert_int_equal(occurrences(html, "src=\"data:image/png;base64,iVBORw0KGgo=\""), 1);
    free(html);
    sample_free(outcome);
}

static void nothing_is_asked_of_a_network(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(90, 24);
    char *html = page_of(outcome);
    markup found;
    markup_read(html, &found);
    /* references inside the page are kept apart by the reader: what is left must be data: */
    assert_null(strstr(found.attributes.bytes, "href="));
    assert_int_equal(occurrences(found.attributes.bytes, "src="),
                     occurrences(found.attributes.bytes, "src=data:image/png;base64,"));
    static const char *const doors[] = {"url(", "@import", "fetch(", "XMLHttp", "http:", "https:"};
    for (size_t i = 0; i < sizeof doors / sizeof *doors; i++)
        assert_null(strstr(html, doors[i]));
    markup_clear(&found);
    free(html);
    sample_free(outcome);
}

/* Base64 of the SHA-256 of some bytes, by coreutils' sha256sum. */
static void sha256_of(const unsigned char *bytes, size_t count, text *into)
{
    const char *folder = fresh_folder();
    char *content = calloc(count + 1, 1), command[512], hex[65] = "";
    memcpy(content, bytes, count);
    write_file(folder, "asset", content);
    free(content);
    snprintf(command, sizeof command, "sha256sum '%s/asset'", folder);
    FILE *sum = popen(command, "r");
    assert_non_null(sum);
    assert_int_equal(fread(hex, 1, 64, sum), 64);
    pclose(sum);
    remove_folder(folder);
    unsigned char digest[32];
    for (size_t i = 0; i < 32; i++)
        digest[i] = (unsigned char)strtoul((char[]){hex[2 * i], hex[2 * i + 1], 0}, NULL, 16);
    html_png(into, digest, sizeof digest);
}

static void the_policy_names_the_very_style_and_script_of_the_page(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 5);
    char *html = page_of(outcome);
    static const char *const tags[] = {"style", "script"};
    for (size_t i = 0; i < 2; i++) {
        char opening[16], closing[16];
        snprintf(opening, sizeof opening, "<%s>", tags[i]);
        snprintf(closing, sizeof closing, "</%s>", tags[i]);
        assert_int_equal(occurrences(html, opening), 1);
        const char *start = strstr(html, opening) + strlen(opening);
        text digest = {0};
        sha256_of((const unsigned char *)start, (size_t)(strstr(start, closing) - start), &digest);
        char *named = text_format("%s-src 'sha256-%s'", tags[i],
                                  digest.bytes + strlen("data:image/png;base64,"));
        assert_non_null(strstr(html, named));
        free(named);
        text_clear(&digest);
    }
    assert_non_null(strstr(html, "default-src 'none'"));
    free(html);
    sample_free(outcome);
}

/* Fails the test unless the bytes begin with those of an asset's file; returns their number. */
static size_t begins_with_file(const unsigned char *bytes, size_t size, const char *name)
{
    char relative[64], *read = calloc(size + 1, 1);
    snprintf(relative, sizeof relative, "src/output/report/assets/%s", name);
    FILE *file = fopen(source_path(relative), "rb");
    assert_non_null(file);
    size_t length = fread(read, 1, size + 1, file);
    fclose(file);
    assert_true(length > 0 && length <= size);
    assert_memory_equal(read, bytes, length);
    free(read);
    return length;
}

static void style_and_script_are_built_in_byte_for_byte(void **state)
{
    (void)state;
    const unsigned char *style = report_css.bytes;
    size_t family = begins_with_file(style, report_css.size, "family.css");
    size_t rest = begins_with_file(style + family, report_css.size - family, "report.css");
    assert_int_equal(family + rest, report_css.size);
    assert_int_equal(begins_with_file(report_js.bytes, report_js.size, "report.js"),
                     report_js.size);
}

/* Relative luminance of "#rrggbb" or "#rgb", WCAG 2.2. */
static double luminance(const char *colour)
{
    static const double weights[] = {0.2126, 0.7152, 0.0722};
    bool is_short = strspn(colour + 1, "0123456789abcdef") == 3;
    double sum = 0;
    for (size_t i = 0; i < 3; i++) {
        const char *digits = colour + 1 + (is_short ? i : 2 * i);
        char pair[] = {digits[0], digits[is_short ? 0 : 1], 0};
        double share = (double)strtoul(pair, NULL, 16) / 255;
        sum += weights[i] * (share <= 0.04045 ? share / 12.92 : pow((share + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static const char *colour_of(const char *block, const char *name)
{
    char sought[32];
    snprintf(sought, sizeof sought, "--%s: #", name);
    const char *found = strstr(block, sought);
    if (!found)
        fail_msg("no colour %s", name);
    return found + strlen(sought) - 1;
}

static double contrast(const char *block, const char *one, const char *other)
{
    double a = luminance(colour_of(block, one)), b = luminance(colour_of(block, other));
    return (fmax(a, b) + 0.05) / (fmin(a, b) + 0.05);
}

static void every_pair_of_colours_can_be_read(void **state)
{
    (void)state;
    static const char *const words[] = {"ink", "soft", "replace", "check", "leave", "link"};
    static const char *const grounds[] = {"paper", "lit"};
    char *style = calloc(report_css.size + 1, 1);
    memcpy(style, report_css.bytes, report_css.size);
    size_t blocks = 0;
    for (const char *block = style; (block = strstr(block, ":root {")); block++, blocks++) {
        /* WCAG 2.2, 1.4.3: 4.5 for text; 1.4.11: 3 for marks and edges of controls */
        for (size_t i = 0; i < sizeof words / sizeof *words; i++)
            for (size_t j = 0; j < sizeof grounds / sizeof *grounds; j++)
                assert_true(contrast(block, words[i], grounds[j]) >= 4.5);
        assert_true(contrast(block, "edge", "paper") >= 3);
    }
    assert_int_equal(blocks, 3); /* light, dark, print */
    free(style);
}

static void values_in_markup_are_told_by_their_conversion(void **state)
{
    (void)state;
    text made = {0};
    html_addf(&made, "<p>%s %-s %zu of %d, %.2f K, %g, %G h, %e %%, %a</p>", "a<b", "3 +/- 1 K",
              (size_t)7, 9, -12.345678, 4.7, 131400.4, 0.0432, 0.9973);
    assert_string_equal(made.bytes,
                        "<p>a&lt;b 3 \u00B1 1\u00A0K 7 of 9, \u221212.35 K, 4.7, 131,400 h, "
                        "4.3 %, over 99 %</p>");
    text_clear(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_text_from_a_file_becomes_markup),
        cmocka_unit_test(each_character_is_escaped_as_the_table_says),
        cmocka_unit_test(no_text_ends_an_attribute_in_single_quotes),
        cmocka_unit_test(the_first_and_last_mark_of_direction_of_each_row_are_spelled_out),
        cmocka_unit_test(a_sentence_gets_its_degree_and_plus_minus_signs),
        cmocka_unit_test(a_page_keeps_numbers_with_their_units_but_leaves_tags_alone),
        cmocka_unit_test(values_in_markup_are_told_by_their_conversion),
        cmocka_unit_test(a_chance_is_never_told_as_certain),
        cmocka_unit_test(pictures_are_base64),
        cmocka_unit_test(both_pictures_are_in_the_page),
        cmocka_unit_test(nothing_is_asked_of_a_network),
        cmocka_unit_test(the_policy_names_the_very_style_and_script_of_the_page),
        cmocka_unit_test(style_and_script_are_built_in_byte_for_byte),
        cmocka_unit_test(every_pair_of_colours_can_be_read),
    };
    return cmocka_run_group_tests_name("report page, markup", tests, NULL, NULL);
}
