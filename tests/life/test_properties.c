/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What must hold of any parts, tried on many boards that are drawn at random: test_life_properties
 * [BOARDS]. Each board is drawn from its number alone. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "life/fixture.h"
#include "support/chance.h"

enum { PARTS = 12, PERIODS = 3 };

static unsigned long boards = 30;

static double known(double value, double chance, unsigned long *seed)
{
    return next_uniform(seed) < chance ? value : (double)NAN;
}

/* A job of parts, each with its rise; room for every part twice. */
typedef struct drawn {
    sf_part parts[2 * PARTS];
    char refs[2 * PARTS][8];
    sf_estimate rises_k[2 * PARTS];
    sf_period periods[PERIODS];
    sf_control controls[2];
    sf_job job;
} drawn;

static void draw_part(sf_part *part, char *ref, size_t number, unsigned long *seed)
{
    static const double grades_c[] = {85, 105, 125}, endurances_h[] = {1000, 2000, 5000, 8000};
    snprintf(ref, 8, "C%zu", number);
    *part = plain_part(ref);
    part->x_mm = next_between(2, 88, seed);
    part->y_mm = next_between(2, 58, seed);
    part->diameter_mm = next_between(5, 30, seed);
    part->rated_c = grades_c[(size_t)next_between(0, 3, seed)];
    part->endurance_h = known(endurances_h[(size_t)next_between(0, 4, seed)], 0.6, seed);
    part->rated_v = next_between(10, 400, seed);
    part->working_v = known(part->rated_v * next_between(0.5, 1, seed), 0.3, seed);
    part->rated_ripple_a = known(next_between(0.3, 2, seed), 0.6, seed);
    part->ripple_a = known(next_between(0.1, 2.5, seed), 0.6, seed);
    part->duty = next_uniform(seed) < 0.5 ? 1 : next_between(0.1, 1, seed);
    part->hours = known(next_between(500, 60000, seed), 0.2, seed);
    part->year = next_uniform(seed) < 0.3 ? 2010 + (int)next_between(0, 11, seed) : 0;
    part->measured_uf = known(part->capacitance_uf * next_between(0.6, 1.4, seed), 0.3, seed);
    part->esr_limit_ohm = known(next_between(0.2, 2, seed), 0.4, seed);
    part->measured_esr_ohm = known(next_between(0.1, 3, seed), 0.4, seed);
    part->critical = next_uniform(seed) < 0.3;
    part->condition = (sf_condition)next_between(0, SF_CONDITION_COUNT, seed);
}

static void draw(drawn *into, unsigned long number)
{
    unsigned long seed = 15485863 * number + 3;
    memset(into, 0, sizeof *into);
    for (size_t i = 0; i < PARTS; i++) {
        draw_part(&into->parts[i], into->refs[i], i + 1, &seed);
        into->rises_k[i] = (sf_estimate){next_between(0, 60, &seed), next_between(0.2, 8, &seed)};
    }
    into->job = plain_job(into->parts, PARTS);
    into->job.board.run_hours = next_between(2000, 90000, &seed);
    into->job.board.run_hours_sd = known(0.1 * into->job.board.run_hours, 0.4, &seed);
    into->job.board.hours_per_year = known(next_between(500, 8760, &seed), 0.5, &seed);
    into->job.board.service_goal_h = known(next_between(2000, 60000, &seed), 0.5, &seed);
    into->job.board.service_ambient_c = next_between(15, 45, &seed);
    into->job.policy.cover_rise_k = next_between(0, 8, &seed);
    into->controls[0] = (sf_control){47, next_between(45, 50, &seed), ""};
    into->controls[1] = (sf_control){22, next_between(20, 24, &seed), ""};
    into->job.controls = into->controls;
    into->job.control_count = (size_t)next_between(0, 3, &seed);
    if (next_uniform(&seed) < 0.5) {
        for (size_t i = 0; i < PERIODS; i++)
            into->periods[i] =
                (sf_period){next_between(500, 30000, &seed), next_between(10, 50, &seed),
                            next_between(0, 1.3, &seed), ""};
        into->job.periods = into->periods;
        into->job.period_count = PERIODS;
    }
}

