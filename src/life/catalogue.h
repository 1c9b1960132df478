/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Values and ratings that capacitors are made in. */
#ifndef SPOTFIELD_LIFE_CATALOGUE_H
#define SPOTFIELD_LIFE_CATALOGUE_H

/* Values a decade of IEC 60063 series E3, E6 and E12. */
typedef enum series { SERIES_E3 = 3, SERIES_E6 = 6, SERIES_E12 = 12 } series;

/* Least preferred value of a series that is not below `value`, in any unit; a value within half a
 * percent of a preferred one counts as that. value above 0. */
double preferred_value(double value, series among);

/* Capacitance to buy in place of an old marking: of E6, or of E12 where E6 would raise it by more
 * than a fifth. NAN for NAN. */
double preferred_capacitance(double marked_uf);

/* Least voltage rating made that is not below the old one; the old one itself above the highest.
 * NAN for NAN. */
double preferred_voltage(double rated_v);

/* Least common endurance in hours that is not below the one needed; NAN where none is. */
double common_endurance(double needed_h);

/* The longest of them. */
double longest_endurance(void);

#endif
