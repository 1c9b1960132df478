/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which parts, sources and readings of a board are named on its map, and where. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "planned.h"

/* each pair once; labels are few enough */
static void assert_labels_apart(const map *in)
{
    for (size_t i = 0; i < in->label_count; i++) {
        const label *one = &in->labels[i];
        if (!one->placed)
            continue;
        assert_true(box_holds(in->page.plot, one->at.where));
        for (size_t k = i + 1; k < in->label_count; k++)
            if (in->labels[k].placed && boxes_meet(one->at.where, in->labels[k].at.where))
                fail_msg("%s overlaps %s", one->words, in->labels[k].words);
    }
}

/* a filled disc must stay whole; an open ring may hold a label but not be cut by one */
static void assert_symbols_free(const map *in)
{
    const sf_job *job = in->scene->job;
    for (size_t i = 0; i < job->part_count; i++) {
        place centre = map_place(in, job->parts[i].x_mm, job->parts[i].y_mm);
        double radius_px = map_part_radius(in, &job->parts[i]);
        bool open = map_part_mark(in->scene, i) == PART_LEAVE;
        for (size_t k = 0; k < in->label_count; k++) {
            box where = in->labels[k].at.where;
            if (!in->labels[k].placed)
                continue;
            double near_x = fmax(fmax(where.left - centre.x_px, centre.x_px - where.right), 0);
            double near_y = fmax(fmax(where.top - centre.y_px, centre.y_px - where.bottom), 0);
            double far_x = fmax(where.right - centre.x_px, centre.x_px - where.left);
            double far_y = fmax(where.bottom - centre.y_px, centre.y_px - where.top);
            bool outside = hypot(near_x, near_y) >= radius_px;
            bool inside = open && hypot(far_x, far_y) <= radius_px;
            if (!outside && !inside)
                fail_msg("%s covers %s", in->labels[k].words, job->parts[i].ref);
        }
    }
}

static void no_label_overlaps_another_or_a_symbol_or_leaves_the_frame(void **state)
{
    (void)state;
    static const size_t parts[] = {20, 90, 400};
    static const int widths_px[] = {400, 1600, 3200};
    for (unsigned seed = 11; seed < 14; seed++)
        for (size_t p = 0; p < 3; p++)
            for (size_t w = 0; w < 3; w++) {
                invention wanted = invention_usual();
                wanted.parts = parts[p];
                wanted.seed = seed;
                invented board;
                invented_make(&wanted, &board);
                map planned = planned_of(&board, widths_px[w]);
                assert_true(planned.label_count > 10);
                assert_labels_apart(&planned);
                assert_symbols_free(&planned);
                map_close(&planned);
                invented_free(&board);
            }
}

static void assert_frame_free(const map *in, const place corners[4], const char *ref)
{
    for (size_t k = 0; k < in->label_count; k++)
        for (int step = 0; in->labels[k].placed && step < 400; step++) {
            place from = corners[step / 100], to = corners[(step / 100 + 1) % 4];
            double share = step % 100 / 100.0;
            place at = {from.x_px + share * (to.x_px - from.x_px),
                        from.y_px + share * (to.y_px - from.y_px)};
            if (boxes_meet(box_about(at, 0.01, 0.01), in->labels[k].at.where))
                fail_msg("%s covers the frame of %s", in->labels[k].words, ref);
        }
}

/* each second part, and each second source, turned */
static void names_keep_off_the_frames_of_the_solder_side(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    sf_source listed[16] = {0};
    size_t below = 0, framed = 0;
    for (size_t i = 0; i < board.job.part_count; below += i++ % 2)
        board.job.parts[i].side = i % 2 ? SF_SIDE_SOLDER : SF_SIDE_EITHER;
    assert_true(board.scene.source_count <= 16);
    for (size_t i = 0; i < board.scene.source_count; i++) {
        board.sources[i].angle_deg = 30;
        listed[i] = (sf_source){.ref = board.sources[i].ref,
                                .side = i % 2 ? SF_SIDE_SOLDER : SF_SIDE_COMPONENT};
        below += board.sources[i].listed && i % 2;
    }
    board.job.sources = listed;
    board.job.source_count = board.scene.source_count;
    map planned = planned_of(&board, 1600);
    place corners[4];
    for (size_t i = 0; i < board.job.part_count; i++)
        if (map_part_frame(&planned, &board.job.parts[i], corners)) {
            assert_frame_free(&planned, corners, board.job.parts[i].ref);
            framed++;
        }
    for (size_t i = 0; i < board.scene.source_count; i++)
        if (map_source_frame(&planned, i, corners)) {
            assert_frame_free(&planned, corners, board.sources[i].ref);
            framed++;
        }
    char words[64];
    snprintf(words, sizeof words, "on the solder side %zu", below);
    assert_true(below > 40 && framed == below && has_entry(&planned.signs, words));
    size_t named = 0;
    for (size_t i = 0; i < planned.label_count; i++)
        named += planned.labels[i].placed;
    assert_true(named + 4 >= planned.label_count);
    map_close(&planned);
    board.job.sources = NULL;
    board.job.source_count = 0;
    invented_free(&board);
}

