/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was understood of a job, in words: a heading and its line for each kind of input. */
#include "cli/told.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort.h>

#include "cli/message.h"
#include "core/digits.h"
#include "core/memory.h"

/* Nothing where the number is not known. */
static void put_known(FILE *to, const char *before, double value, const char *after)
{
    if (!isnan(value))
        fprintf(to, "%s%s%s", before, number_told(value).bytes, after);
}

/* --- the board --- */

static void put_board(const sf_board *board, FILE *to)
{
    say(to, "Board         %s", board->name[0] ? board->name : "without a name");
    put_known(to, ", ", board->width_mm, " x ");
    put_known(to, "", board->height_mm, " mm");
    fprintf(to, "\nLaminate      %s, %.6g mm, ", sf_laminate_text(board->laminate),
            board->thickness_mm);
    put_count(to, (size_t)board->copper_layers, "copper layer", "copper layers");
    fprintf(to,
            " of %.6g um, covering %.6g %%\n"
            "Air           %s, %.6g C at the bench, %.6g +/- %.6g C in service\n",
            board->copper_thickness_um, 100 * board->copper_cover, sf_air_text(board->air),
            board->ambient_c, board->service_ambient_c, board->service_ambient_sd_k);
}

static void put_people(const sf_board *board, FILE *to)
{
    if (board->machine[0])
        say(to, "Machine       %s\n", board->machine);
    if (board->owner[0])
        say(to, "Owner         %s\n", board->owner);
    if (board->technician[0])
        say(to, "Technician    %s\n", board->technician);
}

static void put_use(const sf_board *board, FILE *to)
{
    fputs("Use           ", to);
    put_known(to, "run ", board->run_hours, " h");
    if (isnan(board->run_hours_sd))
        put_known(to, " +/- ", isnan(board->run_hours) ? (double)NAN : board->run_hours_sd_pct,
                  " %");
    put_known(to, " +/- ", board->run_hours_sd, " h");
    fputs(isnan(board->run_hours) ? "run hours not known" : "", to);
    if (board->made_year > 0)
        fprintf(to, ", made in %d", board->made_year);
    if (board->surveyed[0])
        fprintf(to, ", surveyed %s", board->surveyed);
    put_known(to, ", ", board->hours_per_year, " h a year");
    put_known(to, ", ", board->service_goal_h, " h still to run");
    putc('\n', to);
}

static void put_rings(const sf_job *job, FILE *to)
{
    fprintf(to, "Outline       edge with %zu corners, ", job->rings[0].count);
    put_count(to, job->ring_count - 1, "cut-out or slot", "cut-outs or slots");
    fputs("\nNo-touch      ", to);
    if (job->keepout_told)
        put_count(to, job->keepout_count, "area", "areas");
    else
        fputs("not given: where are mains and high voltage?", to);
    for (size_t i = 0; i < job->keepout_count; i++)
        say(to, "%s%s", i == 0 ? ": " : ", ",
            job->keepouts[i].reason[0] ? job->keepouts[i].reason : "no reason given");
    putc('\n', to);
}

static void put_sources(const sf_job *job, FILE *to)
{
    size_t powered = 0;
    for (size_t i = 0; i < job->source_count; i++)
        powered += !isnan(job->sources[i].power_w);
    fprintf(to, "Sources       %zu listed, %zu with a power given, %zu without\n",
            job->source_count, powered, job->source_count - powered);
}

/* --- readings --- */

static size_t count_readings(const sf_observation *observations, size_t count, sf_method method,
                             sf_spot spot)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++)
        found += observations[i].method == method && observations[i].spot == spot;
    return found;
}

static void put_kinds(const sf_observation *observations, size_t count, FILE *to)
{
    for (int method = 0; method < SF_METHOD_COUNT; method++)
        for (int spot = 0; spot < SF_SPOT_COUNT; spot++) {
            size_t found = count_readings(observations, count, (sf_method)method, (sf_spot)spot);
            if (found > 0)
                fprintf(to, "              %zu by %s on %s\n", found,
                        sf_method_text((sf_method)method), sf_spot_text((sf_spot)spot));
        }
}

