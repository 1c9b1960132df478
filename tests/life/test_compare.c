/* Two surveys of one made-up board, and how heat and meter agree. */
#include "support/check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "life/fixture.h"
#include "spotfield/compare.h"

enum { PARTS = 5, SEEN = 6 };

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* 120 x 80 mm, H2 at the right; C3 stands beside it, the rest further off. */
typedef struct visit {
    sf_part parts[PARTS];
    sf_source source;
    sf_point corners[4];
    sf_ring ring;
    sf_observation seen[SEEN];
    sf_job job;
    sf_field *field;
} visit;

static void visit_set(visit *on)
{
    static const struct {
        const char *ref;
        double x_mm, y_mm;
    } stood[PARTS] = {
        {"C1", 14, 17}, {"C2", 58, 66}, {"C3", 101, 44}, {"C4", 105, 9}, {"C5", 17, 69}};
    static const double read[SEEN][3] = {{60, 40, 10}, {30, 60, 6},  {112, 70, 9},
                                         {80, 10, 8},  {90, 46, 27}, {15, 15, 4.5}};
    memset(on, 0, sizeof *on);
    for (size_t i = 0; i < PARTS; i++) {
        on->parts[i] = plain_part(stood[i].ref);
        on->parts[i].x_mm = stood[i].x_mm;
        on->parts[i].y_mm = stood[i].y_mm;
    }
    on->source = (sf_source){"H2", 88, 44, 12, 12, 0, NAN, NAN, NAN, 3};
    const sf_point corners[4] = {{0, 0}, {120, 0}, {120, 80}, {0, 80}};
    memcpy(on->corners, corners, sizeof corners);
    on->ring = (sf_ring){.points = on->corners, .count = 4, .reason = ""};
    for (size_t i = 0; i < SEEN; i++)
        on->seen[i] = (sf_observation){.id = "t",
                                       .x_mm = read[i][0],
                                       .y_mm = read[i][1],
                                       .temp_c = 23 + read[i][2],
                                       .rise_k = read[i][2],
                                       .sd_k = 0.8,
                                       .in_fit = true,
                                       .remark = ""};
    on->job = plain_job(on->parts, PARTS);
    on->job.policy.shared_pct = 50;
    on->job.board.width_mm = 120;
    on->job.board.height_mm = 80;
    on->job.board.laminate = SF_LAMINATE_FR2;
    on->job.board.thickness_mm = 1.6;
    on->job.board.copper_layers = 1;
    on->job.board.copper_thickness_um = 35;
    on->job.board.copper_cover = 0.4;
    on->job.rings = &on->ring;
    on->job.ring_count = 1;
    on->job.sources = &on->source;
    on->job.source_count = 1;
}

static void visit_fit(visit *on)
{
    sf_complaints complaints = {0};
    sf_field_options options = sf_field_options_default();
    sf_field_input input = {.board = &on->job.board,
                            .rings = on->job.rings,
                            .ring_count = 1,
                            .sources = on->job.sources,
                            .source_count = 1,
                            .observations = on->seen,
                            .observation_count = SEEN};
    assert_int_equal(sf_field_fit(&input, &options, &on->field, &complaints), SF_OK);
    sf_complaints_clear(&complaints);
}

/* Fits both and compares them; the complaints are the caller's. */
static sf_comparison *compare(visit *before, visit *after, sf_complaints *complaints)
{
    sf_comparison *found = NULL;
    visit_fit(before);
    visit_fit(after);
    sf_survey first = {&before->job, before->field}, second = {&after->job, after->field};
    sf_status status = sf_surveys_compare(&first, &second, &found, complaints);
    assert_int_equal(status, found ? SF_OK : SF_ERROR_DATA);
    sf_field_free(before->field);
    sf_field_free(after->field);
    return found;
}

static sf_comparison *compare_quietly(visit *before, visit *after)
{
    sf_complaints complaints = {0};
    sf_comparison *found = compare(before, after, &complaints);
    assert_non_null(found);
    sf_complaints_clear(&complaints);
    return found;
}

