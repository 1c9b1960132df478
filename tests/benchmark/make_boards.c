/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* make_boards OUT --boards N --readings K --seed S [--unlisted]: writes N invented job folders
 * with their truth, OUT/board-001 and so on; the same seed makes the same boards. With --height
 * bodies and cans stand on them; --mount writes how each source stands; --gross KIND makes one
 * kind of mistake with each board's readings or list. */
#include <errno.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "benchmark/job_files.h"

typedef struct options {
    const char *folder;
    size_t boards, readings;
    unsigned long seed;
    bool unlisted, height, mount;
    gross_kind gross;
} options;

/* Each board has a seed of its own, so that the fifth is the same however many are made. */
static bool one_make(const options *asked, size_t number, gsl_rng *chance)
{
    char folder[4000];
    snprintf(folder, sizeof folder, "%s/board-%03zu", asked->folder, number);
    gsl_rng_set(chance, asked->seed * 1000003ul + number);
    sf_status status;
    bool written;
    if (asked->height) {
        raised *board;
        status = raised_make(&board, asked->readings, asked->unlisted, asked->gross, chance);
        written = status == SF_OK && job_write_raised(board, folder, number, asked->mount);
        raised_free(board);
    } else {
        invented board;
        status = invented_make(&board, asked->readings, asked->unlisted, chance);
        written = status == SF_OK && job_write(&board, folder, number);
        invented_clear(&board);
    }
    if (!written)
        fprintf(stderr, "make_boards: %s: %s\n", folder,
                status == SF_OK ? strerror(errno) : sf_status_text(status));
    return written;
}

static bool gross_read(const char *words, gross_kind *gross)
{
    static const char *const texts[GROSS_KINDS] = {"none",      "tenth",      "lifted",
                                                   "exchanged", "transposed", "half-rise",
                                                   "one-side",  "no-sources"};
    for (int kind = 0; kind < GROSS_KINDS; kind++)
        if (strcmp(words, texts[kind]) == 0) {
            *gross = (gross_kind)kind;
            return true;
        }
    return false;
}

static bool number_read(const char *words, unsigned long least, unsigned long most,
                        unsigned long *number)
{
    char *end;
    errno = 0;
    *number = strtoul(words, &end, 10);
    return errno == 0 && end != words && *end == '\0' && *number >= least && *number <= most;
}

static bool options_read(options *asked, int count, char **words)
{
    unsigned long boards = 12, readings = 12;
    for (int i = 1; i < count; i++) {
        const char *next = i + 1 < count ? words[i + 1] : "";
        if (strcmp(words[i], "--unlisted") == 0)
            asked->unlisted = true;
        else if (strcmp(words[i], "--height") == 0)
            asked->height = true;
        else if (strcmp(words[i], "--mount") == 0)
            asked->mount = true;
        else if (strcmp(words[i], "--gross") == 0 && gross_read(next, &asked->gross))
            i++;
        else if (strcmp(words[i], "--boards") == 0 && number_read(next, 1, 999, &boards))
            i++;
        else if (strcmp(words[i], "--readings") == 0 &&
                 number_read(next, 1, READINGS_MOST, &readings))
            i++;
        else if (strcmp(words[i], "--seed") == 0 && number_read(next, 0, 1000000, &asked->seed))
            i++;
        else if (words[i][0] != '-' && !asked->folder)
            asked->folder = words[i];
        else
            return false;
    }
    asked->boards = boards;
    asked->readings = readings;
    return asked->folder && (asked->height || (!asked->mount && asked->gross == GROSS_NONE));
}

int main(int count, char **words)
{
    options asked = {.seed = 1};
    if (!options_read(&asked, count, words)) {
        fprintf(stderr, "usage: make_boards OUT [--boards N] [--readings K] [--seed S] "
                        "[--unlisted]\n       [--height [--mount] [--gross tenth|lifted|"
                        "exchanged|transposed|half-rise|one-side|no-sources]]\n");
        return 64;
    }
    gsl_set_error_handler_off();
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    bool done = chance && job_folder_make(asked.folder);
    if (!done)
        fprintf(stderr, "make_boards: %s: %s\n", asked.folder, strerror(errno));
    for (size_t i = 1; done && i <= asked.boards; i++)
        done = one_make(&asked, i, chance);
    if (chance)
        gsl_rng_free(chance);
    return done ? 0 : 73;
}
