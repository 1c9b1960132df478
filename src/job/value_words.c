/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cuts a value into numbers with the letters after them. Units are obeyed, as the marking line of
 * the bench page obeys them (page/assets/marking.js); here other words may stand between. */
#include "job/value_words.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "job/files.h"

enum { WORDS_BYTES = 256, LETTERS = 8, BARE_MOST = 3 };

const struct value_words no_value_words = {NAN, NAN, NAN, NAN, false};

typedef enum quantity { FARAD, VOLT, CELSIUS, WATT, MILLI, BARE, NOTHING } quantity;

static const struct {
    const char *letters;
    quantity quantity;
    double factor;
} units[] = {
    {"", BARE, 1},       {"p", FARAD, 1e-6}, {"pf", FARAD, 1e-6}, {"n", FARAD, 1e-3},
    {"nf", FARAD, 1e-3}, {"u", FARAD, 1},    {"uf", FARAD, 1},    {"mfd", FARAD, 1},
    {"m", MILLI, 1},     {"mf", MILLI, 1},   {"v", VOLT, 1},      {"vdc", VOLT, 1},
    {"wv", VOLT, 1},     {"c", CELSIUS, 1},  {"w", WATT, 1},
};

/* In lower case, the micro signs as u, degree signs left out. */
static void make_plain(const char *words, char plain[WORDS_BYTES])
{
    size_t length = 0;
    while (*words && length + 1 < WORDS_BYTES) {
        bool micro = strncmp(words, "\u00B5", 2) == 0 || strncmp(words, "\u03BC", 2) == 0;
        if (micro || strncmp(words, "\u00B0", 2) == 0)
            words += 2;
        else
            plain[length++] = (char)tolower((unsigned char)*words++);
        if (micro)
            plain[length++] = 'u';
    }
    plain[length] = '\0';
}

/* The digits at *at, a decimal comma as a point; 0 where none are or they are too many. */
static size_t take_number(const char **at, char digits[32])
{
    size_t length = 0;
    bool marked = false;
    while (isdigit((unsigned char)**at) ||
           ((**at == '.' || **at == ',') && !marked && isdigit((unsigned char)(*at)[1]))) {
        bool mark = **at == '.' || **at == ',';
        marked = marked || mark;
        if (length + 8 < 32)
            digits[length++] = mark ? '.' : **at;
        else
            return 0;
        ++*at;
    }
    digits[length] = '\0';
    return length;
}

static quantity quantity_of(const char *letters, double *factor)
{
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(units[i].letters, letters) == 0) {
            *factor = units[i].factor;
            return units[i].quantity;
        }
    return NOTHING;
}

/* The letters after a number, one blank between at most where they are a unit. */
static quantity take_unit(const char **at, double *factor)
{
    const char *from = *at + (**at == ' ');
    char letters[LETTERS] = "";
    size_t length = 0;
    while (isalpha((unsigned char)from[length]))
        length++;
    if (length > 0 && length < LETTERS)
        snprintf(letters, sizeof letters, "%.*s", (int)length, from);
    quantity found = length < LETTERS ? quantity_of(letters, factor) : NOTHING;
    if (found != BARE && (found != NOTHING || from == *at))
        *at = from + length;
    return from > *at && found == NOTHING ? BARE : found;
}

static void set_once(double *into, double value, double least, double most)
{
    if (isnan(*into) && value >= least && value <= most)
        *into = value;
}

static bool is_grade(double celsius)
{
    static const double grades[] = {85, 105, 125, 130, 135, 150};
    for (size_t i = 0; i < sizeof grades / sizeof *grades; i++)
        if (celsius == grades[i])
            return true;
    return false;
}

static void put(struct value_words *into, quantity of, double value)
{
    if (of == FARAD)
        set_once(&into->capacitance_uf, value, 1e-9, MARKED_UF_MAX);
    else if (of == VOLT)
        set_once(&into->rated_v, value, 1, 1000);
    else if (of == CELSIUS && is_grade(value))
        set_once(&into->rated_c, value, 40, 200);
    else if (of == WATT)
        set_once(&into->power_w, value, 1e-3, 5000);
    else if (of == MILLI)
        into->milli = true;
}

