/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Usage and help, made from the tables of the commands. */

#include <stdio.h>
#include <string.h>

#include "cli/options.h"

enum { NAME_BYTES = 40 };

static void write_name(const option_row *option, char name[NAME_BYTES])
{
    char letter[] = "-x, ";
    letter[1] = option->letter;
    snprintf(name, NAME_BYTES, "%s--%s%s%s", option->letter ? letter : "    ", option->name,
             option->value ? " " : "", option->value ? option->value : "");
}

static int widest_name(const command *of)
{
    char name[NAME_BYTES];
    write_name(&help_option, name);
    size_t widest = strlen(name);
    for (const option_row *option = of->options; option->name; option++) {
        write_name(option, name);
        widest = strlen(name) > widest ? strlen(name) : widest;
    }
    return (int)widest;
}

void help_row(FILE *to, const char *name, int width, const char *meaning)
{
    fprintf(to, "  %-*s  %s\n", width, name, meaning);
}

static void print_options(const command *of, FILE *to)
{
    char name[NAME_BYTES];
    int width = widest_name(of);
    fputs("\nOptions:\n", to);
    for (const option_row *option = of->options; option->name; option++) {
        write_name(option, name);
        help_row(to, name, width, option->meaning);
    }
    write_name(&help_option, name);
    help_row(to, name, width, help_option.meaning);
}

static void print_statuses(FILE *to)
{
    fputs("\nExit status: 0 done, 64 usage, 65 bad data, 66 input missing, 70 internal, 73 cannot "
          "write.\n",
          to);
}

void help_print(const command *of, FILE *to)
{
    fprintf(to, "Usage: spotfield%s%s [OPTION]... %s\n\n%s\n\nExample:\n  %s\n",
            of->name[0] ? " " : "", of->name, of->operands, of->about, of->example);
    print_options(of, to);
    if (of->more_help)
        of->more_help(to);
    print_statuses(to);
}