static sf_part_result *decide(const drawn *on)
{
    sf_part_result *results = NULL;
    assert_int_equal(sf_parts_decide(&on->job, on->rises_k, &results), SF_OK);
    return results;
}

/* Equal to the last bit, what is not known included. */
static void assert_same(double one, double other)
{
    assert_true(one == other || (isnan(one) && isnan(other)));
}

static void assert_equal_results(const sf_part_result *one, const sf_part_result *other)
{
    assert_int_equal(one->rule, other->rule);
    assert_int_equal(one->verdict, other->verdict);
    assert_same(one->temp_c, other->temp_c);
    assert_same(one->life_h, other->life_h);
    assert_same(one->used, other->used);
    assert_same(one->used_low, other->used_low);
    assert_same(one->used_high, other->used_high);
    assert_same(one->past_life, other->past_life);
    assert_same(one->worn_out, other->worn_out);
    assert_same(one->left_h, other->left_h);
    assert_same(one->clear_below_c, other->clear_below_c);
    assert_string_equal(one->reason, other->reason);
}

static void parts_that_are_alike_get_alike_verdicts(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < boards; number++) {
        drawn on;
        draw(&on, number);
        for (size_t i = 0; i < PARTS; i++) {
            on.parts[PARTS + i] = on.parts[i];
            snprintf(on.refs[PARTS + i], sizeof on.refs[0], "D%zu", i);
            on.parts[PARTS + i].ref = on.refs[PARTS + i];
            on.rises_k[PARTS + i] = on.rises_k[i];
        }
        on.job.part_count = 2 * PARTS;
        sf_part_result *results = decide(&on);
        for (size_t i = 0; i < PARTS; i++)
            assert_equal_results(&results[i], &results[PARTS + i]);
        sf_part_results_free(results, 2 * PARTS);
    }
}

/* Lines of a kit with all that is told of each, in their order. */
static char *kit_words(const drawn *on, const sf_part_result *results)
{
    static char words[8192];
    sf_kit *kit = NULL;
    size_t length = 0;
    assert_int_equal(sf_kit_make(&on->job, results, &kit), SF_OK);
    words[0] = '\0';
    for (size_t i = 0; i < kit->count; i++) {
        const sf_kit_line *line = &kit->lines[i];
        length +=
            (size_t)snprintf(words + length, sizeof words - length, "%zu %zu %g %g %g %s %s\n",
                             line->count, line->spares, line->capacitance_uf, line->rated_v,
                             line->endurance_h, line->refs, line->note);
        assert_true(length < sizeof words);
    }
    sf_kit_free(kit);
    return strdup(words);
}

static void rows_in_another_order_change_no_verdict_and_no_kit(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < boards; number++) {
        drawn on, turned;
        draw(&on, number);
        draw(&turned, number);
        for (size_t i = 0; i < PARTS; i++) {
            turned.parts[i] = on.parts[PARTS - 1 - i];
            turned.rises_k[i] = on.rises_k[PARTS - 1 - i];
        }
        sf_part_result *results = decide(&on), *other = decide(&turned);
        for (size_t i = 0; i < PARTS; i++)
            assert_equal_results(&results[i], &other[PARTS - 1 - i]);
        char *kit = kit_words(&on, results), *other_kit = kit_words(&turned, other);
        assert_string_equal(kit, other_kit);
        free(kit);
        free(other_kit);
        sf_part_results_free(results, PARTS);
        sf_part_results_free(other, PARTS);
    }
}

/* Of two results of one part the second is of harder use: nothing of it may be told milder. */
static void assert_harder(const sf_part_result *milder, const sf_part_result *harder)
{
    const double quadrature =
        2e-4; /* what the doubt's integrals are good to, where corners crowd */
    assert_true(harder->life_h <= milder->life_h);
    assert_false(harder->used < milder->used);
    assert_false(harder->left_h > milder->left_h);
    assert_false(harder->past_life < milder->past_life - quadrature);
    assert_false(harder->worn_out < milder->worn_out - quadrature);
    assert_true(harder->verdict >= milder->verdict);
}