/* One number with its unit, "4u7" and "6V3" among them; what it is worth. */
static quantity take_piece(const char **at, double *value)
{
    char digits[32];
    double factor = 1;
    size_t length = take_number(at, digits);
    quantity found = take_unit(at, &factor);
    bool inside = (found == FARAD || found == VOLT || found == MILLI) && !strchr(digits, '.') &&
                  isdigit((unsigned char)**at) && isalpha((unsigned char)(*at)[-1]);
    while (inside && isdigit((unsigned char)**at) && length + 3 < sizeof digits) {
        if (!strchr(digits, '.'))
            digits[length++] = '.';
        digits[length++] = *(*at)++;
        digits[length] = '\0';
    }
    if (inside && **at == 'f')
        ++*at;
    /* binary fractions of 1e-6 and 1e-3 would show in the file */
    *value = length > 0 ? rint(strtod(digits, NULL) * factor * 1e9) / 1e9 : (double)NAN;
    return length > 0 ? found : NOTHING;
}

static bool stands_free(const char *plain, const char *at)
{
    return at == plain || !isalnum((unsigned char)at[-1]);
}

void value_words_read(const char *words, struct value_words *into)
{
    char plain[WORDS_BYTES];
    double bare[BARE_MOST] = {NAN, NAN, NAN};
    size_t bare_count = 0;
    bool named = !isnan(into->capacitance_uf), stroke = false;
    make_plain(words, plain);
    for (const char *at = plain; *at;) {
        double value = NAN;
        if (!isdigit((unsigned char)*at) || !stands_free(plain, at)) {
            stroke = stroke || *at == '/';
            at++;
            continue;
        }
        quantity found = take_piece(&at, &value);
        named = named || found == FARAD || found == MILLI;
        if (found == BARE && bare_count < BARE_MOST)
            bare[bare_count++] = value;
        put(into, found, value);
    }
    if (named || !stroke || bare_count == 0 || bare_count + !isnan(into->rated_v) < 2)
        return;
    put(into, FARAD, bare[0]);
    put(into, VOLT, bare[1]);
    put(into, CELSIUS, bare[2]);
}

/* --- packages --- */

/* Sizes out of the names of footprints as libraries of open design tools build them: kind, then
 * D, L, W, H and P with millimetres, or a pair of them. */

bool words_have(const char *words, const char *word)
{
    size_t length = strlen(word);
    for (const char *at = words; *at; at++) {
        bool begins = at == words || !isalnum((unsigned char)at[-1]);
        if (begins && strncasecmp(at, word, length) == 0 && !isdigit((unsigned char)at[length]))
            return true;
    }
    return false;
}

const char *words_hold(const char *words, const char *part)
{
    size_t length = strlen(part);
    for (; *words; words++)
        if (strncasecmp(words, part, length) == 0)
            return words;
    return NULL;
}

/* Bodies of power packages seen from above, standing where they have a tab and legs. JEDEC
 * outlines TO-220, TO-247, TO-252, TO-263 and TO-261, rounded; from memory. */
static const struct {
    const char *name;
    double length_mm, width_mm;
    sf_mount mount;
} bodies[] = {
    {"TO-3P", 15.6, 4.8, SF_MOUNT_UNKNOWN},  {"TO-220", 10.2, 4.6, SF_MOUNT_UNKNOWN},
    {"TO220", 10.2, 4.6, SF_MOUNT_UNKNOWN},  {"TO-247", 15.9, 5, SF_MOUNT_UNKNOWN},
    {"TO247", 15.9, 5, SF_MOUNT_UNKNOWN},    {"TO-126", 8, 3, SF_MOUNT_UNKNOWN},
    {"TO-218", 15.2, 4.8, SF_MOUNT_UNKNOWN}, {"TO-264", 20, 5, SF_MOUNT_UNKNOWN},
    {"TO-3", 39, 26, SF_MOUNT_UNKNOWN},      {"TO-252", 6.6, 6.1, SF_MOUNT_FLAT},
    {"DPAK", 6.6, 6.1, SF_MOUNT_FLAT},       {"TO-263", 10.2, 8.7, SF_MOUNT_FLAT},
    {"D2PAK", 10.2, 8.7, SF_MOUNT_FLAT},     {"SOT-223", 6.5, 3.5, SF_MOUNT_FLAT},
    {"SOT-89", 4.5, 2.5, SF_MOUNT_FLAT},     {"R_2512", 6.4, 3.2, SF_MOUNT_FLAT},
    {"R2512", 6.4, 3.2, SF_MOUNT_FLAT},
};

