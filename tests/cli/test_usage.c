/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the program says of itself, and what it says to a command line that is wrong. Exit statuses
 * are those of <sysexits.h> of BSD: EX_USAGE 64, EX_CANTCREAT 73. */
#include "support/check.h"

#include <stdio.h>
#include <string.h>

#include "job_folder.h"
#include "program.h"
#include "spotfield/field.h"
#include "spotfield/output.h"

static void without_arguments_a_short_usage_goes_to_standard_error(void **state)
{
    (void)state;
    ended said = run_in(&(surroundings){0}, (const char *const[]){NULL});
    assert_int_equal(said.status, 64);
    assert_string_equal(said.out, "");
    assert_has(said.message, "Usage: spotfield");
    assert_has(said.message, "map JOB");
    ended_free(&said);
}

static void help_names_every_command(void **state)
{
    (void)state;
    ended said = run("--help");
    assert_int_equal(said.status, 0);
    assert_string_equal(said.message, "");
    assert_has(said.out, "\n  new DIR ");
    assert_has(said.out, "\n  check JOB ");
    assert_has(said.out, "\n  map JOB... ");
    assert_has(said.out, "\n  page JOB ");
    assert_has(said.out, "--version");
    assert_has(said.out, "--help");
    ended_free(&said);
}

static void help_of_each_command_has_its_options_and_an_example(void **state)
{
    (void)state;
    static const char *const map_options[] = {"-o, --out DIR", "-m, --model NAME", "-w, --width PX",
                                              "-d, --dpi N",   "-c, --cell MM",    "-q, --quiet",
                                              "-j, --json",    "-h, --help"};
    ended map = run("map", "--help"), check = run("check", "-h"), new = run("new", "--help");
    for (size_t i = 0; i < sizeof map_options / sizeof *map_options; i++)
        assert_has(map.out, map_options[i]);
    assert_has(check.out, "-q, --quiet");
    assert_has(map.out, "Example:\n  spotfield map ");
    assert_has(check.out, "Example:\n  spotfield check ");
    assert_has(new.out, "Example:\n  spotfield new ");
    assert_int_equal(map.status + check.status + new.status, 0);
    ended_free(&map);
    ended_free(&check);
    ended_free(&new);
}

static void a_port_below_those_that_anyone_may_open_is_refused(void **state)
{
    (void)state;
    ended said = run("page", "job", "--port", "80");
    assert_int_equal(said.status, 64);
    assert_has(said.message, "1024 to 65535");
    ended_free(&said);
}

static void help_of_map_lists_the_models_and_results_of_the_library(void **state)
{
    (void)state;
    ended said = run("map", "--help");
    assert_non_null(sf_field_models()[0]);
    assert_non_null(sf_outputs()[0].name);
    for (const sf_field_model_name *const *model = sf_field_models(); *model; model++) {
        assert_has(said.out, (*model)->name);
        assert_has(said.out, (*model)->description);
    }
    for (const sf_output *output = sf_outputs(); output->name; output++) {
        assert_has(said.out, output->name);
        assert_has(said.out, output->description);
    }
    ended_free(&said);
}

static void help_fits_a_terminal_of_100_columns_but_for_the_caution(void **state)
{
    (void)state;
    ended said = run("map", "--help");
    int lines = 0;
    for (const char *line = said.out, *end; (end = strchr(line, '\n')); line = end + 1, lines++)
        if (strncmp(line, "Caution", 7) != 0 && end - line > 100)
            fail_msg("too long: %.*s", (int)(end - line), line);
    assert_true(lines > 20);
    ended_free(&said);
}

static void help_wins_over_other_faults(void **state)
{
    (void)state;
    ended said = run("map", "--bogus", "--width", "--help", "a", "b", "--help");
    assert_int_equal(said.status, 0);
    assert_string_equal(said.message, "");
    assert_has(said.out, "Usage: spotfield map");
    ended_free(&said);
}

static void help_of_a_command_is_what_its_option_shows(void **state)
{
    (void)state;
    static const char *const names[] = {"new", "check", "plan", "map", "compare", "page", "bring"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        ended asked = run("help", names[i]), said = run(names[i], "--help");
        assert_int_equal(asked.status, 0);
        assert_string_equal(asked.message, "");
        assert_string_equal(asked.out, said.out);
        ended_free(&asked);
        ended_free(&said);
    }
    ended asked = run("help"), said = run("--help");
    assert_int_equal(asked.status, 0);
    assert_string_equal(asked.out, said.out);
    ended_free(&asked);
    ended_free(&said);
    assert_ends(64, "unknown command mpa; did you mean map", "help", "mpa");
    assert_ends(64, "help takes one command, not 2", "help", "map", "plan");
}

static void the_version_is_told(void **state)
{
    (void)state;
    ended said = run("--version");
    assert_int_equal(said.status, 0);
    assert_has(said.out, "spotfield " VERSION "\n");
    ended_free(&said);
}

static void an_unknown_command_is_answered_with_the_nearest(void **state)
{
    (void)state;
    assert_ends(64, "unknown command mpa; did you mean map", "mpa", "x");
    assert_ends(64, "unknown command chekc; did you mean check", "chekc");
}