/* On every board: after each step of harder use no part is judged milder than before it. */
static void assert_never_milder(int steps, void (*harden)(drawn *on, int step),
                                void (*also)(const sf_part_result *before,
                                             const sf_part_result *after))
{
    for (unsigned long number = 0; number < boards; number++) {
        drawn on;
        draw(&on, number);
        sf_part_result *last = decide(&on);
        for (int step = 1; step <= steps; step++) {
            harden(&on, step);
            sf_part_result *results = decide(&on);
            for (size_t i = 0; i < PARTS; i++) {
                assert_harder(&last[i], &results[i]);
                if (also)
                    also(&last[i], &results[i]);
            }
            sf_part_results_free(last, PARTS);
            last = results;
        }
        sf_part_results_free(last, PARTS);
    }
}

static void heat_up(drawn *on, int step)
{
    for (size_t i = 0; i < PARTS; i++)
        on->rises_k[i].value += 1.7 * step;
}

static void hotter_parts_are_never_judged_milder(void **state)
{
    (void)state;
    assert_never_milder(6, heat_up, NULL);
}

static void run_longer(drawn *on, int step)
{
    (void)step;
    on->job.board.run_hours *= 1.3;
    on->job.board.run_hours_sd *= 1.3;
    on->job.board.hours_per_year *= 1.3; /* in the same years */
    for (size_t i = 0; i < on->job.period_count; i++)
        on->periods[i].hours *= 1.3;
    for (size_t i = 0; i < PARTS; i++)
        on->parts[i].hours *= 1.3;
}

/* shares add as hours do (Palmgren and Miner) */
static void assert_share_grows(const sf_part_result *before, const sf_part_result *after)
{
    assert_close(after->used, fmin(1.3 * before->used, SF_USED_MAX), 1e-12, 0);
}

static void longer_use_is_never_judged_milder(void **state)
{
    (void)state;
    assert_never_milder(4, run_longer, assert_share_grows);
}

/* Shares, probabilities and verdicts have no unit: told in another unit of time they stay. */
static void the_unit_of_time_changes_no_verdict(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < boards; number++) {
        drawn on;
        unsigned long seed = number;
        double unit = next_between(0.2, 5, &seed);
        draw(&on, number);
        for (size_t i = 0; i < PARTS; i++)
            on.parts[i].diameter_mm =
                36; /* of smaller ones catalogues promise so many hours at most */
        sf_part_result *hours = decide(&on);
        on.job.board.run_hours *= unit;
        on.job.board.run_hours_sd *= unit;
        on.job.board.hours_per_year *= unit;
        on.job.board.service_goal_h *= unit;
        on.job.policy.life_cap_h *= unit;
        on.job.policy.endurance_85_h *= unit;
        on.job.policy.endurance_105_h *= unit;
        for (size_t i = 0; i < on.job.period_count; i++)
            on.periods[i].hours *= unit;
        for (size_t i = 0; i < PARTS; i++) {
            on.parts[i].hours *= unit;
            on.parts[i].endurance_h *= unit;
        }
        sf_part_result *others = decide(&on);
        for (size_t i = 0; i < PARTS; i++) {
            assert_int_equal(hours[i].rule, others[i].rule);
            assert_close(others[i].used, hours[i].used, 1e-12, 0);
            assert_close(others[i].past_life, hours[i].past_life, 0, 1e-9);
            assert_close(others[i].worn_out, hours[i].worn_out, 0, 1e-9);
            assert_close(others[i].left_h, unit * hours[i].left_h, 1e-9, 1e-9);
        }
        sf_part_results_free(hours, PARTS);
        sf_part_results_free(others, PARTS);
    }
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parts_that_are_alike_get_alike_verdicts),
        cmocka_unit_test(rows_in_another_order_change_no_verdict_and_no_kit),
        cmocka_unit_test(hotter_parts_are_never_judged_milder),
        cmocka_unit_test(longer_use_is_never_judged_milder),
        cmocka_unit_test(the_unit_of_time_changes_no_verdict),
    };
    gsl_set_error_handler_off();
    if (count > 1)
        boards = strtoul(words[1], NULL, 10);
    return cmocka_run_group_tests_name("properties", tests, NULL, NULL);
}
