/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Values of the JSON that commands and page write; each is new, NULL when memory is short. */
#ifndef SPOTFIELD_CORE_JSON_VALUES_H
#define SPOTFIELD_CORE_JSON_VALUES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include <jansson.h>

#include "spotfield/diagnostic.h"

/* null where it is not finite. */
json_t *value_number(double value);
json_t *value_count(size_t value);

/* Words from a file or the command line: where they are no UTF-8, a byte above
 * ASCII reads as a question mark. */
json_t *value_words(const char *said);

/* The name of a file in a folder. */
json_t *value_path(const char *folder, const char *name);

/* Adds to an array that may have failed already; answers it, or NULL. Takes both over. */
json_t *list_append(json_t *array, json_t *added);

/* Each diagnostic as the line that a person would read. */
json_t *list_diagnostics(const sf_diagnostics *diagnostics);

/* The whole on one line, its numbers to so many digits; NULL passes through. New text, freed with
 * free(); NULL when memory is short. */
char *json_text(const json_t *whole, int digits);

/* Writes the whole, NULL where it failed already, and a line end, and frees it. False when memory
 * is short or `to` took no more. */
bool json_write(json_t *whole, FILE *to);

#endif
