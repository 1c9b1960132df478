/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* series [--each N] [--noise K] [--seed S]: what warm-up series are worth. Prints a line for each
 * case: the share of the true steady rises inside the stated 90 % interval, the mean error and
 * width of those that were answered, and the share that was refused. First boards before any body,
 * by the number of rows; then a board alone, and before one slower body, with 3 to 8 rows, as many
 * of each. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "benchmark/warming.h"

enum { ROWS_LEAST = 3 };

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
    if (of->any_body)
        printf("any body, %zu rows      ", of->rows_most);
    else if (of->body_k > 0)
        printf("body of %2.0f K in %3.0f min", of->body_k, of->body_min);
    else
        printf("board alone           ");
    printf("  to %3.0f min: in90 %5.1f %%  error %+7.3f K  width %6.3f K  refused %5.1f %%\n",
           of->last_min, 100 * (double)tally->held / answered, tally->error_sum_k / answered,
           tally->width_sum_k / answered, 100 * (double)tally->refused / (double)tally->drawn);
}

static bool print_case(options *of, warming kind)
{
    warming_tally tally;
    kind.sd_k = of->noise_k;
    if (!warming_tally_make(&kind, of->each, &of->seed, &tally))
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
    for (size_t k = 0; good && k < 18; k++)
        good = print_case(&given, (warming){.any_body = true,
                                            .last_min = last_min[k / 6],
                                            .rows_least = ROWS_LEAST + k % 6,
                                            .rows_most = ROWS_LEAST + k % 6});
    for (size_t k = 0; good && k < 30; k++) {
        warming kind = {.last_min = last_min[k % 3], .rows_least = ROWS_LEAST, .rows_most = 8};
        if (k >= 3) {
            kind.body_k = body_k[(k - 3) / 9];
            kind.body_min = body_min[(k - 3) / 3 % 3];
        }
        good = print_case(&given, kind);
    }
    return good ? EXIT_SUCCESS : EXIT_FAILURE;
}