static void the_interval_meets_published_ones(void **state)
{
    (void)state;
    double low, high;
    /* W. J. Conover, Practical Nonparametric Statistics, 1971, p. 97, Mendel's 682 of 925 peas, as
     * printed in R's manual of binom.test (from memory) */
    assert_int_equal(sf_proportion_interval(682, 925, 0.95, &low, &high), SF_OK);
    assert_close(low, 0.7076683, 0, 6e-8);
    assert_close(high, 0.7654066, 0, 6e-8);
    /* computed from the formula: without success the upper end solves (1 - p)^n = 0.025 */
    assert_int_equal(sf_proportion_interval(0, 13, 0.95, &low, &high), SF_OK);
    assert_close(low, 0, 0, 0);
    assert_close(high, 1 - pow(0.025, 1 / 13.0), 1e-12, 0);
    assert_int_equal(sf_proportion_interval(17, 17, 0.90, &low, &high), SF_OK);
    assert_close(low, pow(0.05, 1 / 17.0), 1e-12, 0);
    assert_close(high, 1, 0, 0);
}

static void the_ends_of_the_interval_leave_exact_binomial_tails(void **state)
{
    (void)state;
    /* the definition of C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404, by GSL's
     * binomial distribution, which the function does not use */
    static const unsigned tried[][2] = {{1, 3}, {5, 7}, {11, 29}, {143, 150}};
    for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
        double low, high;
        unsigned hits = tried[i][0], trials = tried[i][1];
        assert_int_equal(sf_proportion_interval(hits, trials, 0.95, &low, &high), SF_OK);
        assert_close(gsl_cdf_binomial_Q(hits - 1, low, trials), 0.025, 1e-8, 0);
        assert_close(gsl_cdf_binomial_P(hits, high, trials), 0.025, 1e-8, 0);
    }
}

static void an_interval_of_nothing_is_refused(void **state)
{
    (void)state;
    double low = 7, high = 8;
    assert_int_equal(sf_proportion_interval(0, 0, 0.95, &low, &high), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_proportion_interval(3, 2, 0.95, &low, &high), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_proportion_interval(1, 2, 1, &low, &high), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_proportion_interval(1, 2, NAN, &low, &high), SF_ERROR_ARGUMENT);
    assert_close(low, 7, 0, 0);
    assert_close(high, 8, 0, 0);
}

static void the_same_survey_twice_shows_no_change(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->changes[SF_CHANGE_DOUBTFUL], PARTS);
    assert_close(found->mean_change_k, 0, 0, 1e-9);
    assert_close(found->hotter_mm2 + found->cooler_mm2, 0, 0, 0);
    assert_close(found->area_mm2, 120 * 80, 0.02, 0);
    sf_comparison_free(found);
}

static void without_shared_errors_a_change_has_both_doubts_in_quadrature(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.seen[4].rise_k = 41.5;
    after.job.policy.shared_pct = 0; /* the smaller of both counts */
    sf_comparison *found = compare_quietly(&before, &after);
    for (size_t i = 0; i < found->part_count; i++) {
        const sf_part_change *part = &found->parts[i];
        assert_close(part->change_k.value, part->rise_after_k.value - part->rise_before_k.value, 0,
                     1e-12);
        /* law of propagation for independent inputs, JCGM 100:2008, 5.1.2 */
        assert_close(part->change_k.sd * part->change_k.sd,
                     part->rise_after_k.sd * part->rise_after_k.sd +
                         part->rise_before_k.sd * part->rise_before_k.sd,
                     1e-12, 0);
    }
    assert_int_equal(found->parts[2].change, SF_CHANGE_HOTTER);
    assert_int_equal(found->parts[0].change, SF_CHANGE_DOUBTFUL);
    assert_true(found->hotter_mm2 > 0 && found->hotter_mm2 < found->area_mm2);
    double sum_k = 0, cells = 0;
    for (size_t cell = 0; cell < found->grid.columns * found->grid.rows; cell++)
        if (found->grid.inside[cell]) {
            sum_k += found->change_k[cell];
            cells++;
        }
    assert_close(found->mean_change_k, sum_k / cells, 1e-9, 0);
    sf_comparison_free(found);
}

