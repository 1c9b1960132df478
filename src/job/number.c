/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A strict reader of decimal numbers; strtod only sees what has passed the grammar. */
#include "job/number.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { NUMBER_BYTES = 64 };

static bool is_digit(char byte)
{
    return byte >= '0' && byte <= '9';
}

static bool starts_group(const char *at)
{
    return is_digit(at[0]) && is_digit(at[1]) && is_digit(at[2]) && !is_digit(at[3]);
}

static size_t no_break_length(const char *at)
{
    if (strncmp(at, "\xC2\xA0", 2) == 0)
        return 2;
    return strncmp(at, "\xE2\x80\xAF", 3) == 0 ? 3 : 0;
}

/* Writes the text in ASCII; false where it does not fit or a no-break space parts no thousands. */
static bool make_plain(const char *text, char plain[NUMBER_BYTES])
{
    size_t length = 0;
    while (*text) {
        size_t space = (unsigned char)*text < 0x80 ? 0 : no_break_length(text);
        if (length + 1 >= NUMBER_BYTES)
            return false;
        if (space > 0) {
            if (length == 0 || !is_digit(plain[length - 1]) || !starts_group(text + space))
                return false;
            text += space;
        } else if (strncmp(text, "\xE2\x88\x92", 3) == 0) {
            plain[length++] = '-';
            text += 3;
        } else {
            plain[length++] = *text++;
        }
    }
    plain[length] = '\0';
    return true;
}

static size_t skip_digits(const char **at)
{
    const char *start = *at;
    while (is_digit(**at))
        ++*at;
    return (size_t)(*at - start);
}

static void skip_sign(const char **at)
{
    if (**at == '+' || **at == '-')
        ++*at;
}

/* sign? (digits mark? digits? | mark digits) (e sign? digits)? */
static bool fits_grammar(const char *at)
{
    skip_sign(&at);
    size_t digits = skip_digits(&at);
    if (*at == '.') {
        at++;
        digits += skip_digits(&at);
    }
    if (digits == 0)
        return false;
    if (*at == 'e' || *at == 'E') {
        at++;
        skip_sign(&at);
        if (skip_digits(&at) == 0)
            return false;
    }
    return *at == '\0';
}

number_fault number_read(const char *text, bool decimal_comma, struct number *number)
{
    char plain[NUMBER_BYTES];
    if (!make_plain(text, plain))
        return NUMBER_NONE;
    char *comma = strchr(plain, ',');
    number->has_comma = comma != NULL;
    number->has_point = strchr(plain, '.') != NULL;
    if (number->has_comma && number->has_point)
        return strspn(plain, "+-.,0123456789") == strlen(plain) ? NUMBER_MIXED : NUMBER_NONE;
    if (comma)
        *comma = '.';
    if (!fits_grammar(plain))
        return NUMBER_NONE;
    if (comma && !decimal_comma)
        return NUMBER_COMMA;
    number->value = strtod(plain, NULL);
    return isfinite(number->value) ? NUMBER_FINE : NUMBER_LARGE;
}

/* --- dates --- */

static const int days_before_month[] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365};

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static bool matches(const char *text, const char *pattern)
{
    if (strlen(text) != strlen(pattern))
        return false;
    for (size_t i = 0; pattern[i]; i++)
        if (pattern[i] == '0' ? text[i] < '0' || text[i] > '9' : text[i] != pattern[i])
            return false;
    return true;
}

static int digits_at(const char *text, int count)
{
    int value = 0;
    for (int i = 0; i < count; i++)
        value = value * 10 + (text[i] - '0');
    return value;
}

/* Days since the first of January; -1 where the calendar has no such day. */
static int day_of_year(int year, int month, int day)
{
    if (month < 1 || month > 12 || day < 1)
        return -1;
    int length = days_before_month[month] - days_before_month[month - 1];
    if (month == 2 && is_leap(year))
        length++;
    if (day > length)
        return -1;
    return days_before_month[month - 1] + (month > 2 && is_leap(year)) + day - 1;
}

