/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spotfield bring JOB FILE...: what people have of a board, into a job. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/exits.h"
#include "cli/message.h"
#include "cli/options.h"
#include "core/memory.h"
#include "job/choice_words.h"
#include "job/number.h"
#include "page/bring_write.h"
#include "page/job_json.h"

enum { WRITE, UNIT, Y_DOWN, ORIGIN, CHANNEL, METHOD };

static const option_row options[] = {
    [WRITE] = {"write", 'w', NULL, "write the rows; without this they are only shown"},
    [UNIT] = {"unit", 'u', "UNIT", "unit of the places: mm, mil or in (as the file says, else mm)"},
    [Y_DOWN] = {"y-down", 0, NULL, "y counts downwards in the placement files"},
    [ORIGIN] = {"origin", 0, "POINT", "X,Y in mm: the board's lower-left corner in the file"},
    [CHANNEL] = {"channel", 'c', "PLACE",
                 "NAME=X,Y in mm of a logger channel; NAME=X,Y,C7 on can C7"},
    [METHOD] = {"method", 0, "METHOD", "method of the logger's channels (thermocouple-K)"},
    {0},
};

/* What was typed, and the texts that were cut for it. */
typedef struct wanted {
    bring_options options;
    bring_channel channels[BRING_CHANNELS_MOST];
    char *texts[BRING_CHANNELS_MOST];
    size_t count;
    const char *method;
} wanted;

static bool is_number(const char *word)
{
    struct number number;
    return number_read(word, false, &number) == NUMBER_FINE;
}

/* Cuts "NAME=X,Y" or "NAME=X,Y,PART"; false where it is neither. */
static bool cut_channel(char *words, bring_channel *into)
{
    char *equals = strrchr(words, '='), *y = equals ? strchr(equals, ',') : NULL;
    if (!y || equals == words)
        return false;
    *equals = *y++ = '\0';
    char *part = strchr(y, ',');
    if (part)
        *part++ = '\0';
    *into = (bring_channel){words, equals + 1, y, part ? part : "", false};
    return is_number(into->x_mm) && is_number(into->y_mm);
}

static bool read_channels(const given *typed, wanted *into)
{
    for (size_t i = 0; i < typed->all_count; i++) {
        if (typed->all[i].row != CHANNEL)
            continue;
        const char *words = typed->all[i].value;
        char *copy = into->count < BRING_CHANNELS_MOST ? text_copy(words) : NULL;
        if (copy)
            into->texts[into->count] = copy;
        if (!copy || !cut_channel(copy, &into->channels[into->count++])) {
            tell_usage(&bring_command,
                       "--channel %s: expected NAME=X,Y or NAME=X,Y,PART, %d at most", words,
                       BRING_CHANNELS_MOST);
            return false;
        }
    }
    into->options.channels = into->channels;
    into->options.channel_count = into->count;
    return true;
}

static bool read_origin(const char *words, bring_options *into)
{
    char *copy = text_copy(words), *comma = copy ? strchr(copy, ',') : NULL;
    struct number x, y;
    bool sound = comma != NULL;
    if (comma)
        *comma = '\0';
    sound = sound && number_read(copy, false, &x) == NUMBER_FINE &&
            number_read(comma + 1, false, &y) == NUMBER_FINE;
    if (sound) {
        into->origin_x_mm = x.value;
        into->origin_y_mm = y.value;
    } else {
        tell_usage(&bring_command, "--origin %s: expected X,Y in mm", words);
    }
    free(copy);
    return sound;
}

static bool read_typed(const given *typed, wanted *into)
{
    double one = 1;
    int method = 0;
    into->options.origin_x_mm = into->options.origin_y_mm = NAN;
    into->options.unit = typed->values[UNIT];
    into->options.y_down = typed->values[Y_DOWN] != NULL;
    into->method = typed->values[METHOD] ? typed->values[METHOD] : "thermocouple-K";
    if (into->options.unit && !unit_convert("mm", into->options.unit, &one)) {
        tell_usage(&bring_command, "--unit %s: expected mm, mil or in", into->options.unit);
        return false;
    }
    if (!word_value(method_words, into->method, &method)) {
        char known[256];
        word_list(method_words, known, sizeof known);
        tell_usage(&bring_command, "--method %s: expected %s", into->method, known);
        return false;
    }
    return (!typed->values[ORIGIN] || read_origin(typed->values[ORIGIN], &into->options)) &&
           read_channels(typed, into);
}

/* --- said --- */

static void print_items(const bring *of, item_kind kind, const char *title)
{
    bool begun = false;
    for (size_t i = 0; i < of->item_count; i++) {
        const bring_item *item = &of->items[i];
        if (item->kind != kind || item->kept || isnan(item->x_mm))
            continue;
        if (!begun)
            printf("\n%s\n", title);
        begun = true;
        fputs("  ", stdout);
        put_words(stdout, item->ref);
        printf(" at %.4g, %.4g mm: ", item->x_mm, item->y_mm);
        put_words(stdout, item->value);
        fputs(", ", stdout);
        put_words(stdout, item->package);
        putchar('\n');
    }
}

