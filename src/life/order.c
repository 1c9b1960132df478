/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Comparisons for sorting. */
#include "life/order.h"

#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

/* --- what is made --- */

#define SAME_WITHIN 0.005
#define RISE_MAX 1.2

/* IEC 60063, E12; every second is of E6, every fourth of E3. */
static const double decade[] = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2, 10.0};

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
    return power * next_in(decade, COUNT(decade), SERIES_E12 / among, least);
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

int number_compare(double a, double b)
{
    if (isnan(a) || isnan(b))
        return isnan(a) - isnan(b);
    return (a > b) - (a < b);
}

int replacement_compare_kind(const replacement *a, const replacement *b)
{
    int order = number_compare(a->capacitance_uf, b->capacitance_uf);
    if (order == 0)
        order = number_compare(a->rated_v, b->rated_v);
    if (order == 0)
        order = number_compare(a->part->diameter_mm, b->part->diameter_mm);
    if (order == 0)
        order = (int)a->part->type - (int)b->part->type;
    if (order == 0)
        order = (int)a->part->low_esr - (int)b->part->low_esr;
    if (order == 0)
        order = (int)a->part->mount - (int)b->part->mount;
    if (order == 0)
        order = number_compare(a->part->lead_pitch_mm, b->part->lead_pitch_mm);
    return order;
}

static int compare(const void *a, const void *b)
{
    const replacement *left = a, *right = b;
    int order = replacement_compare_kind(left, right);
    return order != 0 ? order : ref_compare(left->part->ref, right->part->ref);
}

void replacements_sort(replacement *list, size_t count)
{
    qsort(list, count, sizeof *list, compare);
}