double date_year(const char *text)
{
    bool full = matches(text, "0000-00-00");
    if (!full && !matches(text, "0000"))
        return NAN;
    int year = digits_at(text, 4);
    if (year < 1900 || year > 2100)
        return NAN;
    if (!full)
        return year;
    int day = day_of_year(year, digits_at(text + 5, 2), digits_at(text + 8, 2));
    return day < 0 ? (double)NAN : year + day / (is_leap(year) ? 366.0 : 365.0);
}

/* --- tolerance of a capacitance marking --- */

/* IEC 60062, letters for tolerance on capacitance; N, Q, S and T from memory. */
static const struct {
    char letter;
    struct tolerance tolerance;
} letters[] = {
    {'F', {1, 1}},   {'G', {2, 2}},   {'J', {5, 5}},   {'K', {10, 10}}, {'M', {20, 20}},
    {'N', {30, 30}}, {'Q', {10, 30}}, {'S', {20, 50}}, {'T', {10, 50}}, {'Z', {20, 80}},
};

static bool read_letter(const char *text, struct tolerance *tolerance)
{
    for (size_t i = 0; i < sizeof letters / sizeof letters[0]; i++)
        if (text[0] == letters[i].letter && text[1] == '\0') {
            *tolerance = letters[i].tolerance;
            return true;
        }
    return false;
}

/* A number of `size` bytes at `text`, a per cent sign and blanks after it allowed. */
static bool read_percent(const char *text, size_t size, bool decimal_comma, double *percent)
{
    char part[32];
    while (size > 0 && text[0] == ' ')
        text++, size--;
    while (size > 0 && (text[size - 1] == ' ' || text[size - 1] == '%'))
        size--;
    if (size == 0 || size >= sizeof part)
        return false;
    memcpy(part, text, size);
    part[size] = '\0';
    struct number number;
    if (number_read(part, decimal_comma, &number) != NUMBER_FINE)
        return false;
    *percent = number.value;
    return true;
}

static bool read_pair(const char *text, bool decimal_comma, struct tolerance *tolerance)
{
    const char *slash = strchr(text, '/');
    double first_pct = 0, second_pct = 0;
    if (!read_percent(text, (size_t)(slash - text), decimal_comma, &first_pct) ||
        !read_percent(slash + 1, strlen(slash + 1), decimal_comma, &second_pct))
        return false;
    *tolerance = (struct tolerance){-fmin(first_pct, second_pct), fmax(first_pct, second_pct)};
    return true;
}

bool tolerance_read(const char *text, bool decimal_comma, struct tolerance *tolerance)
{
    struct tolerance read = {0, 0};
    if (read_letter(text, tolerance))
        return true;
    if (strchr(text, '/')) {
        if (!read_pair(text, decimal_comma, &read))
            return false;
    } else {
        if (!read_percent(text, strlen(text), decimal_comma, &read.low_pct))
            return false;
        read.high_pct = read.low_pct;
    }
    bool in_range = read.low_pct >= 0 && read.low_pct <= 100 && read.high_pct >= 0 &&
                    read.high_pct <= 200 && read.low_pct + read.high_pct > 0;
    if (in_range)
        *tolerance = (struct tolerance){read.low_pct + 0.0, read.high_pct + 0.0};
    return in_range;
}

/* --- values that capacitors are made in --- */

const double e12_decade[E12_VALUES + 1] = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3,
                                           3.9, 4.7, 5.6, 6.8, 8.2, 10.0};

/* Decimal values of older stock, such as 8, 16, 32, 40, 50 and 640 uF, and the R5 series of ISO 3
 * (from memory). */
static const double older_mantissas[] = {1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.3, 6.4, 8.0};

/* Catalogues of the trade and IEC 60384-4, with older steps (common practice, no source). */
static const double voltages[] = {2.5, 3,   4,   6,   6.3, 10,  12,  15,  16,  20,  25,  30,
                                  35,  40,  50,  63,  64,  70,  80,  100, 150, 160, 200, 250,
                                  300, 315, 350, 385, 400, 420, 450, 475, 500, 525};

