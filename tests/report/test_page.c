/* report.html: sound markup, nothing from a file taken for markup, everything that must be said. */
#include "support/check.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"
#include "report/assets.h"
#include "report/html.h"
#include "report/markup.h"
#include "report/page.h"
#include "report/sample.h"
#include "report/tables.h"

static char *page_of(const sf_outcome *outcome)
{
    text html = {0};
    report_html(outcome, &html);
    char *taken = text_take(&html);
    assert_non_null(taken);
    return taken;
}

static size_t occurrences(const char *whole, const char *sought)
{
    size_t count = 0;
    for (const char *at = whole; (at = strstr(at, sought)); at += strlen(sought))
        count++;
    return count;
}

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

static void what_is_not_known_is_read_out_as_such(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 5);
    sf_job *job = sample_job(outcome);
    outcome->kit->lines[1].rated_v = NAN;
    job->board.run_hours = job->board.service_goal_h = job->parts[1].capacitance_uf = NAN;
    outcome->results[1].used = outcome->results[1].left_h = outcome->results[1].left_years = NAN;
    outcome->yardstick_rmse_k = NAN;
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

/* A picture seen by a camera, on a job of so many readings; the body's name would be markup. */
static text words_with_thermogram(size_t readings)
{
    sf_outcome *outcome = sample_outcome(3, readings);
    sf_body body = {.ref = "Q<3>", .pixels = 47, .temp_c = 83.26};
    sf_pixels pixels = {.count = 8886,
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
        "6 marks tie it to the board within 0.4 mm",
        "0.11 K of noise in a pixel; 1.26 K that all pixels share",
        "3.3 % of the rise",
        "Q<3> 83.3 \u00B0C",
        "the readings are met within",
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
    assert_non_null(strstr(words.bytes, "the cells of the thermogram are met within"));
    assert_null(strstr(words.bytes, "Every reading fits its neighbours"));
    assert_null(strstr(words.bytes, "The score is the distance"));
    assert_null(strstr(words.bytes, "Readings, corrected"));
    text_clear(&words);
}

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
    {"C1 set: \xC2\x85\xC2\x9B.", "C1 set: \uFFFD\uFFFD."},
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

static void a_sentence_gets_its_degree_and_plus_minus_signs(void **state)
{
    (void)state;
    static const char *const pairs[][2] = {
        {"61 to 84 C, then", "61 to 84\u00A0\u00B0C, then"},
        {"at 74 C +/- 1.7 K", "at 74\u00A0\u00B0C \u00B1 1.7 K"},
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

static void every_part_has_a_row_and_a_ring_where_it_stands(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(37, 9);
    sf_picture_frame frame = outcome->frame;
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
    assert_non_null(strstr(item, "source nobody listed"));
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
    const char *source = strstr(named, "source nobody listed"),
               *bead = strstr(named, "lifted bead");
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
    assert_non_null(strstr(html, ">70 readings do not fit</a>"));
    assert_non_null(strstr(html, "<p>70 readings do not fit; the first 40 are named here.</p>"));
    assert_int_equal(occurrences(html, " K higher than the others let expect") +
                         occurrences(html, " K lower than the others let expect"),
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
    assert_non_null(strstr(html, "<strong>H6</strong> is listed as a heat source, but the readings "
                                 "want it to cool (\u22123.4"));
    assert_null(strstr(html, "<strong>H5</strong>"));
    free(html);
    sample_free(outcome);
}

static void watts_that_the_readings_deny_are_looked_at_first(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    sf_source listed[6] = {
        [2] = {.power_w = 17.5}, [4] = {.power_w = 0.83}, [5] = {.power_w = 9.7}};
    sample_job(outcome)->sources = listed;
    sf_source_fit *sources = outcome->field->sources;
    sources[4].power_score = 2.99;
    char *html = page_of(outcome);
    assert_null(strstr(html, "watts"));
    free(html);
    sources[2].power_score = -3.01;
    sources[5].power_score = -7.3; /* it is contradicted, and told as such alone */
    html = page_of(outcome);
    assert_non_null(strstr(html,
                           "<li><a href=\"#sources\">One listed source whose watts the readings "
                           "deny</a></li>"));
    assert_non_null(strstr(html,
                           "<strong>H3</strong> is listed at 17.5 W, but the readings give it "
                           "2.68"));
    assert_int_equal(occurrences(html, "listed, watts denied"), 1);
    assert_int_equal(occurrences(html, " is listed at "), 1);
    free(html);
    sources[4].power_score = 3.4;
    html = page_of(outcome);
    assert_non_null(strstr(html, ">2 listed sources whose watts the readings deny</a>"));
    free(html);
    sample_job(outcome)->sources = NULL;
    sample_free(outcome);
}

static void the_yardstick_is_praised_when_it_is_better(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 9);
    char *html = page_of(outcome);
    assert_non_null(strstr(html, "The map is the better of the two"));
    assert_non_null(strstr(html, "within 6.27 K by thin-plate, the yardstick, a smooth surface"));
    free(html);
    outcome->yardstick_rmse_k = 0.87;
    html = page_of(outcome);
    assert_non_null(strstr(html, "the yardstick is clearly the better of the two"));
    assert_non_null(strstr(html, "where a heat source is missing"));
    assert_non_null(strstr(html, "The yardstick predicts the readings better than the map</a>"));
    free(html);
    outcome->yardstick = "heat-balance";
    html = page_of(outcome);
    assert_non_null(strstr(html, "map this board with it"));
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
    outcome->yardstick_rmse_k = least_k * 1.01;
    char *html = page_of(outcome);
    assert_non_null(strstr(html, "The two come close"));
    assert_null(strstr(html, "The yardstick predicts"));
    free(html);
    outcome->yardstick_rmse_k = least_k * 0.99;
    html = page_of(outcome);
    assert_null(strstr(html, "The two come close"));
    assert_non_null(strstr(html, "The yardstick predicts"));
    free(html);
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
    for (size_t i = 0; i < 2; i++) {
        outcome->results[i].rule = SF_RULE_EVIDENCE;
        outcome->results[i].verdict = SF_REPLACE;
    }
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
    assert_non_null(strstr(html, "<p>No part stands here: hot around H3, up to 87 \u00B0C; warm "
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
                                       "no safety certificate",
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
    sf_outcome *outcome = sample_outcome(PAGE_ROWS_MAX + 37, PAGE_ROWS_MAX + 59);
    char *html = page_of(outcome);
    assert_int_equal(occurrences(html, "<tr id=\"part-"), PAGE_ROWS_MAX);
    assert_int_equal(occurrences(html, "<a id=\"ring-"), PAGE_ROWS_MAX);
    assert_non_null(strstr(html, "The worst 2000 of 2037;"));
    assert_non_null(strstr(html, "The first 2000 of 2059;"));
    free(html);
    sample_free(outcome);
}

/* Fails the test unless the bytes begin with those of an asset's file; returns their number. */
static size_t begins_with_file(const unsigned char *bytes, size_t size, const char *name)
{
    char relative[64], *read = calloc(size + 1, 1);
    snprintf(relative, sizeof relative, "src/report/assets/%s", name);
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_page_of_a_full_job_is_sound),
        cmocka_unit_test(the_page_of_a_bare_job_is_sound),
        cmocka_unit_test(what_is_not_known_is_read_out_as_such),
        cmocka_unit_test(a_thermogram_is_told_with_its_pixels_marks_and_doubts),
        cmocka_unit_test(without_readings_nothing_is_said_of_them),
        cmocka_unit_test(no_text_from_a_file_becomes_markup),
        cmocka_unit_test(each_character_is_escaped_as_the_table_says),
        cmocka_unit_test(a_sentence_gets_its_degree_and_plus_minus_signs),
        cmocka_unit_test(a_chance_is_never_told_as_certain),
        cmocka_unit_test(pictures_are_base64),
        cmocka_unit_test(both_pictures_are_in_the_page),
        cmocka_unit_test(nothing_is_asked_of_a_network),
        cmocka_unit_test(the_policy_names_the_very_style_and_script_of_the_page),
        cmocka_unit_test(every_part_has_a_row_and_a_ring_where_it_stands),
        cmocka_unit_test(the_worst_part_comes_first),
        cmocka_unit_test(a_part_of_unknown_wear_ranks_before_the_known),
        cmocka_unit_test(a_reading_that_does_not_fit_is_named_with_both_explanations),
        cmocka_unit_test(a_reading_that_is_too_high_points_to_a_source_first),
        cmocka_unit_test(of_very_many_misfits_the_first_are_named),
        cmocka_unit_test(found_and_contradicted_sources_are_named),
        cmocka_unit_test(watts_that_the_readings_deny_are_looked_at_first),
        cmocka_unit_test(the_yardstick_is_praised_when_it_is_better),
        cmocka_unit_test(models_within_the_doubt_of_their_errors_come_close),
        cmocka_unit_test(a_board_without_a_name_still_has_a_heading),
        cmocka_unit_test(the_head_tells_how_many_and_then_why),
        cmocka_unit_test(zones_without_parts_share_a_line),
        cmocka_unit_test(assumptions_policy_and_cautions_are_told),
        cmocka_unit_test(a_very_long_table_is_cut_and_says_so),
        cmocka_unit_test(style_and_script_are_built_in_byte_for_byte),
        cmocka_unit_test(every_pair_of_colours_can_be_read),
    };
    return cmocka_run_group_tests_name("report page", tests, NULL, NULL);
}