static void an_unknown_option_is_answered_with_the_nearest(void **state)
{
    (void)state;
    assert_ends(64, "unknown option --widht; did you mean --width", "map", "x", "--widht");
    assert_ends(64, "unknown option --verison; did you mean --version", "--verison");
    assert_ends(64, "unknown option -z", "map", "-z", "x");
}

static void a_value_is_asked_for_where_one_is_missing_and_refused_where_none_is_taken(void **state)
{
    (void)state;
    assert_ends(64, "option --width needs a value: PX", "map", "x", "--width");
    assert_ends(64, "option --out needs a value: DIR", "map", "x", "-o");
    assert_ends(64, "option --json takes no value", "map", "x", "--json=yes");
    assert_ends(64, "--out needs the name of a folder", "map", "x", "--out=");
}

static void a_number_outside_its_range_is_refused_with_the_range(void **state)
{
    (void)state;
    assert_ends(64, "--width 399: expected a whole number from 400 to 8000", "map", "x", "-w399");
    assert_ends(64, "--width 8001: expected", "map", "x", "--width", "8001");
    assert_ends(64, "--width 1613.5: expected", "map", "x", "--width", "1613.5");
    assert_ends(64, "--width 1613px: expected", "map", "x", "--width", "1613px");
    assert_ends(64, "--dpi 1e99: expected a whole number from 50 to 1200", "map", "x", "-d",
                "1e99");
    assert_ends(64, "--cell nan: expected a number from 0.1 to 100", "map", "x", "--cell=nan");
    assert_ends(64, "--cell : expected", "map", "x", "--cell=");
}

static void an_unknown_model_is_answered_with_the_nearest(void **state)
{
    (void)state;
    assert_ends(64, "--model heatbalance: no such model; did you mean heat-balance", "map", "x",
                "--model", "heatbalance");
}

static void a_missing_and_a_surplus_operand_are_refused(void **state)
{
    (void)state;
    assert_ends(64, "JOB... is missing", "map", "--json");
    assert_ends(64, "2 operands where JOB is expected", "check", "a", "b");
    assert_ends(64, "3 operands where DIR is expected", "new", "a", "--", "--b", "c");
}

static void options_may_follow_the_operand_also_where_posix_order_is_asked_for(void **state)
{
    (void)state;
    const char *const words[] = {"map", "/there is no such folder", "--width", "77", NULL};
    ended said = run_in(&(surroundings){.variables = "POSIXLY_CORRECT=1"}, words);
    assert_int_equal(said.status, 64);
    assert_has(said.message, "--width 77");
    ended_free(&said);
}

static void control_characters_never_reach_the_terminal(void **state)
{
    (void)state;
    ended said = run("map", "/no\033[31m such\a folder\302\205");
    assert_int_equal(said.status, 66);
    assert_has_not(said.message, "\033");
    assert_has_not(said.message, "\a");
    assert_has_not(said.message, "\302\205");
    assert_has(said.message, "/no [31m such  folder ");
    ended_free(&said);
}

static void a_full_device_is_told_and_ends_with_73(void **state)
{
    (void)state;
    ended said = run_in(&(surroundings){.out_path = "/dev/full"},
                        (const char *const[]){"map", "--help", NULL});
    assert_int_equal(said.status, 73);
    assert_has(said.message, "standard output: ");
    ended_free(&said);
}

static void a_reader_that_has_gone_is_no_news(void **state)
{
    (void)state;
    ended said =
        run_in(&(surroundings){.reader_gone = true}, (const char *const[]){"map", "--help", NULL});
    assert_int_equal(said.status, 73);
    assert_string_equal(said.message, "");
    ended_free(&said);
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_arguments_a_short_usage_goes_to_standard_error),
        cmocka_unit_test(help_names_every_command),
        cmocka_unit_test(help_of_each_command_has_its_options_and_an_example),
        cmocka_unit_test(a_port_below_those_that_anyone_may_open_is_refused),
        cmocka_unit_test(help_of_map_lists_the_models_and_results_of_the_library),
        cmocka_unit_test(help_fits_a_terminal_of_100_columns_but_for_the_caution),
        cmocka_unit_test(help_wins_over_other_faults),
        cmocka_unit_test(help_of_a_command_is_what_its_option_shows),
        cmocka_unit_test(the_version_is_told),
        cmocka_unit_test(an_unknown_command_is_answered_with_the_nearest),
        cmocka_unit_test(an_unknown_option_is_answered_with_the_nearest),
        cmocka_unit_test(a_value_is_asked_for_where_one_is_missing_and_refused_where_none_is_taken),
        cmocka_unit_test(a_number_outside_its_range_is_refused_with_the_range),
        cmocka_unit_test(an_unknown_model_is_answered_with_the_nearest),
        cmocka_unit_test(a_missing_and_a_surplus_operand_are_refused),
        cmocka_unit_test(options_may_follow_the_operand_also_where_posix_order_is_asked_for),
        cmocka_unit_test(control_characters_never_reach_the_terminal),
        cmocka_unit_test(a_full_device_is_told_and_ends_with_73),
        cmocka_unit_test(a_reader_that_has_gone_is_no_news),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("usage", tests, NULL, NULL);
}
