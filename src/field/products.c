/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sums of products, by the widest registers that there are. */
#include "field/products.h"

#include "core/wide.h"

static inline void add_four(const double *a, const double *b, four *sum)
{
    four one, other;
    four_take(&one, a);
    four_take(&other, b);
    *sum += one * other;
}

/* Eight sums come together, and what `from` products left over. */
static inline double finish(const double *a, const double *b, size_t from, size_t count, four low,
                            four high)
{
    double first = low[0];
    for (size_t i = from; i < count; i++)
        first += a[i] * b[i];
    return ((first + high[0]) + (low[2] + high[2])) + ((low[1] + high[1]) + (low[3] + high[3]));
}

/* Eight sums, so that none waits for the one before. */
WIDE static double sum_of_products(const double *a, const double *b, size_t count)
{
    four low = {0}, high = {0};
    size_t i = 0;
    for (; i + 8 <= count; i += 8) {
        add_four(a + i, b + i, &low);
        add_four(a + i + 4, b + i + 4, &high);
    }
    return finish(a, b, i, count, low, high);
}

/* Of four rows, `stride` apart: to the last bit what each comes to alone. */
WIDE static void sums_of_rows(const double *a, const double *rows, size_t stride, size_t count,
                              double *sums)
{
    const double *b0 = rows, *b1 = b0 + stride, *b2 = b1 + stride, *b3 = b2 + stride;
    four l0 = {0}, l1 = {0}, l2 = {0}, l3 = {0}, h0 = {0}, h1 = {0}, h2 = {0}, h3 = {0};
    size_t i = 0;
    for (; i + 8 <= count; i += 8) {
        add_four(a + i, b0 + i, &l0);
        add_four(a + i + 4, b0 + i + 4, &h0);
        add_four(a + i, b1 + i, &l1);
        add_four(a + i + 4, b1 + i + 4, &h1);
        add_four(a + i, b2 + i, &l2);
        add_four(a + i + 4, b2 + i + 4, &h2);
        add_four(a + i, b3 + i, &l3);
        add_four(a + i + 4, b3 + i + 4, &h3);
    }
    sums[0] = finish(a, b0, i, count, l0, h0);
    sums[1] = finish(a, b1, i, count, l1, h1);
    sums[2] = finish(a, b2, i, count, l2, h2);
    sums[3] = finish(a, b3, i, count, l3, h3);
}

double dot(const double *a, const double *b, size_t count)
{
    return sum_of_products(a, b, count);
}

void dots(const double *a, const double *rows, size_t stride, size_t row_count, size_t count,
          double *sums)
{
    size_t row = 0;
    for (; row + 4 <= row_count; row += 4)
        sums_of_rows(a, rows + row * stride, stride, count, sums + row);
    for (; row < row_count; row++)
        sums[row] = dot(a, rows + row * stride, count);
}

enum { ROWS_AT_ONCE = 4 };

static inline double sum_four(const four *of)
{
    return ((*of)[0] + (*of)[2]) + ((*of)[1] + (*of)[3]);
}

/* Adds the products of both a and b with so many rows, `stride` apart: what is read of a row serves
 * twice. */
WIDE static void add_sums_of_two(const double *a, const double *b, const double *rows,
                                 size_t stride, size_t count, double *of_a, double *of_b)
{
    four with_a[ROWS_AT_ONCE] = {{0}}, with_b[ROWS_AT_ONCE] = {{0}};
    size_t i = 0;
    for (; i + 4 <= count; i += 4) {
        four one, other;
        four_take(&one, a + i);
        four_take(&other, b + i);
        for (int row = 0; row < ROWS_AT_ONCE; row++) {
            four values;
            four_take(&values, rows + (size_t)row * stride + i);
            with_a[row] += one * values;
            with_b[row] += other * values;
        }
    }
    for (int row = 0; row < ROWS_AT_ONCE; row++) {
        of_a[row] += sum_four(&with_a[row]);
        of_b[row] += sum_four(&with_b[row]);
        for (size_t at = i; at < count; at++) {
            of_a[row] += a[at] * rows[(size_t)row * stride + at];
            of_b[row] += b[at] * rows[(size_t)row * stride + at];
        }
    }
}

WIDE static void add_products(double *restrict sum, const double *restrict values, double factor,
                              size_t count)
{
    size_t i = 0;
    for (; i + 4 <= count; i += 4)
        for (int lane = 0; lane < 4; lane++)
            sum[i + lane] += factor * values[i + lane];
    for (; i < count; i++)
        sum[i] += factor * values[i];
}

void add_times(double *restrict sum, const double *restrict values, double factor, size_t count)
{
    add_products(sum, values, factor, count);
}

void add_dots_of_two(const double *a, const double *b, const double *rows, size_t stride,
                     size_t row_count, size_t count, double *of_a, double *of_b)
{
    size_t row = 0;
    for (; row + ROWS_AT_ONCE <= row_count; row += ROWS_AT_ONCE)
        add_sums_of_two(a, b, rows + row * stride, stride, count, of_a + row, of_b + row);
    for (; row < row_count; row++) {
        of_a[row] += dot(a, rows + row * stride, count);
        of_b[row] += dot(b, rows + row * stride, count);
    }
}