/* Change of a part between two surveys, and how the readings move its place in each. */
static sf_part_change change_of(visit *before, visit *after, size_t part,
                                sf_reading_share shares[2])
{
    sf_complaints complaints = {0};
    sf_comparison *found = NULL;
    visit_fit(before);
    visit_fit(after);
    sf_survey first = {&before->job, before->field}, second = {&after->job, after->field};
    assert_int_equal(sf_surveys_compare(&first, &second, &found, &complaints), SF_OK);
    sf_part_change change = found->parts[part];
    double x_mm = before->parts[part].x_mm, y_mm = before->parts[part].y_mm;
    shares[0] = sf_field_reading_share(before->field, x_mm, y_mm);
    shares[1] = sf_field_reading_share(after->field, x_mm, y_mm);
    sf_comparison_free(found);
    sf_field_free(before->field);
    sf_field_free(after->field);
    sf_complaints_clear(&complaints);
    return change;
}

static void what_both_surveys_share_cancels_by_the_formula(void **state)
{
    (void)state;
    for (size_t part = 0; part < PARTS; part++) {
        visit before, after;
        visit_set(&before);
        visit_set(&after);
        after.seen[4].rise_k = 41.5;
        before.job.policy.shared_pct = 37;
        sf_reading_share told[2];
        sf_part_change change = change_of(&before, &after, part, told);
        double c = 0.37, before_k2 = pow(change.rise_before_k.sd, 2);
        double after_k2 = pow(change.rise_after_k.sd, 2);
        double apart_k =
            told[1].pull_k[SF_METHOD_THERMOCOUPLE_K] - told[0].pull_k[SF_METHOD_THERMOCOUPLE_K];
        assert_true(told[0].own_k2 > 0 && told[0].own_k2 < before_k2);
        /* JCGM 100:2008, 5.2.2: u^2(d) = u_b^2 + u_a^2 - 2 cov, here as sums of squares */
        assert_close(change.change_k.sd * change.change_k.sd,
                     before_k2 + after_k2 - c * (told[0].own_k2 + told[1].own_k2) +
                         c * apart_k * apart_k,
                     1e-9, 0);
    }
}

static void surveys_by_other_instruments_share_nothing(void **state)
{
    (void)state;
    visit before, after;
    sf_reading_share told[2];
    visit_set(&before);
    visit_set(&after);
    sf_part_change alike = change_of(&before, &after, 2, told);
    for (size_t i = 0; i < SEEN; i++)
        after.seen[i].method = SF_METHOD_INFRARED;
    sf_part_change apart = change_of(&before, &after, 2, told);
    double independent_k = hypot(apart.rise_before_k.sd, apart.rise_after_k.sd);
    assert_close(told[1].pull_k[SF_METHOD_THERMOCOUPLE_K], 0, 0, 0);
    /* two common errors instead of independent ones: no smaller than in quadrature here, where
     * all weights are of one sign or nearly so */
    assert_true(apart.change_k.sd > 0.95 * independent_k);
    assert_true(alike.change_k.sd < independent_k && alike.change_k.sd < apart.change_k.sd);
}

/* Coverage factor 2 for about 95 %, JCGM 100:2008, 6.3.3. */
static void a_change_is_told_from_two_standard_deviations_on(void **state)
{
    (void)state;
    visit before, after;
    size_t between = 0;
    visit_set(&before);
    visit_set(&after);
    for (double rise_k = 27; rise_k < 45; rise_k += 0.9) {
        after.seen[4].rise_k = rise_k;
        sf_comparison *found = compare_quietly(&before, &after);
        const sf_part_change *part = &found->parts[2];
        double sds = part->change_k.value / part->change_k.sd;
        assert_int_equal(part->change, sds > 2 ? SF_CHANGE_HOTTER : SF_CHANGE_DOUBTFUL);
        between += sds > 1 && sds < 2;
        sf_comparison_free(found);
    }
    assert_true(between > 0);
}

