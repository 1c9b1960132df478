/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a command is: the table behind its options, its help and its run. */
#ifndef SPOTFIELD_CLI_COMMAND_H
#define SPOTFIELD_CLI_COMMAND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

enum { OPTIONS_MAX = 20, OPERANDS_MAX = 4000, GIVEN_MAX = 200 };

/* One option; both its reading and its line in --help come from here. */
typedef struct option_row {
    const char *name;    /* long, without dashes; NULL ends the table */
    char letter;         /* short; 0 where there is none */
    const char *value;   /* stands for its value in the help; NULL where it takes none */
    const char *meaning; /* one clause */
} option_row;

/* One option as it was typed, for those that may be given several times. */
typedef struct given_option {
    size_t row;
    const char *value; /* "" without a value */
} given_option;

/* What was typed. */
typedef struct given {
    const char *values[OPTIONS_MAX]; /* by row of the table; NULL: not given, "" without a value;
                                        the last where an option was given several times */
    given_option all[GIVEN_MAX];     /* every option in its order; more are refused */
    size_t all_count;
    const char *operands[OPERANDS_MAX];
    size_t operand_count;
    int first_operand; /* its index in argv; argc where there is none */
    bool help;
} given;

typedef struct command {
    const char *name;            /* "" for the program itself */
    const char *operands;        /* as the usage line writes them, such as "JOB" */
    size_t operand_count;        /* how many there must be */
    bool operands_go_on;         /* there may be more of the last, up to OPERANDS_MAX */
    const char *summary;         /* one clause, for the list of commands */
    const char *about;           /* sentences, for its own help */
    const char *example;         /* a line to type */
    const option_row *options;   /* without --help, which every command has; at most OPTIONS_MAX */
    void (*more_help)(FILE *to); /* what follows the options; NULL: nothing */
    int (*run)(const given *typed); /* answers an exit status of exits.h */
} command;

extern const command new_command, check_command, plan_command, map_command, compare_command,
    page_command, bring_command;

#endif