static bool box_meets_circle(box of, place centre, double radius_px)
{
    double x = fmax(fmax(of.left - centre.x_px, centre.x_px - of.right), 0);
    double y = fmax(fmax(of.top - centre.y_px, centre.y_px - of.bottom), 0);
    return hypot(x, y) < radius_px;
}

/* The disc of a number meets that of a part, or the ring of one to leave. */
static bool number_covers(const map *in, size_t number, size_t part)
{
    const sf_part *of = &in->scene->job->parts[part];
    place middle = box_centre(in->labels[number].at.where), can = map_place(in, of->x_mm, of->y_mm);
    double apart_px = hypot(middle.x_px - can.x_px, middle.y_px - can.y_px);
    double radius_px = POINT_RADIUS * in->page.em_px, can_px = map_part_radius(in, of);
    return apart_px < radius_px + can_px &&
           (map_part_mark(in->scene, part) != PART_LEAVE || apart_px > can_px - radius_px);
}

static void a_number_of_what_to_read_next_covers_no_part_and_no_name(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    sf_point next[12];
    /* on cans, as a plan rounds them, and beside some */
    for (size_t i = 0; i < 12; i++)
        next[i] = (sf_point){board.job.parts[7 * i].x_mm + (i % 3 == 2 ? 3.1 : 0.2),
                             board.job.parts[7 * i].y_mm - 0.2};
    board.scene.points = next;
    board.scene.point_count = 12;
    map planned = planned_of(&board, 1600);
    for (size_t i = 0; i < 12; i++) {
        assert_true(planned.labels[i].placed);
        assert_int_equal(atoi(planned.labels[i].words), (int)i + 1);
        for (size_t part = 0; part < board.job.part_count; part++)
            if (number_covers(&planned, i, part))
                fail_msg("number %zu covers %s", i + 1, board.job.parts[part].ref);
        for (size_t k = 12; k < planned.label_count; k++)
            if (planned.labels[k].placed &&
                box_meets_circle(planned.labels[k].at.where, box_centre(planned.labels[i].at.where),
                                 POINT_RADIUS * planned.page.em_px))
                fail_msg("number %zu covers the name %s", i + 1, planned.labels[k].words);
    }
    map_close(&planned);
    invented_free(&board);
}

static void no_label_covers_a_place_to_read_next(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    sf_point next[12];
    for (size_t i = 0; i < 12; i++)
        next[i] = (sf_point){board.job.parts[7 * i].x_mm + 6, board.job.parts[7 * i].y_mm + 1};
    board.scene.points = next;
    board.scene.point_count = 12;
    map planned = planned_of(&board, 1600);
    assert_labels_apart(&planned);
    assert_true(has_entry(&planned.signs, "read next 12"));
    for (size_t i = 0; i < 12; i++) {
        place spot = map_place(&planned, next[i].x_mm, next[i].y_mm);
        for (size_t k = 12; k < planned.label_count; k++)
            assert_false(planned.labels[k].placed &&
                         box_meets_circle(planned.labels[k].at.where, spot,
                                          SPOT_RADIUS * planned.page.em_px));
    }
    map_close(&planned);
    invented_free(&board);
}

static void at_usual_density_every_part_and_reading_is_named(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    map planned = planned_of(&board, 1600);
    assert_int_equal(planned.named_from, PART_LEAVE);
    assert_int_equal(planned.label_count, 90 + 24 + 8 + 1);
    for (size_t i = 0; i < planned.label_count; i++)
        assert_true(planned.labels[i].placed);
    map_close(&planned);
    invented_free(&board);
}

static size_t count_named(const map *in, sf_verdict verdict)
{
    size_t count = 0;
    for (size_t i = 0; i < in->scene->job->part_count; i++)
        for (size_t k = 0; k < in->label_count; k++)
            count += in->labels[k].placed && in->scene->results[i].verdict == verdict &&
                     strcmp(in->labels[k].words, in->scene->job->parts[i].ref) == 0;
    return count;
}