static void going_back_turns_every_change_around(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.seen[4].rise_k = 41.5;
    sf_comparison *there = compare_quietly(&before, &after);
    sf_comparison *back = compare_quietly(&after, &before);
    for (size_t i = 0; i < there->part_count; i++) {
        assert_close(there->parts[i].change_k.value, -back->parts[i].change_k.value, 0, 1e-9);
        assert_close(there->parts[i].change_k.sd, back->parts[i].change_k.sd, 1e-9, 0);
    }
    assert_close(there->hotter_mm2, back->cooler_mm2, 1e-9, 0);
    assert_close(there->mean_change_k, -back->mean_change_k, 0, 1e-6);
    sf_comparison_free(there);
    sf_comparison_free(back);
}

static void another_air_is_no_change_of_the_rise(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.job.board.service_ambient_c = 37.25;
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->changes[SF_CHANGE_DOUBTFUL], PARTS);
    assert_close(found->parts[1].temp_after_c - found->parts[1].temp_before_c, 14.25, 1e-9, 0);
    sf_comparison_free(found);
}

static void boards_of_other_sizes_are_refused(void **state)
{
    (void)state;
    visit before, after;
    sf_complaints complaints = {0};
    visit_set(&before);
    visit_set(&after);
    after.job.board.width_mm = 123.5;
    assert_null(compare(&before, &after, &complaints));
    assert_int_equal(complaints.error_count, 1);
    assert_non_null(strstr(complaints.items[0].what, "120 x 80 mm before, 123.5 x 80 mm after"));
    sf_complaints_clear(&complaints);
}

static void boards_of_another_height_are_refused_too(void **state)
{
    (void)state;
    visit before, after;
    sf_complaints complaints = {0};
    visit_set(&before);
    visit_set(&after);
    after.job.board.height_mm = 77.75;
    assert_null(compare(&before, &after, &complaints));
    assert_int_equal(complaints.error_count, 1);
    sf_complaints_clear(&complaints);
}

static bool is_told(const sf_complaints *complaints, const char *words)
{
    for (size_t i = 0; i < complaints->count; i++)
        if (strstr(complaints->items[i].what, words))
            return true;
    return false;
}

/* Ends the board of a visit at a line across it. */
static void cut_off(visit *on, double from_x_mm, double to_x_mm)
{
    on->corners[0].x_mm = on->corners[3].x_mm = from_x_mm;
    on->corners[1].x_mm = on->corners[2].x_mm = to_x_mm;
}

static void what_is_not_board_in_both_is_not_compared(void **state)
{
    (void)state;
    visit before, after;
    sf_complaints complaints = {0};
    visit_set(&before);
    visit_set(&after);
    cut_off(&after, 0, 91);
    sf_comparison *found = compare(&before, &after, &complaints);
    assert_close(found->area_mm2, 91 * 80, 0.03, 0);
    assert_true(is_told(&complaints, "more than 5 % of the first survey's board lies outside"));
    sf_comparison_free(found);
    sf_complaints_clear(&complaints);
    cut_off(&after, 0, 117); /* 2.5 % */
    found = compare(&before, &after, &complaints);
    assert_false(is_told(&complaints, "lies outside"));
    sf_comparison_free(found);
    sf_complaints_clear(&complaints);
    cut_off(&before, 0, 50);
    cut_off(&after, 60, 120);
    assert_null(compare(&before, &after, &complaints));
    assert_true(is_told(&complaints, "no place is board in both surveys"));
    sf_complaints_clear(&complaints);
}

static void many_parts_of_one_survey_are_told_by_the_first_of_them(void **state)
{
    (void)state;
    enum { MANY = 11 };
    visit before, after;
    static sf_part parts[MANY];
    static char refs[MANY][8];
    sf_complaints complaints = {0};
    visit_set(&before);
    visit_set(&after);
    for (size_t i = 0; i < MANY; i++) {
        snprintf(refs[i], sizeof refs[i], "K%zu", i);
        parts[i] = plain_part(refs[i]);
    }
    after.job.parts = parts;
    after.job.part_count = MANY;
    sf_comparison *found = compare(&before, &after, &complaints);
    assert_true(
        is_told(&complaints, "11 parts in the second survey only: K0 K1 K2 K3 K4 K5 K6 K7 ..."));
    sf_comparison_free(found);
    sf_complaints_clear(&complaints);
}

