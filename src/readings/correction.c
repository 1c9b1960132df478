/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How the correction of readings tells a fault and goes on. */
#include "readings/correction.h"

#include <math.h>
#include <stdio.h>

#include "core/diagnose.h"
#include "spotfield/reading.h"

const range board_c = {-40, 400, "C"};
const range air_c = {SF_AIR_C_MIN, SF_AIR_C_MAX, "C"};
const range emissivities = {SF_EMISSIVITY_MIN, 1, ""};

bool range_holds(range in, double value)
{
    return value >= in.least && value <= in.most;
}

void correction_tell(correction *run, sf_severity severity, const char *file, size_t line,
                     const char *column, char *what, const char *expected)
{
    if (severity == SF_ERROR && run->status == SF_OK)
        run->status = SF_ERROR_DATA;
    if (diagnose_taking(run->diagnostics, severity, file, line, column, what, expected) != SF_OK)
        run->status = SF_ERROR_MEMORY;
}

void correction_refuse_range(correction *run, const char *file, size_t line, const char *column,
                             char *what, range in)
{
    char expected[80];
    snprintf(expected, sizeof expected, "a number from %.10g to %.10g%s%s", in.least, in.most,
             in.unit[0] ? " " : "", in.unit);
    correction_tell(run, SF_ERROR, file, line, column, what, expected);
}

void correction_refuse(correction *run, size_t line, const char *column, char *what,
                       const char *expected)
{
    correction_tell(run, SF_ERROR, "readings.csv", line, column, what, expected);
}

void correction_warn(correction *run, size_t line, const char *column, char *what,
                     const char *expected)
{
    correction_tell(run, SF_WARNING, "readings.csv", line, column, what, expected);
}

void correction_refuse_policy(correction *run, const char *key, char *what, const char *expected)
{
    correction_tell(run, SF_ERROR, "policy.csv", 0, key, what, expected);
}

/* --- uncertainty of what an instrument showed --- */

#define BIT(choice) (1u << (choice))
#define ANY_SPOT (BIT(SF_SPOT_BOARD) | BIT(SF_SPOT_PART) | BIT(SF_SPOT_SOURCE))
#define ANY_BEAD                                                                                   \
    (BIT(SF_METHOD_THERMOCOUPLE_K) | BIT(SF_METHOD_THERMOCOUPLE_J) | BIT(SF_METHOD_THERMOCOUPLE_T))

/* Every row that meets method and spot counts, in quadrature. A limit is the half width of a
 * rectangular distribution, the greater of limit_k and limit_share of the shown temperature;
 * rise_share is a standard uncertainty. */
static const struct contribution {
    unsigned methods, spots;
    double limit_k, limit_share;
    double rise_share;
} contributions[] = {
    /* IEC 60584-1, tolerance class 2, type K: 2.5 C or 0.0075 |t| */
    {BIT(SF_METHOD_THERMOCOUPLE_K), ANY_SPOT, 2.5, 0.0075, 0},
    /* IEC 60584-1, tolerance class 2, type J: 2.5 C or 0.0075 |t| */
    {BIT(SF_METHOD_THERMOCOUPLE_J), ANY_SPOT, 2.5, 0.0075, 0},
    /* IEC 60584-1, tolerance class 2, type T: 1.0 C or 0.0075 |t| */
    {BIT(SF_METHOD_THERMOCOUPLE_T), ANY_SPOT, 1.0, 0.0075, 0},
    /* handheld infrared thermometers, 2 K or 2 %: common practice, no source */
    {BIT(SF_METHOD_INFRARED), ANY_SPOT, 2.0, 0.02, 0},
    /* judgement: by how a bead is taped, its wire laid along the surface, it is 3 % of the rise
     * uncertain, beside what all beads show too little */
    {ANY_BEAD, ANY_SPOT, 0, 0, 0.03},
    /* judgement: an infrared spot of some centimetres averages the board about it */
    {BIT(SF_METHOD_INFRARED), BIT(SF_SPOT_BOARD), 0, 0, 0.03},
    /* judgement: the same spot overlaps the rim of a can or body; a fifth of the spot
     * beside it, at half the rise, costs a tenth of the rise */
    {BIT(SF_METHOD_INFRARED), BIT(SF_SPOT_PART) | BIT(SF_SPOT_SOURCE), 0, 0, 0.08},
};

doubt doubt_by_default(sf_method method, sf_spot spot, double shown_c)
{
    doubt sum = {0, 0};
    for (size_t i = 0; i < sizeof contributions / sizeof contributions[0]; i++) {
        const struct contribution *row = &contributions[i];
        if (!(row->methods & BIT(method)) || !(row->spots & BIT(spot)))
            continue;
        double limit_k = fmax(row->limit_k, row->limit_share * fabs(shown_c));
        sum.instrument_sd_k = hypot(sum.instrument_sd_k, limit_k / sqrt(3));
        sum.rise_share = hypot(sum.rise_share, row->rise_share);
    }
    return sum;
}

/* Tables of painted and plastic surfaces agree within some 0.03. Bare metal runs from 0.04
 * polished to 0.3 oxidised (aluminium, handbook emissivity tables): half that width over sqrt 3. */
double doubt_of_emissivity(double emissivity)
{
    return emissivity < EMISSIVITY_LEAST ? 0.075 : 0.03;
}

double sf_rated_core_rise_k(double rated_c)
{
    return rated_c >= 105 ? 5 : 10;
}

double doubt_of_mask_k(double temp_c, double mirrored_c)
{
    return infrared_k_per_emissivity(temp_c, EMISSIVITY_OF_MASK, mirrored_c) *
           doubt_of_emissivity(EMISSIVITY_OF_MASK);
}