static void assert_legend_tells(const map *in, const char *name, sf_verdict verdict, size_t named)
{
    size_t count = 0;
    char words[64];
    for (size_t i = 0; i < in->scene->job->part_count; i++)
        count += in->scene->results[i].verdict == verdict;
    if (named == 0)
        snprintf(words, sizeof words, "%s %zu, none named", name, count);
    else if (named < count)
        snprintf(words, sizeof words, "%s %zu, %zu named", name, count, named);
    else
        snprintf(words, sizeof words, "%s %zu", name, count);
    if (!has_entry(&in->signs, words))
        fail_msg("the legend lacks: %s", words);
}

static void at_high_density_only_the_gravest_parts_are_named_and_the_legend_says_so(void **state)
{
    (void)state;
    static const struct {
        size_t parts;
        bool checks_named;
    } cases[] = {{500, true}, {1100, false}};
    for (size_t i = 0; i < 2; i++) {
        invention wanted = invention_usual();
        wanted.parts = cases[i].parts;
        invented board;
        invented_make(&wanted, &board);
        map planned = planned_of(&board, 1600);
        assert_true(count_named(&planned, SF_REPLACE) > 20);
        assert_int_equal(count_named(&planned, SF_CHECK) > 0, cases[i].checks_named);
        assert_legend_tells(&planned, "replace", SF_REPLACE, count_named(&planned, SF_REPLACE));
        assert_legend_tells(&planned, "check", SF_CHECK, count_named(&planned, SF_CHECK));
        assert_int_equal(count_named(&planned, SF_LEAVE), 0);
        assert_legend_tells(&planned, "leave", SF_LEAVE, 0);
        map_close(&planned);
        invented_free(&board);
    }
}

/* more parts than a technician is likely to meet: their symbols cover a third of the board */
static void of_four_hundred_parts_nearly_all_that_must_go_are_named(void **state)
{
    (void)state;
    size_t named = 0, wanted_named = 0;
    for (unsigned seed = 51; seed < 55; seed++) {
        invention wanted = invention_usual();
        wanted.parts = 400;
        wanted.seed = seed;
        invented board;
        invented_make(&wanted, &board);
        map planned = planned_of(&board, 1600);
        named += count_named(&planned, SF_REPLACE);
        for (size_t i = 0; i < board.job.part_count; i++)
            wanted_named += board.results[i].verdict == SF_REPLACE;
        map_close(&planned);
        invented_free(&board);
    }
    /* nine in ten: by eye, no source */
    assert_true(wanted_named > 150 && (double)named >= 0.9 * (double)wanted_named);
}

/* whether a place lies on a part's symbol, by more than rounding */
static bool on_a_symbol(const map *in, place at, const label *but_for)
{
    const sf_job *job = in->scene->job;
    for (size_t i = 0; i < job->part_count; i++) {
        place centre = map_place(in, job->parts[i].x_mm, job->parts[i].y_mm);
        double radius_px = map_part_radius(in, &job->parts[i]);
        bool own =
            hypot(centre.x_px - but_for->anchor.x_px, centre.y_px - but_for->anchor.y_px) < 0.01;
        if (!own && hypot(at.x_px - centre.x_px, at.y_px - centre.y_px) < radius_px - 0.5)
            return true;
    }
    return false;
}

static void leaders_end_on_their_label_and_cross_no_other_and_no_symbol(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    wanted.parts = 400;
    invented board;
    invented_make(&wanted, &board);
    map planned = planned_of(&board, 1600);
    size_t led = 0;
    for (size_t i = 0; i < planned.label_count; i++) {
        const label *one = &planned.labels[i];
        if (!one->placed || !one->at.led)
            continue;
        led++;
        box edge = box_about(one->at.lead_to, 0.01, 0.01);
        assert_true(boxes_meet(edge, one->at.where));
        for (int step = 0; step <= 100; step++) {
            double share = step / 100.0;
            place at = {
                one->at.lead_from.x_px + share * (one->at.lead_to.x_px - one->at.lead_from.x_px),
                one->at.lead_from.y_px + share * (one->at.lead_to.y_px - one->at.lead_from.y_px)};
            if (one->words[0] == 'C' && on_a_symbol(&planned, at, one))
                fail_msg("the leader of %s crosses a symbol", one->words);
            for (size_t k = 0; k < planned.label_count; k++)
                if (k != i && planned.labels[k].placed)
                    assert_false(boxes_meet(box_about(at, 0.01, 0.01), planned.labels[k].at.where));
        }
    }
    assert_true(led > 5);
    map_close(&planned);
    invented_free(&board);
}

