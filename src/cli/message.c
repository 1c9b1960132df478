/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Everything that is said on standard error, and the exit statuses that go with it. */
#include "cli/message.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/exits.h"
#include "core/folders.h"
#include "core/memory.h"
#include "core/text.h"

enum { SHOWN_MAX = 50 };

static const char red[] = "\033[1;31m", yellow[] = "\033[1;33m", plain[] = "\033[0m";

int exit_status(sf_status status)
{
    static const int statuses[SF_STATUS_COUNT] = {
        [SF_OK] = EX_OK,
        [SF_ERROR_ARGUMENT] = EX_SOFTWARE, /* options are checked before the library is called */
        [SF_ERROR_MEMORY] = EX_SOFTWARE,
        [SF_ERROR_MISSING] = EX_NOINPUT,
        [SF_ERROR_DATA] = EX_DATAERR,
        [SF_ERROR_WRITE] = EX_CANTCREAT,
        [SF_ERROR_NUMERIC] = EX_SOFTWARE,
        [SF_ERROR_SOLVE] = EX_SOFTWARE,
    };
    return status < SF_STATUS_COUNT ? statuses[status] : EX_SOFTWARE;
}

static bool is_control(const unsigned char *at)
{
    /* U+0080 to U+009F, which some terminals obey, are C2 80 to C2 9F in UTF-8 */
    return at[0] < 0x20 || at[0] == 0x7F || (at[0] == 0xC2 && at[1] >= 0x80 && at[1] < 0xA0);
}

void put_words(FILE *to, const char *words)
{
    for (const unsigned char *at = (const unsigned char *)words; *at; at++) {
        bool control = is_control(at);
        putc(control ? ' ' : *at, to);
        at += control && at[0] == 0xC2;
    }
}

/* Writes the next value as the conversion at `spec` says; answers what stands behind that. */
static const char *say_value(FILE *to, const char *spec, va_list *values)
{
    char alone[16];
    size_t length = 1 + strcspn(spec + 1, "sdufg%") + 1;
    snprintf(alone, sizeof alone, "%.*s", (int)length, spec);
    switch (spec[length - 1]) {
    case 's':
        put_words(to, va_arg(*values, const char *));
        break;
    case 'd':
        fprintf(to, alone, va_arg(*values, int));
        break;
    case 'u':
        fprintf(to, alone, va_arg(*values, size_t));
        break;
    case '%':
        putc('%', to);
        break;
    default:
        fprintf(to, alone, va_arg(*values, double));
    }
    return spec + length;
}

void say(FILE *to, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    for (const char *rest = format; *rest;) {
        size_t length = strcspn(rest, "%");
        fwrite(rest, 1, length, to);
        rest += length;
        if (*rest)
            rest = say_value(to, rest, &values);
    }
    va_end(values);
}

void put_path(FILE *to, const char *what, const char *folder, const char *name)
{
    char *path = path_join(folder, name);
    say(to, "%s%s\n", what, path ? path : name);
    free(path);
}

void put_count(FILE *to, size_t count, const char *one, const char *many)
{
    fprintf(to, "%zu %s", count, count == 1 ? one : many);
}

void put_caution(FILE *to)
{
    fputs(
        "Caution: guidance for maintenance, not a safety certificate. Mains and high voltage can "
        "kill even when switched off. Isolate the supply; discharge the capacitors and prove them "
        "dead before you touch. Local codes and licensed practice come first.\n",
        to);
}

void tell_usage(const command *of, const char *format, ...)
{
    char words[1024];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(words, sizeof words, format, arguments);
    va_end(arguments);
    const char *space = of->name[0] ? " " : "";
    fprintf(stderr, "spotfield%s%s: ", space, of->name);
    put_words(stderr, words);
    fprintf(stderr, "\nTry: spotfield%s%s --help\n", space, of->name);
}

