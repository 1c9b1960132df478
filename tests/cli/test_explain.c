/* What map tells of one part must follow by hand calculation: the printed numbers of every part of
 * the demo are put into the formulas here, and the results held against parts.csv. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <jansson.h>

#include "job_folder.h"
#include "program.h"

enum { PARTS_MAX = 128, PERIODS_MAX = 8 };

/* A row of parts.csv. */
typedef struct row {
    char ref[16], verdict[16];
    double temp_c, temp_sd_k, life_h, used, low, high, past_life, worn_out;
} row;

/* What was printed about a part. */
typedef struct printed {
    double rise_k, rise_sd_k, air_c, cover_k, case_sd_k;
    double endurance_h, rated_c, ripple, voltage, floor_c, cap_h, duty;
    double endurance_sd, hours_sd, at_rated, shape;
    double hours[PERIODS_MAX], load[PERIODS_MAX], ambient_c[PERIODS_MAX];
    size_t periods;
    double used, left_h, goal_h, margin, needed_h;
    char verdict[16];
} printed;

static size_t read_rows(const char *folder, row rows[PARTS_MAX])
{
    char *table = bytes_of(in_folder(folder, "parts.csv"), NULL);
    size_t count = 0;
    for (char *line = strchr(table, '\n') + 1; *line; line = strchr(line, '\n') + 1) {
        row *into = &rows[count++];
        assert_true(count <= PARTS_MAX);
        assert_int_equal(sscanf(line, "%15[^,],%*f,%*f,%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf,", into->ref,
                                &into->temp_c, &into->temp_sd_k, &into->life_h, &into->used,
                                &into->low, &into->high, &into->past_life, &into->worn_out),
                         9);
        char *zone = line;
        for (int commas = 0; commas < 11; zone++)
            commas += *zone == ',';
        if (*zone == '"')
            zone = strchr(zone + 1, '"');
        assert_int_equal(sscanf(strchr(zone, ','), ",%15[^,],", into->verdict), 1);
    }
    free(table);
    return count;
}

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
        .rise_k = number_after(told, "rise over air = "),
        .rise_sd_k = number_after(told, "K, standard deviation "),
        .air_c = number_after(told, "air in service = "),
        .cover_k = number_after(told, "cover rise = "),
        .case_sd_k = number_after(told, "case against board = "),
        .endurance_h = number_after(told, "endurance L0 = "),
        .rated_c = number_after(told, "at T0 = "),
        .ripple = number_after(told, "K_ripple = "),
        .voltage = number_after(told, "K_voltage = "),
        .cap_h = number_after(told, "life told = min(L, "),
        .duty = number_after(told, "duty = "),
        .endurance_sd = number_after(told, "doubt of endurance = "),
        .hours_sd = number_after(told, ", of hours = "),
        .at_rated = number_after(told, "1 - exp(ln(1 - "),
        .shape = number_after(told, ") used^"),
        .used = number_after(told, "used = sum of the periods = "),
        .left_h = number_after(told, "0 to the cap = "),
        .goal_h = number_after(told, "service goal = "),
        .margin = number_after(told, "margin = "),
    };
    into.needed_h = number_after(strstr(told, "endurance needed at "), "- T)/10) = ");
    const char *floor = strstr(told, "temperature that counts = max(");
    assert_int_equal(sscanf(floor, "temperature that counts = max(%*f, %lf)", &into.floor_c), 1);
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

/* Palmgren and Miner: shares of life add; the rise is off by so much. */
static double used_at(const printed *of, double off_k)
{
    double used = 0;
    for (size_t i = 0; i < of->periods; i++)
        used += of->hours[i] /
                life_h(of, (of->rise_k + off_k) * of->load[i] + of->ambient_c[i] + of->cover_k);
    return used;
}

/* Probability that used is above a share: temperature normal, endurance and hours log-normal. */
static double tail(const printed *of, double share)
{
    double sd_k = hypot(of->rise_sd_k, of->case_sd_k), rest = hypot(of->endurance_sd, of->hours_sd);
    double sum = 0, step = 0.005;
    for (double t = -8; t < 8; t += step) {
        double used = used_at(of, (t + step / 2) * sd_k);
        sum += step * gsl_ran_ugaussian_pdf(t + step / 2) *
               gsl_cdf_ugaussian_Q((log(share) - log(used)) / rest);
    }
    return sum;
}

/* Weibull share worn out, averaged over both doubts. */
static double worn_out(const printed *of)
{
    double sd_k = hypot(of->rise_sd_k, of->case_sd_k), rest = hypot(of->endurance_sd, of->hours_sd);
    double sum = 0, step = 0.05;
    for (double t = -6; t < 6; t += step) {
        double used = used_at(of, (t + step / 2) * sd_k);
        for (double z = -6; z < 6; z += step) {
            double lived = used * exp(rest * (z + step / 2));
            sum += step * step * gsl_ran_ugaussian_pdf(t + step / 2) *
                   gsl_ran_ugaussian_pdf(z + step / 2) *
                   (1 - pow(1 - of->at_rated, pow(lived, of->shape)));
        }
    }
    return sum;
}

