/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Usage and help, made from the tables of the commands. */
#ifndef SPOTFIELD_CLI_HELP_H
#define SPOTFIELD_CLI_HELP_H

#include "cli/command.h"

/* Everything about a command. */
void help_print(const command *of, FILE *to);

/* A row of two columns, as help has them: a name and what it means. */
void help_row(FILE *to, const char *name, int width, const char *meaning);

#endif
