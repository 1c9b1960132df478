/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The words that stand for choices in the files, and the known word that a mistyped one means. */
#ifndef SPOTFIELD_JOB_CHOICE_WORDS_H
#define SPOTFIELD_JOB_CHOICE_WORDS_H

#include <stdbool.h>
#include <stddef.h>

/* Start as { typed, NULL, 0 }, offer every known name, then read `name`: the one with the least
 * edit distance, the first of several; NULL where none was offered. Letter case does not count. */
struct nearest {
    const char *typed;
    const char *name;
    size_t distance;
};

void nearest_offer(struct nearest *nearest, const char *name);

/* A list ends with a NULL text. The first word of a value is the one that is written; further ones
 * are only taken. */
struct word {
    const char *text;
    int value;
};

extern const struct word laminate_words[];
extern const struct word air_words[];
extern const struct word mount_words[];
extern const struct word method_words[];
extern const struct word unit_words[];
extern const struct word temperature_words[]; /* those of unit_words that are temperatures */
extern const struct word spot_words[];
extern const struct word side_words[];
extern const struct word condition_words[];
extern const struct word part_type_words[];
extern const struct word form_words[];
extern const struct word yes_no_words[]; /* 1 and 0 */

/* Letter case does not count. */
bool word_value(const struct word *words, const char *text, int *value);

/* The word that a mistyped one most likely means. */
const char *word_nearest(const struct word *words, const char *text);

/* "" where no word has the value. */
const char *word_text(const struct word *words, int value);

/* Writes the words that are written, as "still, enclosed or forced". */
void word_list(const struct word *words, char *list, size_t size);

#endif
