/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sizes out of the names of footprints as libraries of open design tools build them: kind, then
 * D, L, W, H and P with millimetres, or a pair of them. */
#include "job/package_words.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

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