/* https://no-color.org: set and not empty means no colour. */
static bool colour_wanted(void)
{
    const char *refused = getenv("NO_COLOR"), *terminal = getenv("TERM");
    bool dumb = !terminal || strcmp(terminal, "dumb") == 0;
    return isatty(STDERR_FILENO) && !dumb && !(refused && refused[0]);
}

static bool colour_kept;

void colour_keep(void)
{
    colour_kept = colour_wanted();
}

/* Where the file is, freed with free(); NULL when memory is short. */
static char *path_of(const char *file, const char *folder)
{
    bool placed = !folder || !file[0] || strcmp(file, folder) == 0;
    return placed ? text_copy(file) : path_join(folder, file);
}

/* Bytes of the line of a diagnostic that say where. */
static size_t place_length(const sf_diagnostic *diagnostic)
{
    char number[32] = "";
    if (diagnostic->line > 0)
        snprintf(number, sizeof number, ":%zu", diagnostic->line);
    return strlen(diagnostic->file) + strlen(number);
}

static void tell_one(const sf_diagnostic *diagnostic, const char *folder, bool coloured)
{
    sf_diagnostic told = *diagnostic;
    char *path = path_of(diagnostic->file, folder);
    told.file = path ? path : diagnostic->file;
    char *line = sf_diagnostic_text(&told);
    size_t place = place_length(&told);
    if (line && coloured && place > 0) {
        char after = line[place];
        line[place] = '\0';
        fputs(told.severity == SF_ERROR ? red : yellow, stderr);
        put_words(stderr, line);
        fputs(plain, stderr);
        line[place] = after;
        put_words(stderr, line + place);
    } else {
        put_words(stderr, line ? line : diagnostic->what);
    }
    putc('\n', stderr);
    free(line);
    free(path);
}

static size_t tell_all(const sf_diagnostics *diagnostics, sf_severity severity, const char *folder,
                       size_t room)
{
    bool coloured = colour_kept || colour_wanted();
    size_t shown = 0;
    for (size_t i = 0; i < diagnostics->count && shown < room; i++) {
        if (diagnostics->items[i].severity != severity)
            continue;
        tell_one(&diagnostics->items[i], folder, coloured);
        shown++;
    }
    return shown;
}

/* Diagnostics, errors first, at most 50 of them, then the count of the rest. File names are put
 * behind `folder` so that an editor finds them; NULL: they are paths already. With errors_only
 * warnings are passed over. Colour marks the place on a terminal, unless NO_COLOR is set. */
static void tell_diagnostics(const sf_diagnostics *diagnostics, const char *folder,
                             bool errors_only)
{
    size_t total = diagnostics->error_count + (errors_only ? 0 : diagnostics->warning_count);
    size_t shown = tell_all(diagnostics, SF_ERROR, folder, SHOWN_MAX);
    if (!errors_only)
        shown += tell_all(diagnostics, SF_WARNING, folder, SHOWN_MAX - shown);
    if (total > shown)
        fprintf(stderr, "and %zu more\n", total - shown);
}

static void tell_count(const sf_diagnostics *diagnostics)
{
    fprintf(stderr, "%zu error%s", diagnostics->error_count,
            diagnostics->error_count == 1 ? "" : "s");
    if (diagnostics->warning_count > 0)
        fprintf(stderr, ", %zu warning%s", diagnostics->warning_count,
                diagnostics->warning_count == 1 ? "" : "s");
    putc('\n', stderr);
}

void tell_outcome(const command *of, sf_status status, const sf_diagnostics *diagnostics,
                  const char *folder, bool errors_only)
{
    tell_diagnostics(diagnostics, folder, errors_only);
    if (status == SF_OK)
        return;
    fprintf(stderr, "spotfield %s: ", of->name);
    if (diagnostics->error_count > 0)
        tell_count(diagnostics);
    else
        fprintf(stderr, "%s\n", sf_status_text(status));
}

int memory_short(const command *of)
{
    tell_outcome(of, SF_ERROR_MEMORY, &(sf_diagnostics){0}, NULL, false);
    return exit_status(SF_ERROR_MEMORY);
}