static void parts_of_one_survey_and_moved_ones_are_told(void **state)
{
    (void)state;
    visit before, after;
    sf_complaints complaints = {0};
    visit_set(&before);
    visit_set(&after);
    after.parts[1].ref = "C9";
    after.parts[3].x_mm -= 5.5;
    sf_comparison *found = compare(&before, &after, &complaints);
    assert_int_equal(found->part_count, PARTS + 1);
    assert_int_equal(found->changes[SF_CHANGE_UNKNOWN], 2);
    assert_int_equal(complaints.error_count, 0);
    assert_true(is_told(&complaints, "1 part in the first survey only: C2"));
    assert_true(is_told(&complaints, "1 part in the second survey only: C9"));
    assert_true(is_told(&complaints, "more than 5 mm away from the first survey's place: C4"));
    assert_true(isnan(found->parts[1].change_k.value));
    sf_comparison_free(found);
    sf_complaints_clear(&complaints);
}

static void pulled_is_what_the_second_survey_has_younger_fresher_or_not_at_all(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.parts[0].year = 2020;
    after.parts[1].hours = 300;
    after.parts[2].ref = "gone";
    after.parts[3].year = 2009; /* the board's year: no other part */
    sf_comparison *found = compare_quietly(&before, &after);
    assert_true(found->parts[0].pulled && found->parts[1].pulled && found->parts[2].pulled);
    assert_false(found->parts[3].pulled || found->parts[4].pulled);
    sf_comparison_free(found);
}

static void what_is_younger_than_an_unknown_year_is_not_told_to_be_pulled(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    before.job.board.made_year = after.job.board.made_year = 0;
    after.parts[0].year = 2020;
    sf_comparison *found = compare_quietly(&before, &after);
    assert_false(found->parts[0].pulled);
    sf_comparison_free(found);
}

static void a_reading_of_the_new_part_is_not_that_of_the_old(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.parts[0].measured_uf = 30; /* 47 uF marked: worn, and the same part */
    after.parts[1].measured_uf = 30; /* another part by then */
    after.parts[1].year = 2020;
    before.parts[2].measured_uf = 46.2;
    after.parts[2].measured_uf = 30; /* read again later: the first survey's holds */
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->parts[0].meter, SF_METER_WORN);
    assert_int_equal(found->parts[1].meter, SF_METER_NOTHING);
    assert_int_equal(found->parts[2].meter, SF_METER_FINE);
    assert_close(found->parts[2].reading_pct, 100 * (46.2 / 47 - 1), 1e-12, 0);
    sf_comparison_free(found);
}

static void heat_has_its_say_without_meter_eye_or_criticality(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    before.job.board.run_hours = 1500; /* nothing is worn by heat */
    before.parts[0].measured_uf = 20;
    before.parts[1].condition = SF_CONDITION_BULGED;
    before.parts[2].critical = true;
    before.job.board.made_year = 1985;
    sf_comparison *found = compare_quietly(&before, &after);
    for (size_t i = 0; i < PARTS; i++)
        assert_int_equal(found->parts[i].heat, SF_LEAVE);
    assert_int_equal(found->agreement.counts[SF_LEAVE][SF_METER_WORN], 1);
    /* bulged, but not measured: no word of the meter */
    assert_int_equal(found->parts[1].meter, SF_METER_NOTHING);
    sf_comparison_free(found);
}

/* C3 beside the source has used its life; the meter finds it worn, C1 and C5 fine, C2 worn though
 * heat left it, C4 near its limit of ESR. */
static sf_comparison *compare_measured(void)
{
    static visit before, after;
    visit_set(&before);
    visit_set(&after);
    before.job.board.run_hours = 60000;
    before.parts[2].rated_c = 85;
    for (size_t i = 0; i < PARTS; i++)
        if (i != 2)
            before.parts[i].endurance_h = 20000;
    static const double read_uf[PARTS] = {48, 31, 29, 47, 45};
    for (size_t i = 0; i < PARTS; i++)
        before.parts[i].measured_uf = read_uf[i];
    before.parts[3].esr_limit_ohm = 1.1;
    before.parts[3].measured_esr_ohm = 1.3;
    after.parts[2].year = 2021;
    return compare_quietly(&before, &after);
}

