/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Words and numbers into a page. */
#include "output/report/html.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "core/digits.h"
#include "core/text.h"
#include "output/set_words.h"

/* Marks of the Unicode bidirectional algorithm (UAX 9). */
static bool turns_direction(uint32_t code)
{
    return (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069) ||
           code == 0x200E || code == 0x200F || code == 0x061C;
}

static const char *entity(uint32_t code)
{
    switch (code) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    case '\t':
    case '\n':
    case '\r':
        return " ";
    default:
        return NULL;
    }
}

static void add_character(text *into, const char *at, size_t length)
{
    uint32_t code = utf8_code((const unsigned char *)at, length);
    if (entity(code))
        text_add(into, entity(code));
    else if (code < 0x20)
        text_addf(into, "&#x%X;", 0x2400 + (unsigned)code); /* control pictures */
    else if (code == 0x7F)
        text_add(into, "&#x2421;");
    else if (code >= 0x80 && code < 0xA0)
        text_add(into, "&#xFFFD;");
    else if (turns_direction(code))
        text_addf(into, "[U+%04X]", (unsigned)code);
    else
        text_add_bytes(into, at, length);
}

void html_text(text *into, const char *words)
{
    const char *end = words + strlen(words);
    for (const char *rest = words; rest < end;) {
        size_t length = utf8_length((const unsigned char *)rest, (const unsigned char *)end);
        if (length == 0)
            text_add(into, "&#xFFFD;");
        else
            add_character(into, rest, length);
        rest += length ? length : 1;
    }
}

void html_sentence(text *into, const char *words)
{
    text set = {0};
    set_words(&set, words);
    if (set.bytes)
        html_text(into, set.bytes);
    into->failed = into->failed || set.failed;
    text_clear(&set);
}

/* where the tag, or the style, ends that begins at `rest` */
static const char *end_of_tag(const char *rest)
{
    bool style = strncmp(rest, "<style", 6) == 0;
    const char *end = style ? strstr(rest, "</style>") : strchr(rest, '>');
    return end ? end + (style ? 8 : 1) : rest + strlen(rest);
}

void html_keep_units(text *page)
{
    text kept = {0};
    const char *words = page->bytes, *from = words, *rest = words;
    if (page->failed || !words)
        return;
    while (*rest) {
        if (*rest == '<') {
            rest = end_of_tag(rest);
        } else if (keeps_unit(words, rest)) {
            text_add_bytes(&kept, from, (size_t)(rest - from));
            text_add(&kept, "\u00A0");
            from = ++rest;
        } else {
            rest++;
        }
    }
    text_add(&kept, from);
    text_clear(page);
    *page = kept;
}

static void add_unknown(text *into)
{
    text_add(into, "<span class=\"unknown\"><span aria-hidden=\"true\">&#8211;</span>"
                   "<span class=\"spoken\">not known</span></span>");
}

static void add_signed(text *into, double value, int decimals)
{
    told_number told = fixed_told(value, decimals);
    bool negative = told.bytes[0] == '-';
    text_add(into, negative ? "\u2212" : "");
    text_add(into, told.bytes + negative);
}

void html_number(text *into, double value, int decimals)
{
    if (isfinite(value))
        add_signed(into, value, decimals);
    else
        add_unknown(into);
}

static void html_short(text *into, double value)
{
    if (isfinite(value))
        text_add(into, number_told(value).bytes);
    else
        add_unknown(into);
}

static void html_grouped(text *into, double value)
{
    if (isfinite(value))
        text_add(into, whole_told(value).bytes);
    else
        add_unknown(into);
}

static void html_percent(text *into, double share)
{
    html_number(into, share * 100, share < 0.0995 && share != 0 ? 1 : 0);
}

void html_chance(text *into, double probability)
{
    if (probability < 0.01)
        text_add(into, "under 1 %");
    else if (probability > 0.99)
        text_add(into, "over 99 %");
    else
        html_number(into, probability * 100, 0);
    if (probability >= 0.01 && probability <= 0.99)
        text_add(into, " %");
}

void html_estimate(text *into, double value, double sd, int decimals)
{
    html_number(into, value, decimals);
    if (!isfinite(value) || !isfinite(sd))
        return;
    text_add(into, "<span class=\"sd\"> \u00B1 ");
    number_add(into, sd, decimals);
    text_add(into, "</span>");
}

/* Adds the next value as the conversion says; answers where that ends. */
static const char *add_value(text *into, const char *conversion, va_list *values)
{
    int decimals = 0;
    if (*conversion == '.') {
        decimals = conversion[1] - '0';
        conversion += 2;
    }
    switch (*conversion) {
    case 's':
        html_text(into, va_arg(*values, const char *));
        break;
    case '-':
        html_sentence(into, va_arg(*values, const char *));
        return conversion + 2;
    case 'z':
        text_addf(into, "%zu", va_arg(*values, size_t));
        return conversion + 2;
    case 'd':
        text_addf(into, "%d", va_arg(*values, int));
        break;
    case 'f':
        html_number(into, va_arg(*values, double), decimals);
        break;
    case 'g':
        html_short(into, va_arg(*values, double));
        break;
    case 'G':
        html_grouped(into, va_arg(*values, double));
        break;
    case 'e':
        html_percent(into, va_arg(*values, double));
        break;
    case 'a':
        html_chance(into, va_arg(*values, double));
        break;
    default:
        text_add(into, "%");
    }
    return conversion + 1;
}

void html_addf(text *into, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    for (const char *rest = format; *rest;) {
        size_t plain = strcspn(rest, "%");
        text_add_bytes(into, rest, plain);
        rest += plain;
        if (*rest == '%')
            rest = add_value(into, rest + 1, &values);
    }
    va_end(values);
}

void html_sort_key(text *into, double value)
{
    text_add(into, " data-sort=\"");
    number_add_significant(into, value, 9);
    text_add(into, "\"");
}

void html_cell_estimate(text *into, double value, double sd, int decimals)
{
    text_add(into, "<td class=\"number\"");
    html_sort_key(into, value);
    text_add(into, ">");
    html_estimate(into, value, sd, decimals);
    text_add(into, "</td>");
}

void html_path(text *into, const char *path)
{
    for (const unsigned char *at = (const unsigned char *)path; *at; at++) {
        bool plain = (*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z') ||
                     (*at >= '0' && *at <= '9') || strchr("-._~/", *at);
        text_addf(into, plain ? "%c" : "%%%02X", (unsigned)*at);
    }
}

void html_png(text *into, const unsigned char *bytes, size_t count)
{
    static const char letters[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    text_add(into, "data:image/png;base64,");
    for (size_t i = 0; i < count; i += 3) { /* RFC 4648 section 4 */
        uint32_t three = (uint32_t)bytes[i] << 16;
        if (i + 1 < count)
            three |= (uint32_t)bytes[i + 1] << 8;
        if (i + 2 < count)
            three |= bytes[i + 2];
        char four[4] = {letters[three >> 18], letters[three >> 12 & 63], '=', '='};
        if (i + 1 < count)
            four[2] = letters[three >> 6 & 63];
        if (i + 2 < count)
            four[3] = letters[three & 63];
        text_add_bytes(into, four, sizeof four);
    }
}