/* Six figures printed: shares follow to 1e-4, and parts.csv rounds at its own last digit. */
static void check_part(const printed *of, const row *told)
{
    double temp_c = of->rise_k + of->air_c + of->cover_k, used = used_at(of, 0);
    assert_close(temp_c, told->temp_c, 0, 0.0051);
    assert_close(of->rise_sd_k, told->temp_sd_k, 0, 0.00051);
    assert_close(fmin(life_h(of, temp_c), of->cap_h), told->life_h, 1e-4, 0.51);
    assert_close(used, of->used, 1e-4, 0);
    assert_close(used, told->used, 6e-4, 0);
    assert_close(tail(of, told->low), 0.95, 0, 1e-3);
    assert_close(tail(of, told->high), 0.05, 0, 1e-3);
    assert_close(tail(of, 1), told->past_life, 0, 3e-4);
    assert_close(worn_out(of), told->worn_out, 0, 3e-4);
    /* what lasts goal and margin at the temperature, from the same rule */
    assert_close(of->needed_h,
                 of->goal_h * of->margin * of->duty / fmin(of->ripple, 1) /
                     pow(2, (fmax(of->rated_c, 105) - fmax(temp_c, of->floor_c)) / 10),
                 1e-4, 0);
    double left_h = fmax(1 - used, 0) * life_h(of, temp_c) / of->duty;
    assert_close(of->left_h, fmin(left_h, of->cap_h), 1e-3, 2);
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

/* --- the demo agrees with itself --- */

/* Sums a column, from 0, of a table over rows; text may be quoted. */
static double sum_column(const char *folder, const char *name, int column)
{
    char *table = bytes_of(in_folder(folder, name), NULL);
    double sum = 0;
    for (char *line = strchr(table, '\n') + 1; *line; line = strchr(line, '\n') + 1) {
        bool quoted = false;
        char *at = line;
        for (int commas = 0; commas < column; at++) {
            quoted = quoted != (*at == '"');
            commas += *at == ',' && !quoted;
        }
        sum += strtod(at, NULL);
    }
    free(table);
    return sum;
}

static size_t count_verdicts(const row *rows, size_t count, const char *verdict)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++)
        found += strcmp(rows[i].verdict, verdict) == 0;
    return found;
}

/* Whether a reference stands as a word of its own in the kit. */
static bool is_in_kit(const char *kit, const char *ref)
{
    size_t length = strlen(ref);
    for (const char *at = kit; (at = strstr(at, ref)); at += length)
        if (strchr(" ,", at[-1]) && strchr(" ,", at[length]))
            return true;
    return false;
}

static void sentence_zones_kit_and_parts_of_the_demo_agree_to_the_part(void **state)
{
    (void)state;
    static row rows[PARTS_MAX];
    char folder[PATH_BYTES];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    ended said = run("map", source_path("demo/desk-supply"), "--out", folder);
    size_t count = read_rows(folder, rows), told[4];
    assert_int_equal(sscanf(said.out, "Replace %zu of %zu capacitors, check %zu, leave %zu.",
                            &told[0], &told[1], &told[2], &told[3]),
                     4);
    assert_int_equal(told[1], count);
    assert_int_equal(told[0], count_verdicts(rows, count, "replace"));
    assert_int_equal(told[2], count_verdicts(rows, count, "check"));
    assert_int_equal(told[3], count_verdicts(rows, count, "leave"));
    char *zones = bytes_of(in_folder(folder, "zones.csv"), NULL);
    static const char *const columns[] = {"parts", "replace", "check", "leave"};
    static const int order[] = {1, 0, 2, 3};
    for (int i = 0; i < 4; i++) {
        char *heading = strstr(zones, columns[i]);
        int column = 0;
        for (const char *at = zones; at < heading; at++)
            column += *at == ',';
        assert_close(sum_column(folder, "zones.csv", column), (double)told[order[i]], 0, 0);
    }
    assert_close(sum_column(folder, "kit.csv", 0), (double)told[0], 0, 0);
    char *kit = bytes_of(in_folder(folder, "kit.csv"), NULL);
    for (size_t i = 0; i < count; i++)
        assert_int_equal(is_in_kit(kit, rows[i].ref), strcmp(rows[i].verdict, "replace") == 0);
    char everything[96];
    snprintf(everything, sizeof everything,
             "Replacing everything would take %zu parts; this leaves %zu of them in place.", count,
             told[2] + told[3]);
    assert_has(said.out, everything);
    free(zones);
    free(kit);
    ended_free(&said);
    remove_folder(folder);
}

