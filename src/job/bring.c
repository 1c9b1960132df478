/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads what is brought: the job's own references, then each file by what its columns are. */
#include "job/bring.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/memory.h"
#include "job/files.h"
#include "job/rows.h"

/* What the job has already; that it may have faults is told by `check`. */
static void read_job(struct intake *intake, bring *into)
{
    sf_diagnostics *diagnostics = intake->diagnostics, dropped = {0};
    sf_job *job = intake->job;
    intake->diagnostics = &dropped;
    void *parts = NULL, *sources = NULL, *readings = NULL;
    board_file_read(intake);
    rows_read(intake, &part_kind, &parts, &job->part_count);
    job->parts = parts;
    rows_read(intake, &source_kind, &sources, &job->source_count);
    job->sources = sources;
    rows_read(intake, &reading_kind, &readings, &job->reading_count);
    job->readings = readings;
    into->board_width_mm = job->board.width_mm;
    into->board_height_mm = job->board.height_mm;
    intake->file_missing = false;
    intake->diagnostics = diagnostics;
    sf_diagnostics_clear(&dropped);
}

static void read_file(struct intake *intake, bring *into, const char *file)
{
    bring_sheet sheet;
    if (bring_open(intake, file, &sheet) == FILE_READ) {
        if (bring_is_logger(&sheet))
            bring_logger(intake, into, &sheet);
        else
            bring_placement(intake, into, &sheet);
    }
    table_free(&sheet.table);
}

static void tell_lost_channels(struct intake *intake, const bring *of)
{
    for (size_t i = 0; i < of->options.channel_count; i++)
        if (!of->channels[i].found)
            diagnose_error(intake, (where){"--channel", 0, ""},
                           "the name of a column of a logger file", "no file has a channel \"%s\"",
                           excerpt_of(of->channels[i].name).text);
}

/* --- what a thing is, by its reference, its package and its words: an electrolytic capacitor, a
 * likely heat source, or neither; references are lettered as IEC 60617 and common practice have it,
 * the rules are judgements, and what they leave open is told --- */

/* Ceramic and film capacitors of less than this are never taken for electrolytic ones. */
#define ELECTROLYTIC_UF_LEAST 1.0
#define POWER_W_LEAST 1.0

static bool is_lettered(const char *ref, const char *letters)
{
    size_t length = strlen(letters);
    return strncasecmp(ref, letters, length) == 0 && isdigit((unsigned char)ref[length]);
}

static bool is_lettered_any(const char *ref, const char *const *letters)
{
    for (; *letters; letters++)
        if (is_lettered(ref, *letters))
            return true;
    return false;
}

static bool says_any(const bring_item *item, const char *const *words)
{
    for (; *words; words++)
        if (words_have(item->value, *words) || words_have(item->words, *words) ||
            words_have(item->package, *words))
            return true;
    return false;
}

static item_kind capacitor_kind(const bring_item *item)
{
    static const char *const others[] = {"ceramic",       "X7R",  "X5R",  "C0G",
                                         "NP0",           "MLCC", "film", "polyester",
                                         "polypropylene", "mica", NULL};
    static const char *const electrolytic[] = {"electrolytic", "elko",     "polarized", "polarised",
                                               "aluminium",    "aluminum", "polymer",   "tantalum",
                                               "bipolar",      NULL};
    bool large = item->said.capacitance_uf >= ELECTROLYTIC_UF_LEAST;
    if (item->body.polarized || says_any(item, electrolytic))
        return ITEM_CAPACITOR;
    if (item->body.chip || says_any(item, others))
        return ITEM_OTHER;
    if (large && !isnan(item->said.rated_v))
        return ITEM_CAPACITOR;
    bool unknown = isnan(item->said.capacitance_uf) && item->value[0] && !item->package[0];
    return large || item->said.milli || unknown ? ITEM_UNSURE : ITEM_OTHER;
}

static bool is_source(const bring_item *item)
{
    static const char *const active[] = {"Q", "T", "U", "IC", "VR", "TR", "V", "N", NULL};
    static const char *const rectifiers[] = {"D", "BR", "DB", "BD", "GR", NULL};
    static const char *const bridges[] = {"bridge", "diode_bridge", "rectifier", NULL};
    static const char *const wound[] = {"transformer", "trafo", NULL};
    static const char *const regulators[] = {"regulator", NULL};
    if (says_any(item, wound) || is_lettered(item->ref, "TR"))
        return true;
    if (is_lettered_any(item->ref, rectifiers))
        return item->body.power || says_any(item, bridges);
    if (is_lettered(item->ref, "R"))
        return item->body.power || item->said.power_w >= POWER_W_LEAST;
    return is_lettered_any(item->ref, active) && (item->body.power || says_any(item, regulators));
}