static int compare_texts(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

/* Ids that several rows share. False when memory is short. */
static bool count_series(const sf_job *job, size_t *series)
{
    const char **ids = array_new(job->reading_count, sizeof *ids);
    *series = 0;
    if (!ids)
        return false;
    for (size_t i = 0; i < job->reading_count; i++)
        ids[i] = job->readings[i].id;
    qsort(ids, job->reading_count, sizeof *ids, compare_texts);
    for (size_t i = 1; i < job->reading_count; i++)
        *series += strcmp(ids[i], ids[i - 1]) == 0 && (i == 1 || strcmp(ids[i], ids[i - 2]) != 0);
    free(ids);
    return true;
}

static void put_rises(const sf_observation *observations, size_t count, FILE *to)
{
    const sf_observation *coldest = NULL, *hottest = NULL;
    for (size_t i = 0; i < count; i++) {
        if (!coldest || observations[i].rise_k < coldest->rise_k)
            coldest = &observations[i];
        if (!hottest || observations[i].rise_k > hottest->rise_k)
            hottest = &observations[i];
    }
    if (hottest)
        say(to, "Rise          %.1f K at %s to %.1f K at %s above the air at the bench\n",
            coldest->rise_k, coldest->id, hottest->rise_k, hottest->id);
}

static bool put_readings(const sf_job *job, const sf_observation *observations, size_t count,
                         FILE *to)
{
    size_t fitted = 0, series = 0;
    if (!count_series(job, &series))
        return false;
    for (size_t i = 0; i < count; i++)
        fitted += observations[i].in_fit;
    if (job->reading_count == 0) {
        fputs("Readings      none\n", to);
        return true;
    }
    fprintf(to, "Readings      %zu from %zu rows, ", count, job->reading_count);
    put_count(to, series, "warm-up series", "warm-up series");
    fprintf(to, ", %zu in the fit\n", fitted);
    put_kinds(observations, count, to);
    put_rises(observations, count, to);
    return true;
}

/* --- the thermogram --- */

static void put_marks(const sf_pixels *pixels, FILE *to)
{
    fprintf(to, "Marks         %zu, ", pixels->mark_count);
    if (pixels->mark_count == 4) {
        fputs("which always fit: a fifth would show a slip\n", to);
        return;
    }
    fputs("each off by", to);
    for (size_t i = 0; i < pixels->mark_count; i++)
        fprintf(to, "%s%.1f", i == 0 ? " " : ", ", pixels->mark_residual_mm[i]);
    fprintf(to, " mm; root mean square %.1f mm\n", pixels->marks_rms_mm);
}

static void put_bodies(const sf_pixels *pixels, FILE *to)
{
    for (size_t i = 0; i < pixels->body_count; i++) {
        const sf_body *body = &pixels->bodies[i];
        say(to, "%s%s, %s: %.1f C, from %zu pixels in the middle of its top\n",
            i == 0 ? "Bodies        " : "              ", body->ref,
            body->is_part ? "part" : "source", body->temp_c, body->pixels);
    }
}

static told_number pixels_told(size_t count)
{
    return whole_told((double)count);
}

static void put_thermogram(const sf_job *job, const sf_pixels *pixels, FILE *to)
{
    if (!pixels)
        return;
    fprintf(to,
            "Thermogram    %zu x %zu pixels, each %.2f mm wide on the board; %.0f %% of the board "
            "in view%s\n"
            "              %s show bare board, %.1f to %.1f C, and are in the fit\n",
            job->thermogram.columns, job->thermogram.rows, pixels->pixel_mm, 100 * pixels->covered,
            pixels->from_below ? " from the solder side" : "", pixels_told(pixels->count).bytes,
            pixels->least_c, pixels->most_c);
    fprintf(to,
            "              %s left out: %s on or beside parts and sources, %s off the board, %s "
            "masked, "
            "%s too cold for a board, %s blank\n",
            pixels_told(pixels->left_out).bytes, pixels_told(pixels->on_bodies).bytes,
            pixels_told(pixels->off_board).bytes, pixels_told(pixels->masked).bytes,
            pixels_told(pixels->cold).bytes, pixels_told(pixels->blank).bytes);
    put_marks(pixels, to);
    put_bodies(pixels, to);
}

/* --- parts --- */

static bool put_grades(const sf_job *job, FILE *to)
{
    double *grades_c = array_new(job->part_count, sizeof *grades_c);
    if (!grades_c)
        return false;
    for (size_t i = 0; i < job->part_count; i++)
        grades_c[i] = job->parts[i].rated_c;
    gsl_sort(grades_c, 1, job->part_count);
    for (size_t i = 0, same; i < job->part_count; i += same) {
        for (same = 1; i + same < job->part_count && grades_c[i + same] == grades_c[i];)
            same++;
        fprintf(to, ", %zu of %.6g C", same, grades_c[i]);
    }
    free(grades_c);
    return true;
}

static bool put_parts(const sf_job *job, FILE *to)
{
    size_t critical = 0, unmarked = 0, measured = 0;
    for (size_t i = 0; i < job->part_count; i++) {
        critical += job->parts[i].critical;
        unmarked += isnan(job->parts[i].endurance_h);
        measured += !isnan(job->parts[i].measured_uf) || !isnan(job->parts[i].measured_esr_ohm);
    }
    fputs("Parts         ", to);
    put_count(to, job->part_count, "capacitor", "capacitors");
    if (!put_grades(job, to))
        return false;
    fprintf(to, "\n              %zu critical, %zu with endurance not marked, %zu measured\n",
            critical, unmarked, measured);
    return true;
}

static void put_past(const sf_job *job, FILE *to)
{
    double hours = 0;
    for (size_t i = 0; i < job->period_count; i++)
        hours += job->periods[i].hours;
    fputs("History       ", to);
    if (job->period_count == 0)
        fputs("none: all hours counted at the service air and the load of the readings\n", to);
    else {
        fprintf(to, "%zu periods, ", job->period_count);
        put_known(to, "", hours, " h together\n");
    }
    fputs("Controls      ", to);
    put_count(to, job->control_count, "new part", "new parts");
    fputs(" read on the same meter\n", to);
}

/* --- what the files do not say --- */

static void put_policy(const sf_policy *policy, FILE *to)
{
    const char *heading = "Policy        ";
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++) {
        double value;
        memcpy(&value, (const char *)policy + key->offset, sizeof value);
        if (value == key->usual)
            continue;
        fprintf(to, "%s%s %s %s instead of %s\n", heading, key->key, number_told(value).bytes,
                key->unit, number_told(key->usual).bytes);
        heading = "              ";
    }
    if (heading[0] != ' ')
        fprintf(to, "%severy value at its default\n", heading);
}

static void put_assumptions(const sf_job *job, FILE *to)
{
    if (job->assumption_count == 0)
        fputs("Assumed       nothing: every value comes from the files\n", to);
    for (size_t i = 0; i < job->assumption_count; i++)
        say(to, "%s%s\n", i == 0 ? "Assumed       " : "              ", job->assumptions[i]);
}

bool understood_print(const understood *found, FILE *to)
{
    const sf_job *job = found->job;
    put_board(&job->board, to);
    put_use(&job->board, to);
    put_people(&job->board, to);
    put_rings(job, to);
    put_sources(job, to);
    if (!put_readings(job, found->observations, found->observation_count, to))
        return false;
    put_thermogram(job, found->pixels, to);
    if (!put_parts(job, to))
        return false;
    put_past(job, to);
    put_policy(&job->policy, to);
    put_assumptions(job, to);
    return true;
}
