/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reading a command line by the table of its command. */
#ifndef SPOTFIELD_CLI_OPTIONS_H
#define SPOTFIELD_CLI_OPTIONS_H

#include "cli/command.h"

/* The option that every command has beside those of its table. */
extern const option_row help_option;

/* Reads argv, whose first word is passed over. Options and operands may come in any order, but
 * with stop_at_operand all from the first operand on is left alone. The first fault is told on
 * standard error and answers false, except where --help was typed: that wins. */
bool options_read(const command *of, int argc, char **argv, bool stop_at_operand, given *typed);

/* The value of an option as a number from least to most; *value stays where it was not given.
 * A fault is told on standard error and answers false. */
bool option_number(const command *of, const given *typed, size_t row, double least, double most,
                   double *value);

/* The same for a whole number. */
bool option_whole(const command *of, const given *typed, size_t row, int least, int most,
                  int *value);

/* --- help --- */

/* Everything about a command. */
void help_print(const command *of, FILE *to);

/* A row of two columns, as help has them: a name and what it means. */
void help_row(FILE *to, const char *name, int width, const char *meaning);

#endif
