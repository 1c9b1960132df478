/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The program: finds the command and runs it. */
#include <stdlib.h>
#include <string.h>

#include <gd.h>
#include <gsl/gsl_errno.h>

#include "cli/exits.h"
#include "cli/message.h"
#include "cli/options.h"
#include "cli/output.h"
#include "cli/system.h"
#include "core/memory.h"
#include "job/choice_words.h"

static const command *const commands[] = {
    &new_command,  &check_command, &plan_command, &map_command, &compare_command,
#ifndef SPOTFIELD_WITHOUT_PAGE
    &page_command, &bring_command,
#endif
};

enum { COMMANDS = sizeof commands / sizeof *commands, VERSION = 0 };

static void list_commands(FILE *to)
{
    fputs("\nCommands:\n", to);
    for (size_t i = 0; i < COMMANDS; i++) {
        char usage[40];
        snprintf(usage, sizeof usage, "%s %s", commands[i]->name, commands[i]->operands);
        help_row(to, usage, 20, commands[i]->summary);
    }
    fputs("\nMore about a command: spotfield help COMMAND\n", to);
}

static const option_row options[] = {
    [VERSION] = {"version", 'V', NULL, "show the version"},
    {0},
};

static const command program = {
    .name = "",
    .operands = "COMMAND ...",
    .about = "Turns a few temperatures read on a running circuit board into its heat map, and the "
             "map\ninto a verdict for each electrolytic capacitor: replace, check or leave.",
    .example = "spotfield new desk-supply && spotfield map desk-supply",
    .options = options,
    .more_help = list_commands,
};

static int show_usage(void)
{
    fprintf(stderr, "Usage: spotfield COMMAND ...\n");
    list_commands(stderr);
    fprintf(stderr, "Example: %s\n", program.example);
    return EX_USAGE;
}

static int show_version(void)
{
    printf("spotfield %s\nGPL-3.0-or-later; no warranty, to the extent permitted by law.\n",
           SPOTFIELD_VERSION);
    return EX_OK;
}

static int show_help(const command *of)
{
    help_print(of, stdout);
    return EX_OK;
}

static const command *find_command(const char *name)
{
    struct nearest nearest = {.typed = name};
    for (size_t i = 0; i < COMMANDS; i++) {
        if (strcmp(commands[i]->name, name) == 0)
            return commands[i];
        nearest_offer(&nearest, commands[i]->name);
    }
    tell_usage(&program, "unknown command %s; did you mean %s", name, nearest.name);
    return NULL;
}

/* `help`, `help COMMAND`: what --help shows. */
static int run_help(int argc, char **argv)
{
    if (argc > 2) {
        tell_usage(&program, "help takes one command, not %d", argc - 1);
        return EX_USAGE;
    }
    const command *of = argc < 2 ? &program : find_command(argv[1]);
    return of ? show_help(of) : EX_USAGE;
}

static int run_command(int argc, char **argv)
{
    given typed;
    if (strcmp(argv[0], "help") == 0)
        return run_help(argc, argv);
    const command *found = find_command(argv[0]);
    if (!found || !options_read(found, argc, argv, false, &typed))
        return EX_USAGE;
    return typed.help ? show_help(found) : found->run(&typed);
}

static int run_program(int argc, char **argv)
{
    given typed;
    if (argc < 2)
        return show_usage();
    if (!options_read(&program, argc, argv, true, &typed))
        return EX_USAGE;
    if (typed.help)
        return show_help(&program);
    if (typed.values[VERSION])
        return show_version();
    if (typed.first_operand >= argc)
        return show_usage();
    return run_command(argc - typed.first_operand, argv + typed.first_operand);
}

static void no_message(int priority, const char *format, va_list arguments)
{
    (void)priority;
    (void)format;
    (void)arguments;
}

int main(int argc, char **argv)
{
    memory_keep();
    system_begin();
    gdSetErrorMethod(no_message); /* what fails is told by the library's status */
    gsl_set_error_handler_off();
    output_open();
    return output_close(run_program(argc, argv));
}