static bool is_among(double value, const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (fabs(value - values[i]) <= 1e-6 * values[i])
            return true;
    return false;
}

bool capacitance_is_preferred(double capacitance_uf)
{
    double mantissa = capacitance_uf / pow(10, floor(log10(capacitance_uf)));
    /* a power of ten may come out a hair below itself */
    if (mantissa > 9.999999)
        mantissa /= 10;
    return is_among(mantissa, e12_decade, E12_VALUES) ||
           is_among(mantissa, older_mantissas, sizeof older_mantissas / sizeof *older_mantissas);
}

bool voltage_is_preferred(double rated_v)
{
    return is_among(rated_v, voltages, sizeof voltages / sizeof voltages[0]);
}

/* --- units --- */

/* The inch is 25.4 mm (international yard and pound agreement, 1959); an ounce of copper per square
 * foot is taken as its nominal 35 um (common practice). */
struct unit {
    const char *held, *written;
    double factor; /* held = (written + shift) * factor */
    double shift;
    bool alias; /* taken, but not listed */
};

static const struct unit units[] = {
    {"mm", "mm", 1, 0, false},
    {"mm", "cm", 10, 0, false},
    {"mm", "m", 1000, 0, false},
    {"mm", "in", 25.4, 0, false},
    {"mm", "mil", 0.0254, 0, false},
    {"mm", "mils", 0.0254, 0, true},
    {"mm", "thou", 0.0254, 0, true},
    {"mm", "inch", 25.4, 0, true},
    {"mm", "inches", 25.4, 0, true},
    {"mm", "um", 0.001, 0, false},
    {"mm", "\u00B5m", 0.001, 0, true},
    {"um", "um", 1, 0, false},
    {"um", "mm", 1000, 0, false},
    {"um", "mil", 25.4, 0, false},
    {"um", "oz", 35, 0, false},
    {"um", "\u00B5m", 1, 0, true},
    {"um", "\u03BCm", 1, 0, true},
    {"C", "C", 1, 0, false},
    {"C", "F", 5.0 / 9, -32, false},
    {"C", "K", 1, -273.15, false},
    {"C", "\u00B0C", 1, 0, true},
    {"C", "\u00B0F", 5.0 / 9, -32, true},
    {"K", "K", 1, 0, false},
    {"K", "C", 1, 0, false},
    {"K", "F", 5.0 / 9, 0, false},
    {"K", "\u00B0C", 1, 0, true},
    {"K", "\u00B0F", 5.0 / 9, 0, true},
    {"h", "h", 1, 0, false},
    {"h", "d", 24, 0, false},
    {"year", "year", 1, 0, false},
    {"year", "years", 1, 0, true},
    {"%", "%", 1, 0, false},
    {"%", "1", 100, 0, false},
};

enum { UNIT_COUNT = sizeof units / sizeof units[0] };

bool unit_convert(const char *held, const char *written, double *value)
{
    if (written[0] == '\0')
        return true;
    for (size_t i = 0; i < UNIT_COUNT; i++)
        if (strcmp(units[i].held, held) == 0 && strcasecmp(units[i].written, written) == 0) {
            *value = (*value + units[i].shift) * units[i].factor;
            return true;
        }
    return false;
}

double fahrenheit_to_c(double value)
{
    unit_convert("C", "F", &value);
    return value;
}

void unit_list(const char *held, char *list, size_t size)
{
    const char *names[UNIT_COUNT];
    size_t count = 0, length = 0;
    for (size_t i = 0; i < UNIT_COUNT; i++)
        if (strcmp(units[i].held, held) == 0 && !units[i].alias)
            names[count++] = units[i].written;
    snprintf(list, size, "a blank cell");
    for (size_t i = 0; i < count && length < size; i++) {
        const char *joint = i == 0 ? "" : i + 1 == count ? " or " : ", ";
        length += (size_t)snprintf(list + length, size - length, "%s%s", joint, names[i]);
    }
}
