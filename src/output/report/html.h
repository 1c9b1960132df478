/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Words and numbers into a page. Everything that comes from a file or a computation goes through
 * these; text_add is for markup written in the source alone. */
#ifndef SPOTFIELD_OUTPUT_REPORT_HTML_H
#define SPOTFIELD_OUTPUT_REPORT_HTML_H

#include <stddef.h>

#include "core/text.h"

/* Words as text or inside a quoted attribute: markup characters become entities, control
 * characters their visible pictures, line breaks blanks; marks that would turn the direction of
 * the text around are shown by their code point, bytes that are not UTF-8 as U+FFFD. */
void html_text(text *into, const char *words);

/* A sentence that the library made: as html_text, with its signs set as by set_words. */
void html_sentence(text *into, const char *words);

/* Puts a no-break blank between each number and its unit in the words of a page. */
void html_keep_units(text *page);

/* A number with a true minus sign, or a dash that is read out as "not known". */
void html_number(text *into, double value, int decimals);

/* A probability in words and per cent, never as certain: "under 1 %", "37 %", "over 99 %". */
void html_chance(text *into, double probability);

/* "61.3 +/- 1.2" with one sign of both; the second part is left out where sd is not known. */
void html_estimate(text *into, double value, double sd, int decimals);

/* Markup with values in it, each told as above:
 *   %s     words, as html_text             %zu %d  a whole number
 *   %-s    a sentence, as html_sentence    %.1f    a number with so many decimals
 *   %g     a number with up to four decimals, as few as it needs
 *   %G     one without decimals, in groups of three digits
 *   %e     a share as a percentage without its sign: 0.2241 is 22, below ten with one decimal
 *   %a     a chance */
void html_addf(text *into, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A cell of a table that sorts by the value of its estimate. */
void html_cell_estimate(text *into, double value, double sd, int decimals);

/* The number a cell is sorted by, kept beside what is shown: " data-sort=\"12.5\"", with nothing
 * inside the quotes where the number is not known. */
void html_sort_key(text *into, double value);

/* A path as the address of a file beside the page: all but letters, digits, - . _ ~ and / by their
 * code (RFC 3986), so that none of it is taken for a scheme or a query. */
void html_path(text *into, const char *path);

/* A picture as a data: address. */
void html_png(text *into, const unsigned char *bytes, size_t count);

#endif
