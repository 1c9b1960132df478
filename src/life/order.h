/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is bought, and the order of the lists: parts by what is bought for them, references as
 * people count. */
#ifndef SPOTFIELD_LIFE_ORDER_H
#define SPOTFIELD_LIFE_ORDER_H

#include "spotfield/life.h"

/* A part to replace, and what it becomes. */
typedef struct replacement {
    const sf_part *part;
    const sf_part_result *result;
    sf_kit_line line; /* what is bought for it, its kind alone: preferred values, NAN unknown */
} replacement;

/* Less than, equal to or greater than 0 as reference a comes before, with or after b: runs of
 * digits count as numbers, so that C3 stands before C17. */
int ref_compare(const char *a, const char *b);

/* The same for what is bought, by its kind: capacitance, voltage, diameter, type, ESR class, mount,
 * lead pitch, and by its grade, since the hours of two grades do not compare; NAN last. One height
 * fits all of a kind, the lowest. */
int kit_line_compare(const void *one, const void *other);

/* By kind, then by reference. */
void replacements_sort(replacement *list, size_t count);

/* Endurance at a grade that lasts the service goal and the kit's margin where a part stands; NAN
 * without a goal. A ripple above the rating costs life; one below it earns none, the new rating is
 * not known. */
double needed_endurance_h(const sf_job *job, const sf_part *part, const sf_part_result *result,
                          double grade_c);

/* --- values and ratings that capacitors are made in --- */

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

/* --- the kits of several boards as one --- */

/* A kit under way; start as { 0 }, end with kit_join_clear. Only its lines are filled. */
typedef struct kit_join {
    sf_kit kit;
    size_t capacity;
} kit_join;

/* Adds a line of a board's kit, whose references follow the board's name. It joins a line of the
 * same kind and grade, of which the longer endurance, the lower can, the greater ripple and the
 * lesser ESR are asked for then, so that it fits each position. SF_ERROR_MEMORY. */
sf_status kit_join_line(kit_join *into, const char *board, const sf_kit_line *line);

/* Ends the adding: spares by the count of each line, and its words. SF_ERROR_MEMORY. */
sf_status kit_join_end(kit_join *into, double spare_pct);
void kit_join_clear(kit_join *discarded);

/* Frees the lines of a kit. */
void kit_lines_clear(sf_kit *of);

/* A share of a count, rounded up. */
size_t kit_spares(size_t count, double spare_pct);

/* As a buyer searches for it; new text, NULL when memory is short. */
char *kit_line_describe(const sf_kit_line *line);

#endif