static bool is_capacitor(const bring_item *item)
{
    static const char *const letters[] = {"C", "CE", "EC", "CP", NULL};
    return is_lettered_any(item->ref, letters) || item->body.polarized;
}

static bool has_ref(const sf_job *job, const char *ref)
{
    for (size_t i = 0; i < job->part_count; i++)
        if (job->parts[i].ref && strcmp(job->parts[i].ref, ref) == 0)
            return true;
    for (size_t i = 0; i < job->source_count; i++)
        if (job->sources[i].ref && strcmp(job->sources[i].ref, ref) == 0)
            return true;
    return false;
}

/* Where a part of the job is told otherwise by what is brought. */
static void tell_conflict(struct intake *intake, const bring_item *item)
{
    const sf_job *job = intake->job;
    for (size_t i = 0; i < job->part_count; i++) {
        const sf_part *part = &job->parts[i];
        if (!part->ref || strcmp(part->ref, item->ref) != 0)
            continue;
        bool moved = hypot(part->x_mm - item->x_mm, part->y_mm - item->y_mm) > 1;
        bool other =
            fabs(part->capacitance_uf - item->said.capacitance_uf) > 1e-6 * part->capacitance_uf ||
            fabs(part->rated_v - item->said.rated_v) > 1e-6;
        if (moved || other)
            diagnose_warning(intake, (where){item->file, item->line, ""}, "",
                             "%s is already in parts.csv with another %s, and stays as it is there",
                             excerpt_of(item->ref).text, moved ? "place" : "value");
    }
}

static void judge(struct intake *intake, bring_item *item)
{
    package_words_read(item->package, &item->body);
    if (is_capacitor(item))
        item->kind = capacitor_kind(item);
    else if (is_source(item))
        item->kind = ITEM_SOURCE;
    item->kept = has_ref(intake->job, item->ref);
}

static void tell_of(struct intake *intake, bring *into, const bring_item *item)
{
    where at = {item->file, item->line, ""};
    if (item->kind == ITEM_UNSURE) {
        diagnose_warning(
            intake, at, "a package, a voltage or a word that says which kind it is",
            "%s, \"%s\": nothing says whether it is an electrolytic capacitor, so it is ignored",
            excerpt_of(item->ref).text, excerpt_of(item->value).text);
        into->lines_lost++;
    } else if (item->kind == ITEM_SOURCE && isnan(item->body.length_mm * item->body.width_mm) &&
               !item->kept) {
        diagnose_warning(
            intake, at, "width_mm and height_mm in sources.csv, by your ruler",
            "%s is a likely heat source, but its package \"%s\" does not give its size",
            excerpt_of(item->ref).text, excerpt_of(item->package).text);
    }
    if (item->kept)
        tell_conflict(intake, item);
}

static void bring_judge(struct intake *intake, bring *into)
{
    for (size_t i = 0; i < into->item_count; i++) {
        bring_item *item = &into->items[i];
        judge(intake, item);
        tell_of(intake, into, item);
        bool wanted = item->kind == ITEM_CAPACITOR || item->kind == ITEM_SOURCE;
        into->solder_side += wanted && item->solder_side;
        into->unplaced += wanted && isnan(item->x_mm);
    }
}

static void read_all(struct intake *intake, bring *into, const char *const *files, size_t count)
{
    for (size_t i = 0; i < into->options.channel_count; i++)
        into->channels[i] = into->options.channels[i];
    into->unit[0] = 'C';
    read_job(intake, into);
    for (size_t i = 0; i < count && !intake->memory_short; i++)
        read_file(intake, into, files[i]);
    if (intake->memory_short)
        return;
    tell_lost_channels(intake, into);
    bring_settle_places(intake, into);
    bring_judge(intake, into);
}

sf_status bring_read(bring *into, const char *const *files, size_t count,
                     sf_diagnostics *diagnostics)
{
    struct intake intake = {.job = array_new(1, sizeof(sf_job)), .diagnostics = diagnostics};
    if (!intake.job)
        return SF_ERROR_MEMORY;
    into->board_width_mm = into->board_height_mm = NAN;
    if (intake_open(&intake)) {
        intake.job->folder = keep_text(&intake, into->folder);
        if (!intake.memory_short)
            read_all(&intake, into, files, count);
    }
    sf_status status = intake_close(&intake);
    sf_job_free(intake.job);
    return status;
}

void bring_free(bring *ended)
{
    for (size_t i = 0; i < ended->item_count; i++) {
        free(ended->items[i].ref);
        free(ended->items[i].value);
        free(ended->items[i].package);
        free(ended->items[i].words);
    }
    free(ended->items);
    free(ended->readings);
    ended->items = NULL;
    ended->readings = NULL;
    ended->item_count = ended->reading_count = 0;
}
