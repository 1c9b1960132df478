/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Copper that conducts more here and less there, and what that changes of a field. The conductance
 * departs from its mean by an unknown share at each knot of a lattice, and is interpolated between
 * knots. To first order a share xi on a link of conductance g between two nodes of rises u and v
 * moves the heat xi g (v - u) from one to the other: the field changes as if heat were added at one
 * node and taken from the other. That acts where the field is steep, beside hot parts. */
#ifndef SPOTFIELD_FIELD_COPPER_H
#define SPOTFIELD_FIELD_COPPER_H

#include "field/balance.h"
#include "field/grid.h"

#define COPPER_KNOTS_MOST 120

typedef struct copper_lattice {
    const grid *laid;
    size_t columns, knots;
    size_t *knot_of_link; /* per link: the lower left of the four knots about it */
    double *weights;      /* four a link: of the knots, their squares' sum 1 */
    double *drop_k;       /* per link: rise of its second node less that of its first */
} copper_lattice;

/* Lays knots 20 mm apart or less, farther apart on a large board; the drops are 0, so that nothing
 * changes before a field is taken. SF_ERROR_MEMORY. *made is ended with copper_lattice_clear in any
 * case.
 */
sf_status copper_lattice_lay(const grid *laid, copper_lattice *made);
void copper_lattice_clear(copper_lattice *made);

/* Takes the drops of a field, one rise a node. */
void copper_take_field(copper_lattice *of, const double *rise_k);

/* How much places change with the share of each knot: rows of knots, kelvin. `adjoint` is that of
 * each place, `rows` rows of nodes. */
void copper_at_knots(const copper_lattice *of, double length_mm, const double *adjoint, size_t rows,
                     double *change_k);

/* Adds the heat that moves at the given share of each knot, times `factor`, to one value a node. */
void copper_add_heat(const copper_lattice *of, double length_mm, const double *shares,
                     double factor, double *heat);

/* The field that a unit share at each knot makes, knots rows of nodes; `matrix` is factored for the
 * length. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status copper_fields(const copper_lattice *of, balance *matrix, double length_mm,
                        double *fields);

#endif
