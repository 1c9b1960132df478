/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reading a command line by the table of its command. */
#include "cli/options.h"

#include <getopt.h>
#include <math.h>
#include <string.h>

#include "cli/message.h"
#include "job/choice_words.h"
#include "job/number.h"

const option_row help_option = {"help", 'h', NULL, "show this help"};

enum {
    OPERAND = 1,     /* what getopt_long answers for one where it keeps the order */
    LONG_FIRST = 256 /* rows of the table; letters lie below */
};

/* A reading under way. */
typedef struct reading {
    const command *of;
    given *typed;
    size_t rows; /* of the table; the row after the last is --help */
    struct option longs[OPTIONS_MAX + 2];
    char letters[2 * OPTIONS_MAX + 8];
    int fault;        /* what getopt_long answered to the first fault: '?' or ':'; 0: none */
    size_t fault_row; /* the option meant; rows + 1 where it is none */
    const char *fault_word;
    char fault_letter[3];
} reading;

static const option_row *row_at(const reading *run, size_t row)
{
    return row < run->rows ? &run->of->options[row] : &help_option;
}

static void describe(reading *run, bool stop_at_operand)
{
    char *letter = run->letters;
    *letter++ = stop_at_operand ? '+' : '-';
    *letter++ = ':'; /* tells a missing value from an unknown option */
    while (run->of->options[run->rows].name)
        run->rows++;
    for (size_t row = 0; row <= run->rows; row++) {
        const option_row *option = row_at(run, row);
        run->longs[row] =
            (struct option){option->name, option->value ? required_argument : no_argument, NULL,
                            LONG_FIRST + (int)row};
        if (!option->letter)
            continue;
        *letter++ = option->letter;
        if (option->value)
            *letter++ = ':';
    }
}

/* The row of an answer of getopt_long; rows + 1 where it is none. */
static size_t row_of(const reading *run, int answer)
{
    if (answer >= LONG_FIRST)
        return (size_t)(answer - LONG_FIRST);
    size_t row = 0;
    while (row <= run->rows && row_at(run, row)->letter != answer)
        row++;
    return row;
}

/* Kept, not told: --help may follow, and then it is what was wanted. */
static void keep_fault(reading *run, int answer, char **argv)
{
    if (run->fault)
        return;
    run->fault = answer;
    run->fault_row = optopt ? row_of(run, optopt) : run->rows + 1;
    run->fault_word = argv[optind - 1];
    if (optopt && optopt < LONG_FIRST) {
        run->fault_letter[0] = '-';
        run->fault_letter[1] = (char)optopt;
        run->fault_word = run->fault_letter;
    }
}

static void tell_unknown(const reading *run)
{
    struct nearest nearest = {.typed = run->fault_word + strspn(run->fault_word, "-")};
    if (run->fault_word == run->fault_letter) {
        tell_usage(run->of, "unknown option %s", run->fault_word);
        return;
    }
    for (size_t row = 0; row <= run->rows; row++)
        nearest_offer(&nearest, row_at(run, row)->name);
    tell_usage(run->of, "unknown option %s; did you mean --%s", run->fault_word, nearest.name);
}

static bool tell_fault(const reading *run)
{
    if (run->fault_row > run->rows)
        tell_unknown(run);
    else if (run->fault == ':')
        tell_usage(run->of, "option --%s needs a value: %s", row_at(run, run->fault_row)->name,
                   row_at(run, run->fault_row)->value);
    else
        tell_usage(run->of, "option --%s takes no value", row_at(run, run->fault_row)->name);
    return false;
}

static void take_operand(given *typed, const char *word, int index)
{
    if (typed->operand_count == 0)
        typed->first_operand = index;
    if (typed->operand_count < OPERANDS_MAX)
        typed->operands[typed->operand_count] = word;
    typed->operand_count++;
}

static void take_option(given *typed, size_t row, const char *value)
{
    typed->values[row] = value;
    if (typed->all_count < GIVEN_MAX)
        typed->all[typed->all_count] = (given_option){row, value};
    typed->all_count++;
}

static void take(reading *run, int answer, char **argv)
{
    size_t row = row_of(run, answer);
    if (answer == OPERAND)
        take_operand(run->typed, optarg, optind - 1);
    else if (answer == '?' || answer == ':')
        keep_fault(run, answer, argv);
    else if (row == run->rows)
        run->typed->help = true;
    else
        take_option(run->typed, row, optarg ? optarg : "");
}

static bool has_operands(const reading *run)
{
    size_t wanted = run->of->operand_count, count = run->typed->operand_count;
    size_t most = run->of->operands_go_on ? OPERANDS_MAX : wanted;
    if (count < wanted)
        tell_usage(run->of, "%s is missing", run->of->operands);
    else if (count > most && run->of->operands_go_on)
        tell_usage(run->of, "%zu operands, at most %d allowed", count, OPERANDS_MAX);
    else if (count > most)
        tell_usage(run->of, "%zu operands where %s is expected", count, run->of->operands);
    return count >= wanted && count <= most;
}

bool options_read(const command *of, int argc, char **argv, bool stop_at_operand, given *typed)
{
    *typed = (given){.first_operand = argc};
    reading run = {.of = of, .typed = typed};
    describe(&run, stop_at_operand);
    opterr = 0;
    optind = 0; /* starts afresh, also the order of operands */
    for (int answer; (answer = getopt_long(argc, argv, run.letters, run.longs, NULL)) != -1;)
        take(&run, answer, argv);
    for (int i = optind; i < argc; i++)
        take_operand(typed, argv[i], i);
    if (typed->help)
        return true;
    if (run.fault)
        return tell_fault(&run);
    if (typed->all_count > GIVEN_MAX) {
        tell_usage(of, "%zu options, at most %d allowed", typed->all_count, GIVEN_MAX);
        return false;
    }
    return stop_at_operand || has_operands(&run);
}

/* A whole word as a number, as the files of a job write them; NAN where it is none. */
static double number_of(const char *word)
{
    struct number number;
    return number_read(word, false, &number) == NUMBER_FINE ? number.value : (double)NAN;
}

static bool tell_range(const command *of, const given *typed, size_t row, double least, double most,
                       const char *kind)
{
    tell_usage(of, "--%s %s: expected a %snumber from %g to %g", of->options[row].name,
               typed->values[row], kind, least, most);
    return false;
}

bool option_number(const command *of, const given *typed, size_t row, double least, double most,
                   double *value)
{
    if (!typed->values[row])
        return true;
    double number = number_of(typed->values[row]);
    if (!(number >= least && number <= most))
        return tell_range(of, typed, row, least, most, "");
    *value = number;
    return true;
}

bool option_whole(const command *of, const given *typed, size_t row, int least, int most,
                  int *value)
{
    if (!typed->values[row])
        return true;
    double number = number_of(typed->values[row]);
    if (!(number >= least && number <= most) || number != floor(number))
        return tell_range(of, typed, row, least, most, "whole ");
    *value = (int)number;
    return true;
}