static void the_name_of_a_no_touch_area_lies_within_it_or_beside_it(void **state)
{
    (void)state;
    sf_point corners[4] = {{60, 30}, {60, 30}, {60, 70}, {60, 70}};
    for (int width_mm = 3; width_mm <= 60; width_mm += 3) {
        invention wanted = invention_usual();
        wanted.keepout = false;
        wanted.parts = 20;
        invented board;
        invented_make(&wanted, &board);
        corners[1].x_mm = corners[2].x_mm = 60 + width_mm;
        sf_ring ring = {.points = corners, .count = 4};
        sf_ring *own = board.job.keepouts;
        size_t own_count = board.job.keepout_count;
        board.job.keepouts = &ring;
        board.job.keepout_count = 1;
        map planned = planned_of(&board, 1600);
        place low = map_place(&planned, 60, 30), high = map_place(&planned, 60 + width_mm, 70);
        box area = {low.x_px, high.y_px, high.x_px, low.y_px};
        size_t found = 0;
        for (size_t i = 0; i < planned.label_count; i++) {
            const label *one = &planned.labels[i];
            if (!one->placed || strcmp(one->words, "no-touch") != 0)
                continue;
            found++;
            assert_true(box_holds(area, one->at.where) || !boxes_meet(area, one->at.where));
        }
        assert_int_equal(found, 1);
        map_close(&planned);
        board.job.keepouts = own;
        board.job.keepout_count = own_count;
        invented_free(&board);
    }
}

static const struct {
    const char *letter, *words;
} causes[] = {[SF_CAUSE_AGE] = {"A", "age (hours, grade)"},
              [SF_CAUSE_HEAT] = {"H", "heat"},
              [SF_CAUSE_CRITICAL] = {"C", "critical"},
              [SF_CAUSE_METER] = {"M", "meter or eye"}};

enum { CAUSES = SF_CAUSE_COUNT - 1 };

/* of the parts with a verdict every cause in turn, or one of them alone */
static void make_caused(invented *made, sf_verdict verdict, size_t first, size_t count)
{
    invention wanted = invention_usual();
    invented_make(&wanted, made);
    for (size_t i = 0, told = 0; i < made->job.part_count; i++)
        if (made->results[i].verdict == verdict)
            made->results[i].cause = (sf_cause)(first + told++ % count);
}

static void a_letter_tells_why_a_part_may_not_stay(void **state)
{
    (void)state;
    for (size_t cause = SF_CAUSE_AGE; cause < SF_CAUSE_COUNT; cause++) {
        invented board;
        make_caused(&board, SF_REPLACE, cause, 1);
        for (size_t part = 0; part < board.job.part_count; part++)
            assert_string_equal(map_letter(&board.scene, part),
                                board.results[part].verdict == SF_REPLACE ? causes[cause].letter
                                                                          : "");
        board.scene.results = NULL;
        assert_string_equal(map_letter(&board.scene, 0), "");
        invented_free(&board);
    }
}

static size_t letters_explained(const legend *in, legend_sign sign)
{
    size_t found = 0;
    for (size_t i = 0; i < in->count; i++)
        found += in->entries[i].sign == sign;
    return found;
}

static void check_explained(sf_verdict verdict, legend_sign sign, size_t first, size_t count)
{
    invented board;
    size_t told = 0;
    make_caused(&board, verdict, first, count);
    for (size_t part = 0; part < board.job.part_count; part++)
        told += board.results[part].verdict == verdict;
    map planned = planned_of(&board, 1600);
    assert_int_equal(letters_explained(&planned.signs, SIGN_WHY_REPLACE) +
                         letters_explained(&planned.signs, SIGN_WHY_CHECK),
                     count);
    assert_int_equal(letters_explained(&planned.signs, sign), count);
    for (size_t cause = first; cause < first + count; cause++) {
        char words[64];
        snprintf(words, sizeof words, "%s %zu", causes[cause].words,
                 told / count + (cause - first < told % count));
        assert_true(has_entry(&planned.signs, words));
    }
    map_close(&planned);
    invented_free(&board);
}

static void the_legend_explains_the_letters_that_occur_and_no_others(void **state)
{
    (void)state;
    for (size_t cause = SF_CAUSE_AGE; cause < SF_CAUSE_COUNT; cause++) {
        check_explained(SF_REPLACE, SIGN_WHY_REPLACE, cause, 1);
        check_explained(SF_CHECK, SIGN_WHY_CHECK, cause, 1);
    }
    check_explained(SF_REPLACE, SIGN_WHY_REPLACE, SF_CAUSE_AGE, CAUSES);
    check_explained(SF_CHECK, SIGN_WHY_CHECK, SF_CAUSE_AGE, CAUSES);
}

