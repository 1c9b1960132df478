/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Comparisons for sorting. */
#include "life/order.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

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

static int compare_numbers(double a, double b)
{
    if (isnan(a) || isnan(b))
        return isnan(a) - isnan(b);
    return (a > b) - (a < b);
}

int replacement_compare_kind(const replacement *a, const replacement *b)
{
    int order = compare_numbers(a->capacitance_uf, b->capacitance_uf);
    if (order == 0)
        order = compare_numbers(a->rated_v, b->rated_v);
    if (order == 0)
        order = compare_numbers(a->part->diameter_mm, b->part->diameter_mm);
    if (order == 0)
        order = (int)a->part->type - (int)b->part->type;
    if (order == 0)
        order = (int)a->part->low_esr - (int)b->part->low_esr;
    if (order == 0)
        order = (int)a->part->mount - (int)b->part->mount;
    if (order == 0)
        order = compare_numbers(a->part->lead_pitch_mm, b->part->lead_pitch_mm);
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
