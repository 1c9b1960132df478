/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What map tells of one part must follow by hand calculation: the printed numbers of every part of
 * the demo are put into the formulas here, and the results held against parts.csv. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "job_folder.h"
#include "part_rows.h"
#include "program.h"

enum { PERIODS_MAX = 8 };

/* What was printed about a part. */
typedef struct printed {
    double board_k, board_sd_k, rise_k, rise_sd_k, of_board, share, share_sd, warm_air_k, warm_at_k,
        air_c, cover_k, case_sd_k, air_sd_k;
    double endurance_h, rated_c, ripple, voltage, floor_c, cap_h, duty;
    double endurance_sd, hours_sd, at_rated, shape;
    double hours[PERIODS_MAX], load[PERIODS_MAX], ambient_c[PERIODS_MAX];
    size_t periods;
    double used, left_h, goal_h, margin, needed_h;
    char verdict[16];
} printed;

/* The number behind some words, from `from` on; fails the test where they are not there. */
static double number_after(const char *from, const char *words)
{
    const char *found = strstr(from, words);
    double value;
    if (!found)
        fail_msg("\"%s\" is not told", words);
    assert_int_equal(sscanf(found + strlen(words), "%lf", &value), 1);
    return value;
}

static void read_periods(const char *told, printed *into)
{
    for (const char *at = told; (at = strstr(at, "  period ")); at++) {
        assert_true(into->periods < PERIODS_MAX);
        assert_int_equal(sscanf(at, "  period %*u: %lf h at rise * %lf + %lf +",
                                &into->hours[into->periods], &into->load[into->periods],
                                &into->ambient_c[into->periods]),
                         3);
        into->periods++;
    }
}

static printed read_printed(const char *told)
{
    printed into = {
        .share = number_after(told, "a can's share of the board's rise = "),
        .share_sd = number_after(strstr(told, "a can's share of the board's rise = "),
                                 "standard deviation "),
        .warm_air_k = number_after(told, "warm air around the cans adds = "),
        .warm_at_k = number_after(told, "where the board rises by Q = "),
        .board_k = number_after(told, "rise of the board below = "),
        .board_sd_k = number_after(told, "K over air, standard deviation "),
        .rise_k = number_after(told, "rise of the can over air = "),
        .rise_sd_k = number_after(strstr(told, "rise of the can"), "K, standard deviation "),
        .air_c = number_after(told, "air in service = "),
        .cover_k = number_after(told, "cover rise = "),
        .case_sd_k = number_after(told, "uncertainty of the case = "),
        .air_sd_k = number_after(told, "uncertainty of the air = "),
        .endurance_h = number_after(told, "endurance L0 = "),
        .rated_c = number_after(told, "at T0 = "),
        .ripple = number_after(told, "K_ripple = "),
        .voltage = number_after(told, "K_voltage = "),
        .cap_h = number_after(told, "life reported = min(L, "),
        .duty = number_after(told, "duty = "),
        .endurance_sd = number_after(told, "uncertainty of endurance = "),
        .hours_sd = number_after(told, ", of hours = "),
        .at_rated = number_after(told, "1 - exp(ln(1 - "),
        .shape = number_after(told, ") used^"),
        .used = number_after(told, "used = sum of the periods = "),
        .left_h = number_after(told, "0 to the cap = "),
        .goal_h = number_after(told, "service goal = "),
        .margin = number_after(told, "margin = "),
    };
    const char *can = strstr(strstr(told, "rise of the can"), "standard deviation ");
    assert_int_equal(sscanf(can, "standard deviation %*f K: %lf of the board's", &into.of_board),
                     1);
    into.needed_h = number_after(strstr(told, "endurance needed at "), "- T)/10) = ");
    const char *floor = strstr(told, "temperature used = max(");
    assert_int_equal(sscanf(floor, "temperature used = max(%*f, %lf)", &into.floor_c), 1);
    assert_int_equal(sscanf(strstr(told, "Verdict = "), "Verdict = %15[^:]", into.verdict), 1);
    read_periods(told, &into);
    return into;
}

/* 10-kelvin rule with its factors, common practice, no source. */
static double life_h(const printed *of, double temp_c)
{
    return of->endurance_h * pow(2, (of->rated_c - fmax(temp_c, of->floor_c)) / 10) * of->ripple *
           of->voltage;
}

/* Palmgren and Miner: shares of life add; rise and air are off by so many standard deviations, the
 * rise in proportion to the load. */
static double used_at(const printed *of, double sds)
{
    double used = 0, rise_sd_k = hypot(of->rise_sd_k, of->case_sd_k);
    for (size_t i = 0; i < of->periods; i++)
        used +=
            of->hours[i] / life_h(of, of->rise_k * of->load[i] + of->ambient_c[i] + of->cover_k +
                                          sds * hypot(rise_sd_k * of->load[i], of->air_sd_k));
    return used;
}

/* Probability that used is above a share: temperature normal, endurance and hours log-normal. */
static double tail(const printed *of, double share)
{
    double rest = hypot(of->endurance_sd, of->hours_sd), sum = 0, step = 0.005;
    for (double t = -8; t < 8; t += step) {
        double used = used_at(of, t + step / 2);
        sum += step * gsl_ran_ugaussian_pdf(t + step / 2) *
               gsl_cdf_ugaussian_Q((log(share) - log(used)) / rest);
    }
    return sum;
}

