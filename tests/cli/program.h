/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Running the built program as a user does. */
#ifndef SPOTFIELD_TESTS_CLI_PROGRAM_H
#define SPOTFIELD_TESTS_CLI_PROGRAM_H

#include <stdbool.h>

/* Where the program is: the first argument of every test program here. */
extern const char *program_path;

/* How a run ended. */
typedef struct ended {
    int status;    /* exit status; -1 where a signal ended it */
    char *out;     /* all of standard output; "" where it went elsewhere */
    char *message; /* all of standard error */
} ended;

/* What is unusual about a run; all zero: nothing. */
typedef struct surroundings {
    const char *out_path;     /* standard output goes there instead */
    bool reader_gone;         /* standard output is a pipe that nobody reads, SIGPIPE ignored */
    bool terminal;            /* standard error is a terminal */
    const char *interrupt_at; /* SIGINT is sent as soon as this path is there */
    const char *variables;    /* of the environment, besides TERM=xterm: "NAME=value" */
} surroundings;

/* Runs the program with words, which end with NULL. Free the answer with ended_free. */
ended run_in(const surroundings *about, const char *const *words);

/* The same for a function of the test in place of the program. */
ended run_function_in(const surroundings *about, void (*function)(void));

void ended_free(ended *run);

/* The same with nothing unusual, words given one by one. */
#define run(...) run_in(&(surroundings){0}, (const char *const[]){__VA_ARGS__, NULL})

/* Fails the test unless `part` is in `whole`; prints both. */
#define assert_has(whole, part) check_has((whole), (part), __FILE__, __LINE__)
void check_has(const char *whole, const char *part, const char *file, int line);
#define assert_has_not(whole, part) check_has_not((whole), (part), __FILE__, __LINE__)
void check_has_not(const char *whole, const char *part, const char *file, int line);

/* Runs, and fails the test unless it ended with a status and said `message`, which may be "". */
#define assert_ends(expected_status, expected_message, ...)                                        \
    check_ends(run(__VA_ARGS__), (expected_status), (expected_message), __FILE__, __LINE__)
void check_ends(ended run, int status, const char *message, const char *file, int line);

#endif
