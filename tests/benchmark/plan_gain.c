/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* plan_gain [--boards N] [--first F] [--readings K] [--further M] [--seed S] [--unlisted]: what
 * planned readings are worth. Each of N raised boards is read K times by a technician, and M times
 * more in each way of planning.h, all with instruments that err alike. A line a way:
 *   rmse_k    root mean square error of the cans' rises
 *   wrong     cans told to be past their rated life that are not, or the other way round
 *   needless  cans told to be replaced that have used less than 0.8 and are not critical
 *   worn      cans past their rated life that are told to stay
 *   checks    cans told to be checked
 *   points    readings that the plan asked for */
#include <errno.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "benchmark/planning.h"
#include "benchmark/raised.h"

typedef struct options {
    planning_case of;
    unsigned long boards, first;
} options;

static bool number_read(const char *words, unsigned long least, unsigned long most,
                        unsigned long *number)
{
    char *end;
    errno = 0;
    *number = strtoul(words, &end, 10);
    return errno == 0 && end != words && *end == '\0' && *number >= least && *number <= most;
}

static bool options_take(options *asked, int count, char **words)
{
    unsigned long readings = 8, further = 4;
    for (int i = 1; i < count; i++) {
        const char *next = i + 1 < count ? words[i + 1] : "";
        bool taken = false;
        if (strcmp(words[i], "--unlisted") == 0) {
            asked->of.unlisted = true;
            continue;
        }
        if (strcmp(words[i], "--boards") == 0)
            taken = number_read(next, 1, 999, &asked->boards);
        else if (strcmp(words[i], "--first") == 0)
            taken = number_read(next, 1, 999, &asked->first);
        else if (strcmp(words[i], "--readings") == 0)
            taken = number_read(next, 1, READINGS_MOST / 2, &readings);
        else if (strcmp(words[i], "--further") == 0)
            taken = number_read(next, 1, READINGS_MOST / 2, &further);
        else if (strcmp(words[i], "--seed") == 0)
            taken = number_read(next, 0, 1000000, &asked->of.seed);
        if (!taken)
            return false;
        i++;
    }
    asked->of.readings = readings;
    asked->of.further = further;
    return true;
}

static void print_score(const char *way, const planning_score *of)
{
    printf("%-10s %6.3f %6zu %8zu %6zu %6zu %6zu\n", way, sqrt(of->square_k2 / (double)of->cans),
           of->wrong_side, of->needless, of->worn_left, of->checks, of->planned);
}

int main(int count, char **words)
{
    options asked = {.of = {.seed = 1}, .boards = 50, .first = 1};
    planning_score scores[PLANNING_WAYS] = {{0}};
    if (!options_take(&asked, count, words)) {
        fprintf(stderr, "usage: plan_gain [--boards N] [--first F] [--readings K] [--further M] "
                        "[--seed S] [--unlisted]\n");
        return 64;
    }
    gsl_set_error_handler_off();
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    sf_status status = chance ? SF_OK : SF_ERROR_MEMORY;
    for (unsigned long i = 0; status == SF_OK && i < asked.boards; i++)
        status = planning_board(&asked.of, asked.first + i, chance, scores);
    if (status != SF_OK)
        fprintf(stderr, "plan_gain: %s\n", sf_status_text(status));
    else
        printf("%-10s %6s %6s %8s %6s %6s %6s   of %zu cans\n", "way", "rmse_k", "wrong",
               "needless", "worn", "checks", "points", scores[0].cans);
    for (int how = 0; status == SF_OK && how < PLANNING_WAYS; how++)
        print_score(planning_way_names[how], &scores[how]);
    if (chance)
        gsl_rng_free(chance);
    return status == SF_OK ? 0 : 70;
}
