/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Values that are made, comparisons for sorting, and the kits of several boards as one. */
#include "life/order.h"

#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"
#include "job/number.h"

/* --- what is made --- */

#define SAME_WITHIN 0.005
#define RISE_MAX 1.2

/* From makers' catalogues; 6.3 to 100 V hold the R5 series of IEC 60384-4. */
static const double voltages[] = {6.3, 10,  16,  25,  35,  50,  63,  80,
                                  100, 160, 200, 250, 350, 400, 450, 500};

/* Endurances of makers' catalogues, at 85 and at 105 C. */
static const double endurances[] = {1000, 2000, 3000, 5000, 7000, 10000};

#define COUNT(table) (sizeof(table) / sizeof((table)[0]))

/* First of a rising table that is not below the value; NAN where none is. */
static double next_in(const double *table, size_t count, size_t step, double value)
{
    for (size_t i = 0; i < count; i += step)
        if (table[i] >= value)
            return table[i];
    return NAN;
}

double preferred_value(double value, series among)
{
    double power = pow(10, floor(log10(value)));
    double least = value / power * (1 - SAME_WITHIN);
    return power * next_in(e12_decade, E12_VALUES + 1, SERIES_E12 / among, least);
}

double preferred_capacitance(double marked_uf)
{
    if (!(marked_uf > 0))
        return NAN;
    double usual_uf = preferred_value(marked_uf, SERIES_E6);
    return usual_uf <= RISE_MAX * marked_uf ? usual_uf : preferred_value(marked_uf, SERIES_E12);
}

double preferred_voltage(double rated_v)
{
    double made_v = next_in(voltages, COUNT(voltages), 1, rated_v);
    return isnan(made_v) ? rated_v : made_v;
}

double common_endurance(double needed_h)
{
    return next_in(endurances, COUNT(endurances), 1, needed_h);
}

double longest_endurance(void)
{
    return endurances[COUNT(endurances) - 1];
}

static bool digit(char character)
{
    return isdigit((unsigned char)character) != 0;
}

/* Compares two runs of digits of any length and moves both pointers past them. */
static int compare_digits(const char **a, const char **b)
{
    *a += strspn(*a, "0");
    *b += strspn(*b, "0");
    size_t a_length = strspn(*a, "0123456789"), b_length = strspn(*b, "0123456789");
    int order = a_length == b_length ? strncmp(*a, *b, a_length) : a_length < b_length ? -1 : 1;
    *a += a_length;
    *b += b_length;
    return order;
}

int ref_compare(const char *a, const char *b)
{
    const char *from_a = a, *from_b = b;
    while (*from_a && *from_b) {
        int order = 0;
        if (digit(*from_a) && digit(*from_b))
            order = compare_digits(&from_a, &from_b);
        else
            order = (unsigned char)*from_a++ - (unsigned char)*from_b++;
        if (order != 0)
            return order;
    }
    /* one is the start of the other, or they differ in leading zeros only */
    int rest = (unsigned char)*from_a - (unsigned char)*from_b;
    return rest != 0 ? rest : strcmp(a, b);
}

static int number_compare(double a, double b)
{
    if (isnan(a) || isnan(b))
        return isnan(a) - isnan(b);
    return (a > b) - (a < b);
}

int kit_line_compare(const void *a, const void *b)
{
    const sf_kit_line *one = a, *other = b;
    const int orders[] = {
        number_compare(one->capacitance_uf, other->capacitance_uf),
        number_compare(one->rated_v, other->rated_v),
        number_compare(one->diameter_mm_max, other->diameter_mm_max),
        (int)one->type - (int)other->type,
        (int)one->low_esr - (int)other->low_esr,
        (int)one->mount - (int)other->mount,
        number_compare(one->lead_pitch_mm, other->lead_pitch_mm),
        number_compare(one->rated_c, other->rated_c),
    };
    size_t at = 0;
    while (at + 1 < sizeof orders / sizeof *orders && orders[at] == 0)
        at++;
    return orders[at];
}

static int compare(const void *a, const void *b)
{
    const replacement *left = a, *right = b;
    int order = kit_line_compare(&left->line, &right->line);
    return order != 0 ? order : ref_compare(left->part->ref, right->part->ref);
}

void replacements_sort(replacement *list, size_t count)
{
    qsort(list, count, sizeof *list, compare);
}

/* --- lines alike of several kits become one --- */

/* What it holds from now on, where there was memory for it. */
static sf_status replace_text(char **held, char *by)
{
    if (!by)
        return SF_ERROR_MEMORY;
    free(*held);
    *held = by;
    return SF_OK;
}

static sf_status widen(sf_kit_line *into, const char *board, const sf_kit_line *by)
{
    into->count += by->count;
    into->endurance_h = fmax(into->endurance_h, by->endurance_h);
    into->height_mm_max = fmin(into->height_mm_max, by->height_mm_max);
    into->ripple_a_min = fmax(into->ripple_a_min, by->ripple_a_min);
    into->esr_ohm_max = fmin(into->esr_ohm_max, by->esr_ohm_max);
    sf_status status =
        replace_text(&into->refs, text_format("%s; %s: %s", into->refs, board, by->refs));
    if (status == SF_OK && by->note[0] && !strstr(into->note, by->note))
        status = replace_text(
            &into->note, text_format("%s%s%s", into->note, into->note[0] ? "; " : "", by->note));
    return status;
}

static sf_status append(kit_join *into, const char *board, const sf_kit_line *line)
{
    sf_kit_line *made =
        array_add(&into->kit.lines, &into->kit.count, &into->capacity, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    *made = *line;
    made->description = NULL; /* written at the end */
    made->refs = text_format("%s: %s", board, line->refs);
    made->note = text_copy(line->note);
    return made->refs && made->note ? SF_OK : SF_ERROR_MEMORY;
}

sf_status kit_join_line(kit_join *into, const char *board, const sf_kit_line *line)
{
    for (size_t i = 0; i < into->kit.count; i++)
        if (kit_line_compare(&into->kit.lines[i], line) == 0)
            return widen(&into->kit.lines[i], board, line);
    return append(into, board, line);
}

sf_status kit_join_end(kit_join *into, double spare_pct)
{
    sf_status status = SF_OK;
    if (into->kit.count > 0)
        qsort(into->kit.lines, into->kit.count, sizeof *into->kit.lines, kit_line_compare);
    for (size_t i = 0; i < into->kit.count && status == SF_OK; i++) {
        sf_kit_line *line = &into->kit.lines[i];
        line->spares = kit_spares(line->count, spare_pct);
        status = replace_text(&line->description, kit_line_describe(line));
    }
    return status;
}

void kit_lines_clear(sf_kit *of)
{
    for (size_t i = 0; i < of->count; i++) {
        free(of->lines[i].refs);
        free(of->lines[i].note);
        free(of->lines[i].description);
    }
    free(of->lines);
}

void kit_join_clear(kit_join *discarded)
{
    kit_lines_clear(&discarded->kit);
    *discarded = (kit_join){0};
}