static void the_table_counts_heat_against_meter(void **state)
{
    (void)state;
    sf_comparison *found = compare_measured();
    const sf_agreement *table = &found->agreement;
    assert_int_equal(table->counts[SF_REPLACE][SF_METER_WORN], 1);
    assert_int_equal(table->counts[SF_LEAVE][SF_METER_WORN], 1);
    assert_int_equal(table->counts[SF_LEAVE][SF_METER_FINE], 2);
    assert_int_equal(table->counts[SF_LEAVE][SF_METER_UNDECIDED], 1);
    assert_int_equal(table->decided, 4);
    assert_int_equal(table->agree, 3);
    assert_int_equal(table->pulled, 1);
    /* 3 of 4: the binomial tails again, GSL's distribution */
    assert_close(gsl_cdf_binomial_Q(2, table->low, 4), 0.025, 1e-8, 0);
    assert_close(gsl_cdf_binomial_P(3, table->high, 4), 0.025, 1e-8, 0);
    sf_comparison_free(found);
}

static void the_sentence_tells_both_rates_in_plain_words(void **state)
{
    (void)state;
    sf_comparison *found = compare_measured();
    char *said = sf_agreement_sentence(&found->agreement);
    assert_non_null(strstr(said, "3 of 4 parts"));
    assert_non_null(strstr(said, "75 %"));
    assert_non_null(strstr(said, "Of the 2 the meter found worn, heat had said replace of 1."));
    assert_non_null(strstr(said, "Of the 2 it found fine, heat had said leave of 2."));
    assert_non_null(strstr(said, "1 more was measured but not decided by both"));
    assert_non_null(strstr(said, "1 of the 5 measured was pulled"));
    free(said);
    sf_comparison_free(found);
}

static void nothing_measured_is_said(void **state)
{
    (void)state;
    sf_agreement none = {.low = NAN, .high = NAN};
    char *said = sf_agreement_sentence(&none);
    assert_non_null(strstr(said, "cannot be compared"));
    free(said);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_interval_meets_published_ones),
        cmocka_unit_test(the_ends_of_the_interval_leave_exact_binomial_tails),
        cmocka_unit_test(an_interval_of_nothing_is_refused),
        cmocka_unit_test(the_same_survey_twice_shows_no_change),
        cmocka_unit_test(without_shared_errors_a_change_has_both_doubts_in_quadrature),
        cmocka_unit_test(what_both_surveys_share_cancels_by_the_formula),
        cmocka_unit_test(surveys_by_other_instruments_share_nothing),
        cmocka_unit_test(a_change_is_told_from_two_standard_deviations_on),
        cmocka_unit_test(going_back_turns_every_change_around),
        cmocka_unit_test(another_air_is_no_change_of_the_rise),
        cmocka_unit_test(boards_of_other_sizes_are_refused),
        cmocka_unit_test(boards_of_another_height_are_refused_too),
        cmocka_unit_test(what_is_not_board_in_both_is_not_compared),
        cmocka_unit_test(many_parts_of_one_survey_are_told_by_the_first_of_them),
        cmocka_unit_test(parts_of_one_survey_and_moved_ones_are_told),
        cmocka_unit_test(pulled_is_what_the_second_survey_has_younger_fresher_or_not_at_all),
        cmocka_unit_test(what_is_younger_than_an_unknown_year_is_not_told_to_be_pulled),
        cmocka_unit_test(a_reading_of_the_new_part_is_not_that_of_the_old),
        cmocka_unit_test(heat_has_its_say_without_meter_eye_or_criticality),
        cmocka_unit_test(the_table_counts_heat_against_meter),
        cmocka_unit_test(the_sentence_tells_both_rates_in_plain_words),
        cmocka_unit_test(nothing_measured_is_said),
    };
    return cmocka_run_group_tests_name("compare", tests, quiet, NULL);
}
