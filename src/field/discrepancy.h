/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the whole model is off by: copper that no knot shows, heat that enters at leads and not over
 * an outline, losses that differ from place to place. A Gaussian process of its own (M. C. Kennedy,
 * A. O'Hagan, J. R. Stat. Soc. B 63 (2001) 425) in proportion to the rise, since a share of it is
 * never known: covariance d^2 m(x) m(y) M(|x - y| / l), m the rise expected at a place, M the
 * Matern function of order 3/2, (1 + a) exp(-a), a = sqrt(3) |x - y| / l. */
#ifndef SPOTFIELD_FIELD_DISCREPANCY_H
#define SPOTFIELD_FIELD_DISCREPANCY_H

#include "field/gaussian.h"

/* Adds M of places so far apart, times what each is scaled by and times `factor`, to one value
 * each.
 */
void discrepancy_add_row(const double *away_mm, double length_mm, const double *scale_k,
                         double factor, size_t count, double *row);

/* M of two places. */
double discrepancy_alike(sf_point one, sf_point other, double length_mm);

/* What the discrepancy of a reading is a share of. */
double discrepancy_scale_k(const fit_data *data, size_t reading);

/* Covariance of the field's discrepancy at a place of expected rise `rise_k` with a reading, K^2.
 */
double discrepancy_seen(const fit_data *data, const hyperparameters *at, sf_point place,
                        double rise_k, size_t reading);

/* Covariances of every node with a reading times `factor`, added to one value a node. */
void discrepancy_add(const fit_data *data, const hyperparameters *at, size_t reading, double factor,
                     double *values);

/* The discrepancy by few unknowns, for many readings: knots on a lattice, each an unknown of unit
 * sd; exact at the knots. What it leaves out between them is independent from place to place
 * (E. Snelson, Z. Ghahramani, Adv. Neural Inf. Process. Syst. 18 (2006) 1257). */
typedef struct discrepancy_knots {
    size_t count;
    sf_point *points;
    double *factor; /* count x count: lower Cholesky factor of M between the knots */
    double length_mm;
} discrepancy_knots;

#define DISCREPANCY_KNOTS_MOST 64

/* SF_ERROR_MEMORY, SF_ERROR_NUMERIC. Ended with discrepancy_knots_clear in any case. */
sf_status discrepancy_knots_lay(const grid *laid, double length_mm, discrepancy_knots *made);
void discrepancy_knots_clear(discrepancy_knots *made);

/* How much of each unknown a place of unit expected rise and share has, `row` of count values;
 * returns the share of the variance that is left out. */
double discrepancy_knots_at(const discrepancy_knots *of, sf_point place, double *row);

#endif
