/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cells of the result tables. A cell is written with a comma after it; the end of the row turns
 * the last comma into a line feed. */
#include "output/csv.h"

#include <string.h>

#include "core/digits.h"

static bool reads_as_formula(const char *words)
{
    return words[0] != '\0' && strchr("=+-@\t\r\n", words[0]) != NULL;
}

/* Separators of other locales and outer blanks are quoted too: some readers would split or trim. */
static bool needs_quotes(const char *words)
{
    size_t length = strlen(words);
    return strpbrk(words, "\",;\t\r\n") != NULL ||
           (length > 0 && (words[0] == ' ' || words[length - 1] == ' '));
}

void csv_text(text *into, const char *words)
{
    bool quoted = needs_quotes(words);
    if (quoted)
        text_add(into, "\"");
    if (reads_as_formula(words))
        text_add(into, "'");
    for (const char *rest = words; *rest;) {
        size_t plain = strcspn(rest, "\"");
        text_add_bytes(into, rest, plain);
        rest += plain;
        if (*rest == '"') {
            text_add(into, "\"\"");
            rest++;
        }
    }
    text_add(into, quoted ? "\"," : ",");
}

void csv_number(text *into, double value, int decimals)
{
    number_add(into, value, decimals);
    text_add(into, ",");
}

void csv_significant(text *into, double value, int digits)
{
    number_add_significant(into, value, digits);
    text_add(into, ",");
}

void csv_short(text *into, double value)
{
    number_add_short(into, value);
    text_add(into, ",");
}

void csv_count(text *into, size_t count)
{
    text_addf(into, "%zu,", count);
}

void csv_yes_no(text *into, bool yes)
{
    text_add(into, yes ? "yes," : "no,");
}

void csv_end_row(text *into)
{
    if (!into->failed && into->length > 0)
        into->bytes[into->length - 1] = '\n';
}