static void the_last_rule_told_is_the_one_that_decides(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--explain", "C15", "-x", "C11");
    assert_int_equal(said.status, 0);
    char *second = strstr(said.out, "\n\nC11\n");
    assert_non_null(second);
    assert_has(second,
               "rule 2, critical, and old or perhaps past its life: replace: critical, seal "
               "past its guidance");
    assert_has_not(second, "rule 3");
    *second = '\0';
    assert_has(said.out, "rule 1, worn by meter or eye: replace: bulged or leaking; it decides\n");
    assert_has_not(said.out, "rule 2");
    assert_has(said.out, "k4 at ");
    ended_free(&said);
    remove_folder(folder);
}

static void the_report_counts_parts_on_which_heat_and_meter_disagree(void **state)
{
    (void)state;
    static const char notice[] = "One part on which heat and meter disagree";
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--quiet");
    char *page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has_not(page, notice);
    free(page);
    ended_free(&said);
    /* C14 has used a fifth of its life; now it bulges */
    change_file(folder, "parts.csv", "105,,1,no,2003,sound", "105,,1,no,2003,bulged");
    said = run("map", folder, "--quiet");
    page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has(page, notice);
    free(page);
    ended_free(&said);
    remove_folder(folder);
}

static void an_unknown_reference_is_told_with_the_nearest_and_nothing_is_written(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    assert_ends(64, "--explain C41: no such part; the nearest known is C11", "map", folder,
                "--explain", "C41");
    assert_int_equal(access(in_folder(folder, "out"), F_OK), -1);
    remove_folder(folder);
}

static void json_holds_the_same_lines(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended words = run("map", folder, "--explain", "C12");
    ended said = run("map", folder, "--explain", "C12", "--json");
    json_t *whole = json_loads(said.out, 0, NULL);
    assert_non_null(whole);
    json_t *one = json_array_get(json_object_get(whole, "explained"), 0);
    assert_string_equal(json_string_value(json_object_get(one, "ref")), "C12");
    assert_has(words.out, json_string_value(json_object_get(one, "explained")));
    json_decref(whole);
    ended_free(&words);
    ended_free(&said);
    remove_folder(folder);
}

static void what_ifs_begin_with_today_as_it_is_decided(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--if-air", "-6.5", "--if-fan", "--if-grade", "105",
                     "--if-hours", "12500", "--json");
    json_t *whole = json_loads(said.out, 0, NULL);
    assert_non_null(whole);
    json_t *rows = json_object_get(whole, "what_ifs"), *today = json_array_get(rows, 0);
    json_t *summary = json_object_get(whole, "summary");
    static const char *const verdicts[] = {"replace", "check", "leave"};
    static const char *const asked[] = {
        "as it is, today",
        "as it is, after 12,500 h",
        "air 6.5 K colder, after 12,500 h",
        "a fan (loss 15 to 45 W/m2K, rises at the parts fall to ",
        "parts to replace fitted new, 105 C grade, after 12,500 h",
        "air 6.5 K colder, a fan (",
    };
    assert_int_equal(json_array_size(rows), 6);
    for (size_t i = 0; i < 6; i++) {
        const char *words = json_string_value(json_object_get(json_array_get(rows, i), "what_if"));
        assert_memory_equal(words, asked[i], strlen(asked[i]));
    }
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(json_integer_value(json_object_get(today, verdicts[i])),
                         json_integer_value(json_object_get(summary, verdicts[i])));
    json_decref(whole);
    ended_free(&said);
    char *page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has(page, "<section id=\"what-if\"");
    assert_has(page, "parts to replace fitted new, 105");
    free(page);
    remove_folder(folder);
}

static void what_ifs_are_a_table_for_people_and_absent_where_none_is_asked(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended said = run("map", folder, "--if-air", "4");
    assert_has(said.out, "What if       replace  check  leave  worn out  next past life\n");
    assert_has(said.out, "\nair 4 K warmer, today:\n"); /* no service goal, no hours asked */
    ended_free(&said);
    said = run("map", folder);
    assert_has_not(said.out, "What if");
    char *page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has_not(page, "what-if");
    free(page);
    ended_free(&said);
    assert_ends(64, "--if-fan needs the model heat-balance", "map", folder, "--model", "thin-plate",
                "--if-fan");
    assert_ends(64, "--if-grade 65: expected a number from 85 to 150", "map", folder, "--if-grade",
                "65");
    remove_folder(folder);
}

int main(int argc, char **argv)
{
    if (argc != 2)
        return 2;
    program_path = argv[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_number_about_every_part_of_the_demo_follows_from_those_before),
        cmocka_unit_test(sentence_zones_kit_and_parts_of_the_demo_agree_to_the_part),
        cmocka_unit_test(the_last_rule_told_is_the_one_that_decides),
        cmocka_unit_test(the_report_counts_parts_on_which_heat_and_meter_disagree),
        cmocka_unit_test(an_unknown_reference_is_told_with_the_nearest_and_nothing_is_written),
        cmocka_unit_test(json_holds_the_same_lines),
        cmocka_unit_test(what_ifs_begin_with_today_as_it_is_decided),
        cmocka_unit_test(what_ifs_are_a_table_for_people_and_absent_where_none_is_asked),
    };
    return cmocka_run_group_tests_name("explain", tests, NULL, NULL);
}