static void print_unplaced(const bring *of)
{
    enum { NAMED = 12 };
    size_t named = 0;
    if (of->unplaced == 0)
        return;
    printf("%zu without a place, left out:", of->unplaced);
    for (size_t i = 0; i < of->item_count && named < NAMED; i++) {
        const bring_item *item = &of->items[i];
        bool counted = item->kind == ITEM_CAPACITOR || item->kind == ITEM_SOURCE;
        if (!counted || !isnan(item->x_mm))
            continue;
        putchar(' ');
        put_words(stdout, item->ref);
        named++;
    }
    puts(named < of->unplaced ? " ..." : "");
}

static void print_left(const bring *of)
{
    size_t kept = 0;
    for (size_t i = 0; i < of->item_count; i++)
        kept += of->items[i].kept;
    if (kept > 0)
        printf("%zu already in the job, kept unchanged\n", kept);
    print_unplaced(of);
    if (of->solder_side > 0)
        printf("%zu on the solder side, placed as seen from the top\n", of->solder_side);
    for (size_t i = 0; i < of->told_count; i++) {
        put_words(stdout, of->told[i]);
        putchar('\n');
    }
}

static void print_found(const bring *of)
{
    size_t capacitors = 0, sources = 0;
    for (size_t i = 0; i < of->item_count; i++) {
        capacitors += of->items[i].kind == ITEM_CAPACITOR;
        sources += of->items[i].kind == ITEM_SOURCE;
    }
    put_count(stdout, capacitors, "electrolytic capacitor, ", "electrolytic capacitors, ");
    put_count(stdout, sources, "likely source, ", "likely sources, ");
    put_count(stdout, of->reading_count, "reading, ", "readings, ");
    put_count(stdout, of->lines_lost, "line not understood\n", "lines not understood\n");
    print_left(of);
    print_items(of, ITEM_CAPACITOR, "To parts.csv:");
    print_items(of, ITEM_SOURCE, "To sources.csv, without watts: strike out what stays cold");
    bring_counts counts = bring_count(of);
    printf("\nparts.csv gets %zu, sources.csv %zu, readings.csv %zu rows.\n", counts.parts,
           counts.sources, counts.readings);
}

static void print_end(const bring *of, bool written)
{
    bring_counts counts = bring_count(of);
    if (counts.parts + counts.sources + counts.readings == 0)
        fputs("There is nothing to write.\n", stdout);
    else if (written)
        fputs("Written; the page can undo it in one step.\n", stdout);
    else
        fputs("Nothing is written yet: give the command again with --write.\n", stdout);
}

/* --- run --- */

static sf_status bring_all(const given *typed, const wanted *as, sf_diagnostics *diagnostics)
{
    bring brought = {.folder = typed->operands[0], .options = as->options};
    bool write = typed->values[WRITE] != NULL;
    sf_status status =
        bring_read(&brought, typed->operands + 1, typed->operand_count - 1, diagnostics);
    if (status == SF_OK)
        print_found(&brought);
    if (status == SF_OK && write)
        status = bring_write(&brought, as->method, diagnostics);
    tell_outcome(&bring_command, status, diagnostics, NULL, false);
    if (status == SF_OK)
        print_end(&brought, write);
    bring_free(&brought);
    return status;
}

static bool is_job_json(const char *file)
{
    size_t length = strlen(file);
    return length > 5 && strcmp(file + length - 5, ".json") == 0;
}

static void print_tables(const job_tables *of, bool written)
{
    for (size_t i = 0; i < JOB_TABLES; i++)
        if (of->bytes[i].length > 0)
            printf("%s: %zu rows\n", job_table_names[i], of->rows[i]);
    puts(written ? "Written." : "Nothing is written yet: give the command again with --write.");
}

/* A whole job, into a folder that has none. */
static sf_status bring_job(const given *typed, sf_diagnostics *diagnostics)
{
    job_tables taken;
    bool write = typed->values[WRITE] != NULL;
    sf_status status = job_json_read(typed->operands[1], &taken, diagnostics);
    if (status == SF_OK && write)
        status = job_tables_write(typed->operands[0], &taken, diagnostics);
    tell_outcome(&bring_command, status, diagnostics, NULL, false);
    if (status == SF_OK)
        print_tables(&taken, write);
    job_tables_clear(&taken);
    return status;
}

static int run(const given *typed)
{
    wanted as = {0};
    sf_diagnostics diagnostics = {0};
    int status = EX_USAGE;
    if (read_typed(typed, &as))
        status = exit_status(typed->operand_count == 2 && is_job_json(typed->operands[1])
                                 ? bring_job(typed, &diagnostics)
                                 : bring_all(typed, &as, &diagnostics));
    sf_diagnostics_clear(&diagnostics);
    for (size_t i = 0; i < as.count; i++)
        free(as.texts[i]);
    return status;
}

const command bring_command = {
    .name = "bring",
    .operands = "JOB FILE...",
    .operand_count = 2,
    .operands_go_on = true,
    .summary = "bring placement files, parts lists and logger files into a job",
    .about = "Reads placement files of layout tools, parts lists and logger files, all as CSV, and "
             "shows\nwhat the job JOB would get of them: electrolytic capacitors, likely heat "
             "sources, warm-up\nseries. Nothing already in the job is changed. One file that ends "
             "in .json is a whole\njob, as check --export prints it, for a folder without one.",
    .example = "spotfield bring desk-supply placement.csv parts-list.csv --write",
    .options = options,
    .run = run,
};
