/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* series [--each N] [--noise K] [--seed S]: what warm-up series are worth. Prints a line for each
 * case, a board alone and before a slower body: the share of the true steady rises inside the
 * stated 90 % interval, the mean error and width of those that were answered, and the share that
 * was refused. Series have 3 to 8 rows, as many of each. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "benchmark/warming.h"

typedef struct options {
    size_t each;
    double noise_k;
    unsigned long seed;
} options;

static bool read_options(int count, char **words, options *read)
{
    for (int i = 1; i + 1 < count; i += 2) {
        char *end;
        double value = strtod(words[i + 1], &end);
        if (*end || !(value > 0 && value < 1e6))
            return false;
        if (strcmp(words[i], "--each") == 0)
            read->each = (size_t)value;
        else if (strcmp(words[i], "--noise") == 0)
            read->noise_k = value;
        else if (strcmp(words[i], "--seed") == 0)
            read->seed = (unsigned long)value;
        else
            return false;
    }
    return count % 2 == 1;
}

static void print_tally(const warming *of, const warming_tally *tally)
{
    double answered = (double)(tally->drawn - tally->refused);
    if (of->body_k > 0)
        printf("body of %2.0f K in %3.0f min", of->body_k, of->body_min);
    else
        printf("board alone           ");
    printf("  to %3.0f min: in90 %5.1f %%  error %+7.3f K  width %6.3f K  refused %5.1f %%\n",
           of->last_min, 100 * (double)tally->held / answered, tally->error_sum_k / answered,
           tally->width_sum_k / answered, 100 * (double)tally->refused / (double)tally->drawn);
}

static bool print_case(const options *of, double body_k, double body_min, double last_min,
                       unsigned long *seed)
{
    warming kind = {body_k, body_min, last_min, of->noise_k, 3, 8};
    warming_tally tally;
    if (!warming_tally_make(&kind, of->each, seed, &tally))
        return false;
    print_tally(&kind, &tally);
    return true;
}

int main(int count, char **words)
{
    static const double last_min[] = {20, 60, 150}, body_k[] = {6, 10, 15},
                        body_min[] = {45, 90, 180};
    options given = {100, 0.3, 1};
    gsl_set_error_handler_off();
    if (!read_options(count, words, &given)) {
        fputs("usage: series [--each N] [--noise K] [--seed S]\n", stderr);
        return EXIT_FAILURE;
    }
    bool good = true;
    for (size_t i = 0; good && i < 3; i++)
        good = print_case(&given, 0, 0, last_min[i], &given.seed);
    for (size_t k = 0; good && k < 27; k++)
        good = print_case(&given, body_k[k / 9], body_min[k / 3 % 3], last_min[k % 3], &given.seed);
    return good ? EXIT_SUCCESS : EXIT_FAILURE;
}