/* Capitals of 7 pixels are legible on screens by common practice, no source; em_least_px is 9.5. */
static void check_letters(sf_verdict verdict, double em_of_radius)
{
    static const int widths_px[] = {400, 800, 1600, 3200};
    size_t inside = 0, beside = 0;
    for (size_t w = 0; w < 4; w++) {
        invented board;
        make_caused(&board, verdict, SF_CAUSE_AGE, CAUSES);
        map planned = planned_of(&board, widths_px[w]);
        for (size_t i = 0; i < board.job.part_count; i++) {
            const sf_part *part = &board.job.parts[i];
            char words[40];
            bool lettered = map_letter(&board.scene, i)[0];
            bool within = lettered && map_letter_inside(&planned, i);
            if (within)
                assert_true(em_of_radius * CAPITAL_HEIGHT * map_part_radius(&planned, part) >= 6.9);
            inside += within;
            beside += lettered && !within;
            snprintf(words, sizeof words, lettered && !within ? "%s (%s)" : "%s", part->ref,
                     map_letter(&board.scene, i));
            size_t found = 0;
            for (size_t k = 0; k < planned.label_count; k++)
                found += strcmp(planned.labels[k].words, words) == 0;
            assert_true(found == 1 || (board.results[i].verdict != SF_REPLACE &&
                                       planned.named_from > PART_LEAVE));
        }
        map_close(&planned);
        invented_free(&board);
    }
    assert_true(inside > 20 && beside > 10);
}

static void a_letter_stands_in_its_disc_where_it_can_be_read_else_after_the_name(void **state)
{
    (void)state;
    check_letters(SF_REPLACE, 1.45);
    check_letters(SF_CHECK, 0.84);
}

/* every third reading lies on a part: where it has to be replaced its letter is not covered */
static void a_letter_that_a_notch_would_cover_follows_the_name_and_a_number_leaves_it(void **state)
{
    (void)state;
    invented board;
    make_caused(&board, SF_REPLACE, SF_CAUSE_AGE, CAUSES);
    size_t part = 0;
    while (board.results[part].verdict != SF_REPLACE)
        part++;
    sf_part *of = &board.job.parts[part];
    of->diameter_mm = 5;
    board.scene.observation_count = 0;
    map planned = planned_of(&board, 1600);
    assert_true(map_letter_inside(&planned, part));
    map_close(&planned);
    board.scene.observation_count = 1;
    board.observations[0].x_mm = of->x_mm;
    board.observations[0].y_mm = of->y_mm;
    planned = planned_of(&board, 1600);
    assert_false(map_letter_inside(&planned, part));
    map_close(&planned);
    board.scene.observation_count = 0;
    sf_point next = {of->x_mm, of->y_mm};
    board.scene.points = &next;
    board.scene.point_count = 1;
    planned = planned_of(&board, 1600);
    assert_true(map_letter_inside(&planned, part));
    map_close(&planned);
    invented_free(&board);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_label_overlaps_another_or_a_symbol_or_leaves_the_frame),
        cmocka_unit_test(names_keep_off_the_frames_of_the_solder_side),
        cmocka_unit_test(no_label_covers_a_place_to_read_next),
        cmocka_unit_test(a_number_of_what_to_read_next_covers_no_part_and_no_name),
        cmocka_unit_test(at_usual_density_every_part_and_reading_is_named),
        cmocka_unit_test(at_high_density_only_the_gravest_parts_are_named_and_the_legend_says_so),
        cmocka_unit_test(of_four_hundred_parts_nearly_all_that_must_go_are_named),
        cmocka_unit_test(leaders_end_on_their_label_and_cross_no_other_and_no_symbol),
        cmocka_unit_test(the_name_of_a_no_touch_area_lies_within_it_or_beside_it),
        cmocka_unit_test(a_letter_tells_why_a_part_may_not_stay),
        cmocka_unit_test(the_legend_explains_the_letters_that_occur_and_no_others),
        cmocka_unit_test(a_letter_stands_in_its_disc_where_it_can_be_read_else_after_the_name),
        cmocka_unit_test(a_letter_that_a_notch_would_cover_follows_the_name_and_a_number_leaves_it),
    };
    return cmocka_run_group_tests_name("draw: names", tests, NULL, NULL);
}