/* Weibull share worn out, averaged over both doubts. */
static double worn_out(const printed *of)
{
    double rest = hypot(of->endurance_sd, of->hours_sd), sum = 0, step = 0.05;
    for (double t = -6; t < 6; t += step) {
        double used = used_at(of, t + step / 2);
        for (double z = -6; z < 6; z += step) {
            double lived = used * exp(rest * (z + step / 2));
            sum += step * step * gsl_ran_ugaussian_pdf(t + step / 2) *
                   gsl_ran_ugaussian_pdf(z + step / 2) *
                   (1 - pow(1 - of->at_rated, pow(lived, of->shape)));
        }
    }
    return sum;
}

/* Four figures printed: 0.005 K of a rise, which are 3.5e-4 of a life, and parts.csv rounds at its
 * own last digit. */
static void check_part(const printed *of, const row *told)
{
    double temp_c = of->rise_k + of->air_c + of->cover_k, used = used_at(of, 0);
    assert_close(temp_c, told->temp_c, 0, 0.0101);
    assert_close(of->rise_sd_k, told->temp_sd_k, 5e-4, 0.00051);
    assert_close(of->board_k + of->air_c + of->cover_k, told->board_c, 0, 0.0101);
    assert_close(of->board_sd_k, told->board_sd_k, 5e-4, 0.00051);
    assert_close(of->rise_k / of->board_k, of->of_board, 2e-3, 0);
    /* every can but C22, the one that the demo reads, has the share of the board, and the
     * warm air beside it; between nodes the field is a spline here and a chord there: 1 % */
    double warm_air_k =
        of->warm_air_k * (2 * sqrt(of->board_k / of->warm_at_k) - of->board_k / of->warm_at_k);
    if (strcmp(told->ref, "C22") != 0)
        assert_close(of->rise_k, of->share * of->board_k + warm_air_k, 0, 0.01 * of->board_k);
    assert_true(of->share_sd > 0 && of->share_sd < 0.1);
    assert_close(fmin(life_h(of, temp_c), of->cap_h), told->life_h, 5e-4, 0.51);
    assert_close(used, of->used, 9e-4, 0);
    assert_close(used, told->used, 1.2e-3, 0);
    assert_close(tail(of, told->low), 0.95, 0, 1e-3);
    assert_close(tail(of, told->high), 0.05, 0, 1e-3);
    /* 0.005 K of a rise, 3.5e-4 of ln used, are at most 2.8e-4 of a probability where ln used has a
     * standard deviation of 0.5; the digits of the deviations and of the file add to it */
    assert_close(tail(of, 1), told->past_life, 0, 4e-4);
    assert_close(worn_out(of), told->worn_out, 0, 3e-4);
    /* what lasts goal and margin at the temperature, from the same rule */
    assert_close(of->needed_h,
                 of->goal_h * of->margin * of->duty / fmin(of->ripple, 1) /
                     pow(2, (fmax(of->rated_c, 105) - fmax(temp_c, of->floor_c)) / 10),
                 5e-4, 0.51);
    double left_h = fmax(1 - used, 0) * life_h(of, temp_c) / of->duty;
    assert_close(of->left_h, fmin(left_h, of->cap_h), 1e-3, 40);
    assert_string_equal(of->verdict, told->verdict);
}

static void ask_all(const char *folder, const row *rows, size_t count, ended *said)
{
    const char *words[2 * PARTS_MAX + 8] = {"map", source_path("demo/desk-supply"), "--out",
                                            folder};
    size_t used = 4;
    for (size_t i = 0; i < count; i++) {
        words[used++] = "--explain";
        words[used++] = rows[i].ref;
    }
    words[used] = NULL;
    *said = run_in(&(surroundings){0}, words);
    assert_int_equal(said->status, 0);
}

static void every_number_about_every_part_of_the_demo_follows_from_those_before(void **state)
{
    (void)state;
    static row rows[PARTS_MAX];
    char folder[PATH_BYTES];
    ended said;
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    ended first = run("map", source_path("demo/desk-supply"), "--quiet", "--out", folder);
    assert_int_equal(first.status, 0);
    ended_free(&first);
    size_t count = read_rows(folder, rows);
    assert_true(count > 80);
    ask_all(folder, rows, count, &said);
    char *told = said.out;
    for (size_t i = 0; i < count; i++) {
        char *end = strstr(told, "\n\n");
        assert_non_null(end);
        *end = '\0';
        assert_memory_equal(told, rows[i].ref, strlen(rows[i].ref));
        assert_int_equal(told[strlen(rows[i].ref)], '\n');
        printed numbers = read_printed(told);
        check_part(&numbers, &rows[i]);
        told = end + 2;
    }
    ended_free(&said);
    remove_folder(folder);
}

int main(int argc, char **argv)
{
    if (argc != 2)
        return 2;
    program_path = argv[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_number_about_every_part_of_the_demo_follows_from_those_before),
    };
    return cmocka_run_group_tests_name("explain", tests, NULL, NULL);
}
