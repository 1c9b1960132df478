/* The verdict in one sentence, for every mixture of verdicts. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/sample.h"

/* One part of the board to be spoken of. */
typedef struct spoken {
    sf_verdict verdict;
    double temp_c, used;
    size_t zone; /* 0 hot around H3, 1 hot around H5, 2 warm around H1, 3 cool */
} spoken;

static void check_sentence(const spoken *parts, size_t count, const char *expected)
{
    sf_outcome *outcome = sample_outcome(count, 3);
    for (size_t i = 0; i < count; i++) {
        outcome->results[i].verdict = parts[i].verdict;
        outcome->results[i].temp_c = parts[i].temp_c;
        outcome->results[i].used = parts[i].used;
        outcome->zones->part_zone[i] = parts[i].zone;
    }
    sample_recount(outcome);
    char *sentence = sf_outcome_sentence(outcome);
    assert_non_null(sentence);
    assert_string_equal(sentence, expected);
    free(sentence);
    sample_free(outcome);
}

static void a_mixed_board_tells_counts_places_and_what_stays(void **state)
{
    (void)state;
    static const spoken parts[] = {
        {SF_REPLACE, 83.7, 2.31, 0}, {SF_REPLACE, 71.2, 1.45, 0}, {SF_REPLACE, 61.4, 1.17, 1},
        {SF_REPLACE, 58.8, 1.02, 2}, {SF_CHECK, 55.1, 0.87, 2},   {SF_LEAVE, 31.3, 0.07, 3},
        {SF_LEAVE, 46.6, 0.2134, 3},
    };
    check_sentence(parts, 7,
                   "Replace 4 of 7 capacitors, check 1, leave 2: the 4 stand where the board runs "
                   "at 59 to 84 C, most of them around H3 and H5; those left run at 31 to 47 C and "
                   "have used at most 22 % of their rated life.");
}

static void places_are_left_out_where_they_hold_no_majority(void **state)
{
    (void)state;
    static const spoken parts[] = {
        {SF_REPLACE, 83.7, 2.31, 0},          {SF_REPLACE, 71.2, 1.45, 1},
        {SF_REPLACE, 61.4, 1.17, SF_NO_ZONE}, {SF_REPLACE, 60.9, 1.11, SF_NO_ZONE},
        {SF_LEAVE, 38.2, 0.113, 3},
    };
    check_sentence(parts, 5,
                   "Replace 4 of 5 capacitors, leave 1: the 4 stand where the board runs at 61 to "
                   "84 C; the one left runs at 38 C and has used at most 12 % of its rated life.");
}

static void a_zone_without_the_usual_name_is_told_whole(void **state)
{
    (void)state;
    static const spoken parts[] = {
        {SF_REPLACE, 66.3, 1.31, 0}, {SF_REPLACE, 63.9, 1.22, 3}, {SF_LEAVE, 40.7, 0.31, 3}};
    check_sentence(parts, 3,
                   "Replace 2 of 3 capacitors, leave 1: the 2 stand where the board runs at 64 to "
                   "66 C, around H3 and cool, the rest; the one left runs at 41 C and has used at "
                   "most 31 % of its rated life.");
}

static void one_part_to_replace_among_many(void **state)
{
    (void)state;
    static const spoken parts[] = {
        {SF_REPLACE, 78.4, 1.9, 0}, {SF_CHECK, 57.3, 0.91, 2}, {SF_CHECK, 56.1, 0.83, 2}};
    check_sentence(parts, 3,
                   "Replace 1 of 3 capacitors, check 2: the one to replace stands where the board "
                   "runs at 78 C, around H3.");
}

static void nothing_to_replace(void **state)
{
    (void)state;
    static const spoken parts[] = {
        {SF_CHECK, 57.3, 0.91, 2}, {SF_LEAVE, 44.4, 0.332, 3}, {SF_LEAVE, 41.2, 0.271, 3}};
    check_sentence(parts, 3,
                   "Replace none of 3 capacitors, check 1, leave 2: those left run at 41 to 44 C "
                   "and have used at most 34 % of their rated life.");
}

