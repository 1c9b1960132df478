/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Refuses a field that is physically impossible. Readings are held to what a board stands before
 * they come here; powers and footprints are not, and watts that were milliwatts make a field of
 * thousands. */
#include "field/plausible.h"

#include <math.h>

#include "core/diagnose.h"
#include "core/text.h"

/* Copper melts at 1,085 C (handbooks, from memory), and laminate is long gone by then. */
#define RISE_MOST_K 1000.0

static size_t hottest_node(const grid *laid, const double *rise_k)
{
    size_t hottest = 0;
    for (size_t node = 1; node < laid->nodes; node++)
        if (fabs(rise_k[node]) > fabs(rise_k[hottest]))
            hottest = node;
    return hottest;
}

/* The listed source that makes most of the heat; NULL where none is listed. */
static const sf_source *strongest_source(const sf_field_input *input, const model_result *result)
{
    size_t strongest = 0;
    for (size_t j = 1; j < input->source_count && j < result->source_count; j++)
        if (fabs(result->sources[j].rise_k.value) > fabs(result->sources[strongest].rise_k.value))
            strongest = j;
    return input->source_count > 0 && result->source_count > 0 ? &input->sources[strongest] : NULL;
}

typedef struct blame {
    const char *file, *column, *expected;
} blame;

/* A blank cell is to blame for nothing. */
static blame to_blame(const sf_source *source)
{
    if (!source)
        return (blame){"readings.csv", "value", "readings that one board can give"};
    if (isnan(source->power_w))
        return (blame){"sources.csv", "", "the place and size of its body in millimetres"};
    return (blame){"sources.csv", "power_w",
                   "heat in watts, and the size of the body in millimetres"};
}

sf_status plausible_check(const sf_field_input *input, const grid *laid, const model_result *result,
                          sf_diagnostics *diagnostics)
{
    size_t node = hottest_node(laid, result->mean.rise_k), cell = laid->cell_of_node[node];
    double rise_k = result->mean.rise_k[node];
    if (fabs(rise_k) <= RISE_MOST_K)
        return SF_OK;
    const sf_source *source = strongest_source(input, result);
    const blame on = to_blame(source);
    char *what = text_format("the map reaches %.3g K over air at (%.1f, %.1f), where copper melts",
                             rise_k, cell_x_mm(laid, cell), cell_y_mm(laid, cell));
    sf_status status = diagnose_taking(diagnostics, SF_ERROR, on.file, source ? source->line : 0,
                                       on.column, what, on.expected);
    return status == SF_OK ? SF_ERROR_DATA : status;
}