static void find_body(const char *name, struct package_words *into)
{
    for (size_t i = 0; i < sizeof bodies / sizeof *bodies; i++) {
        if (!words_have(name, bodies[i].name))
            continue;
        into->power = true;
        into->length_mm = bodies[i].length_mm;
        into->width_mm = bodies[i].width_mm;
        into->mount = bodies[i].mount;
        return;
    }
}

/* A number of millimetres from 0.1 to 300 after a letter; NAN where none stands there. */
static double size_at(const char *at, const char **end)
{
    char *after = NULL;
    double mm = isdigit((unsigned char)*at) ? strtod(at, &after) : (double)NAN;
    *end = after ? after : at;
    return mm >= 0.1 && mm <= 300 ? mm : (double)NAN;
}

static double *member_of(struct package_words *into, char letter)
{
    switch (letter) {
    case 'D':
        return &into->diameter_mm;
    case 'H':
        return &into->height_mm;
    case 'P':
        return &into->lead_pitch_mm;
    case 'L':
        return &into->length_mm;
    case 'W':
        return &into->width_mm;
    default:
        return NULL;
    }
}

/* One piece between underscores: "D10.0mm", or a pair "8x10.5". */
static void read_piece(const char *at, struct package_words *into)
{
    const char *end = NULL;
    double *member = member_of(into, *at), first = size_at(at, &end);
    if (member) {
        double mm = size_at(at + 1, &end);
        bool said = !isnan(mm) && strncmp(end, "mm", 2) == 0;
        if (said)
            *member = mm;
    } else if (!isnan(first) && (*end == 'x' || *end == 'X')) {
        double second = size_at(end + 1, &end);
        bool can = into->polarized && !into->tantalum;
        if (can && isnan(into->diameter_mm)) {
            into->diameter_mm = first;
            into->height_mm = second;
        } else if (!can && isnan(into->length_mm)) {
            into->length_mm = first;
            into->width_mm = second;
        }
    }
}

static bool begins(const char *name, const char *with)
{
    return strncasecmp(name, with, strlen(with)) == 0;
}

/* Sizes of chip capacitors by their code in hundredths of an inch (EIA). */
static bool is_chip(const char *name)
{
    static const char *const codes[] = {"0201", "0402", "0603",   "0805",   "1206", "1210",
                                        "1812", "2220", "C_Disc", "C_Rect", "film", "MKT"};
    if (begins(name, "CP_"))
        return false;
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++) {
        const char *at = words_hold(name, codes[i]);
        if (at && !isdigit((unsigned char)at[strlen(codes[i])]))
            return true;
    }
    return false;
}

static sf_form form_of(const char *name)
{
    if (words_hold(name, "snapin") || words_hold(name, "snap-in"))
        return SF_FORM_SNAP_IN;
    if (words_hold(name, "axial"))
        return SF_FORM_AXIAL;
    return words_hold(name, "radial") ? SF_FORM_RADIAL : SF_FORM_UNKNOWN;
}

void package_words_read(const char *package, struct package_words *into)
{
    const char *colon = strrchr(package, ':'), *name = colon ? colon + 1 : package;
    *into = (struct package_words){
        NAN, NAN, NAN, NAN, NAN, SF_FORM_UNKNOWN, SF_MOUNT_UNKNOWN, false, false, false, false};
    into->polarized = begins(name, "CP_") || begins(name, "CAPAE") || begins(name, "CAPPR");
    into->tantalum = words_hold(name, "CP_EIA") || words_hold(name, "tantal");
    into->chip = is_chip(name);
    into->form = form_of(name);
    find_body(name, into);
    for (const char *at = name; at && *at; at = strchr(at, '_')) {
        at += *at == '_';
        if (!into->power)
            read_piece(at, into);
    }
    bool resistor = begins(name, "R_") || begins(name, "R-");
    if (resistor &&
        (words_hold(name, "power") || into->length_mm > 11.5 || into->diameter_mm > 4.4))
        into->power = true;
    if (!isnan(into->length_mm) && isnan(into->width_mm))
        into->width_mm = into->diameter_mm;
}