static void everything_alike(void **state)
{
    (void)state;
    static const spoken worn[] = {{SF_REPLACE, 78.4, 1.9, 0}, {SF_REPLACE, 72.9, 1.6, 0}};
    static const spoken doubted[] = {{SF_CHECK, 58.4, 0.9, 2}, {SF_CHECK, 52.9, 0.6, 2}};
    static const spoken sound[] = {
        {SF_LEAVE, 38.4, 0.013, 3}, {SF_LEAVE, 38.1, 0.002, 3}, {SF_LEAVE, 38.3, 0.004, 3}};
    check_sentence(worn, 2,
                   "Replace both capacitors: they stand where the board runs at 73 to 78 C, around "
                   "H3.");
    check_sentence(doubted, 2, "Check both capacitors.");
    check_sentence(sound, 3,
                   "Leave all 3 capacitors: they run at 38 C and have used at most 2 % of their "
                   "rated life.");
}

static void one_part_alone(void **state)
{
    (void)state;
    static const spoken worn = {SF_REPLACE, 78.4, 1.9, 1}, doubted = {SF_CHECK, 58.4, 0.9, 2},
                        sound = {SF_LEAVE, 38.4, 0.0003, 3};
    check_sentence(
        &worn, 1,
        "Replace the one capacitor listed: it stands where the board runs at 78 C, around "
        "H5.");
    check_sentence(&doubted, 1, "Check the one capacitor listed.");
    check_sentence(
        &sound, 1,
        "Leave the one capacitor listed: it runs at 38 C and has used at most 1 % of its "
        "rated life.");
}

static void an_unknown_share_is_not_spoken_of(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(2, 3);
    for (size_t i = 0; i < 2; i++) {
        outcome->results[i].verdict = SF_LEAVE;
        outcome->results[i].temp_c = 40.3 + 3.1 * (double)i;
    }
    outcome->results[0].used = NAN;
    outcome->results[1].used = 0.77;
    sample_recount(outcome);
    char *sentence = sf_outcome_sentence(outcome);
    assert_string_equal(sentence, "Leave both capacitors: they run at 40 to 43 C.");
    free(sentence);
    sample_free(outcome);
}

static void a_board_without_parts_tells_its_heat(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(0, 3);
    size_t cells = outcome->field->grid.columns * outcome->field->grid.rows;
    for (size_t i = 0; i < cells; i++)
        if (outcome->field->inside[i])
            outcome->temps_c[i] = 41.4;
    outcome->temps_c[44 * 19 + 23] = 85.9;
    outcome->temps_c[0] = 120; /* cut away: not board */
    char *sentence = sf_outcome_sentence(outcome);
    assert_string_equal(sentence, "No capacitor is listed; the board runs at 41 to 86 C, hottest "
                                  "near (118, 98) mm.");
    free(sentence);
    memset(outcome->field->inside, 0, cells);
    sentence = sf_outcome_sentence(outcome);
    assert_string_equal(sentence, "No capacitor is listed.");
    free(sentence);
    sample_free(outcome);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mixed_board_tells_counts_places_and_what_stays),
        cmocka_unit_test(places_are_left_out_where_they_hold_no_majority),
        cmocka_unit_test(a_zone_without_the_usual_name_is_told_whole),
        cmocka_unit_test(one_part_to_replace_among_many),
        cmocka_unit_test(nothing_to_replace),
        cmocka_unit_test(everything_alike),
        cmocka_unit_test(one_part_alone),
        cmocka_unit_test(an_unknown_share_is_not_spoken_of),
        cmocka_unit_test(a_board_without_parts_tells_its_heat),
    };
    return cmocka_run_group_tests_name("report sentence", tests, NULL, NULL);
}
