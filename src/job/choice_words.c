/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Choices and their words. */
#include "job/choice_words.h"

#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "spotfield/job.h"

enum { NAME_BYTES = 48 }; /* known names are shorter; what is typed beyond them is cut */

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

static size_t edit_distance(const char *typed, const char *name)
{
    size_t columns = strnlen(typed, NAME_BYTES), rows = strnlen(name, NAME_BYTES);
    size_t row[NAME_BYTES + 1];
    for (size_t i = 0; i <= columns; i++)
        row[i] = i;
    for (size_t j = 1; j <= rows; j++) {
        size_t diagonal = row[0];
        row[0] = j;
        for (size_t i = 1; i <= columns; i++) {
            bool same = tolower((unsigned char)typed[i - 1]) == tolower((unsigned char)name[j - 1]);
            size_t replaced = diagonal + !same;
            diagonal = row[i];
            row[i] = least(replaced, 1 + least(row[i], row[i - 1]));
        }
    }
    return row[columns];
}

void nearest_offer(struct nearest *nearest, const char *name)
{
    size_t distance = edit_distance(nearest->typed, name);
    if (nearest->name && distance >= nearest->distance)
        return;
    nearest->name = name;
    nearest->distance = distance;
}

const struct word laminate_words[] = {
    {"FR-1", SF_LAMINATE_FR1},
    {"FR-2", SF_LAMINATE_FR2},
    {"CEM-1", SF_LAMINATE_CEM1},
    {"CEM-3", SF_LAMINATE_CEM3},
    {"FR-4", SF_LAMINATE_FR4},
    {"FR1", SF_LAMINATE_FR1},
    {"FR2", SF_LAMINATE_FR2},
    {"CEM1", SF_LAMINATE_CEM1},
    {"CEM3", SF_LAMINATE_CEM3},
    {"FR4", SF_LAMINATE_FR4},
    {NULL, 0},
};

const struct word air_words[] = {
    {"still", SF_AIR_STILL}, {"enclosed", SF_AIR_ENCLOSED}, {"forced", SF_AIR_FORCED}, {NULL, 0}};

const struct word mount_words[] = {
    {"unknown", SF_MOUNT_UNKNOWN},
    {"flat", SF_MOUNT_FLAT},
    {"standing", SF_MOUNT_STANDING},
    {"heat-sink", SF_MOUNT_HEAT_SINK},
    {"wound", SF_MOUNT_WOUND},
    {"heatsink", SF_MOUNT_HEAT_SINK},
    {NULL, 0},
};

const struct word method_words[] = {
    {"thermocouple-K", SF_METHOD_THERMOCOUPLE_K},
    {"thermocouple-J", SF_METHOD_THERMOCOUPLE_J},
    {"thermocouple-T", SF_METHOD_THERMOCOUPLE_T},
    {"infrared", SF_METHOD_INFRARED},
    {"K", SF_METHOD_THERMOCOUPLE_K},
    {"J", SF_METHOD_THERMOCOUPLE_J},
    {"T", SF_METHOD_THERMOCOUPLE_T},
    {"IR", SF_METHOD_INFRARED},
    {NULL, 0},
};

const struct word unit_words[] = {
    {"C", SF_UNIT_CELSIUS},
    {"F", SF_UNIT_FAHRENHEIT},
    {"K", SF_UNIT_KELVIN},
    {"mV", SF_UNIT_MILLIVOLT},
    {"\u00B0C", SF_UNIT_CELSIUS},
    {"\u00B0F", SF_UNIT_FAHRENHEIT},
    {NULL, 0},
};

const struct word temperature_words[] = {
    {"C", SF_UNIT_CELSIUS},       {"F", SF_UNIT_FAHRENHEIT},       {"K", SF_UNIT_KELVIN},
    {"\u00B0C", SF_UNIT_CELSIUS}, {"\u00B0F", SF_UNIT_FAHRENHEIT}, {NULL, 0},
};

const struct word spot_words[] = {
    {"board", SF_SPOT_BOARD}, {"part", SF_SPOT_PART}, {"source", SF_SPOT_SOURCE}, {NULL, 0}};

const struct word side_words[] = {{"component", SF_SIDE_COMPONENT},
                                  {"solder", SF_SIDE_SOLDER},
                                  {"component side", SF_SIDE_COMPONENT},
                                  {"solder side", SF_SIDE_SOLDER},
                                  {NULL, 0}};

const struct word condition_words[] = {
    {"unknown", SF_CONDITION_UNKNOWN},
    {"sound", SF_CONDITION_SOUND},
    {"bulged", SF_CONDITION_BULGED},
    {"leaking", SF_CONDITION_LEAKING},
    {"crusted", SF_CONDITION_CRUSTED},
    {"corroded", SF_CONDITION_CORRODED},
    {"smells", SF_CONDITION_SMELLS},
    {"crust", SF_CONDITION_CRUSTED},
    {"corrosion", SF_CONDITION_CORRODED},
    {"smell", SF_CONDITION_SMELLS},
    {NULL, 0},
};

const struct word part_type_words[] = {
    {"aluminium", SF_TYPE_ALUMINIUM},
    {"bipolar", SF_TYPE_BIPOLAR},
    {"polymer", SF_TYPE_POLYMER},
    {"hybrid", SF_TYPE_HYBRID},
    {"tantalum", SF_TYPE_TANTALUM},
    {"film", SF_TYPE_FILM},
    {"aluminum", SF_TYPE_ALUMINIUM},
    {"wet", SF_TYPE_ALUMINIUM},
    {"electrolytic", SF_TYPE_ALUMINIUM},
    {"non-polar", SF_TYPE_BIPOLAR},
    {NULL, 0},
};

const struct word form_words[] = {
    {"unknown", SF_FORM_UNKNOWN}, {"radial", SF_FORM_RADIAL},  {"axial", SF_FORM_AXIAL},
    {"snap-in", SF_FORM_SNAP_IN}, {"snapin", SF_FORM_SNAP_IN}, {NULL, 0},
};

const struct word yes_no_words[] = {{"yes", 1}, {"no", 0}, {NULL, 0}};

const char *word_nearest(const struct word *words, const char *text)
{
    struct nearest known = {text, NULL, 0};
    for (const struct word *word = words; word->text; word++)
        nearest_offer(&known, word->text);
    return known.name;
}

bool word_value(const struct word *words, const char *text, int *value)
{
    for (const struct word *word = words; word->text; word++)
        if (strcasecmp(word->text, text) == 0) {
            *value = word->value;
            return true;
        }
    return false;
}

const char *word_text(const struct word *words, int value)
{
    for (const struct word *word = words; word->text; word++)
        if (word->value == value)
            return word->text;
    return "";
}

static bool is_written(const struct word *words, const struct word *word)
{
    return word->text && word_text(words, word->value) == word->text;
}

void word_list(const struct word *words, char *list, size_t size)
{
    size_t count = 0, written = 0, length = 0;
    for (const struct word *word = words; word->text; word++)
        count += is_written(words, word);
    for (const struct word *word = words; word->text && length < size; word++) {
        if (!is_written(words, word))
            continue;
        written++;
        const char *joint = written == 1 ? "" : written == count ? " or " : ", ";
        length += (size_t)snprintf(list + length, size - length, "%s%s", joint, word->text);
    }
}

const char *sf_laminate_text(sf_laminate laminate)
{
    return word_text(laminate_words, (int)laminate);
}

const char *sf_air_text(sf_air air)
{
    return word_text(air_words, (int)air);
}

const char *sf_mount_text(sf_mount mount)
{
    return word_text(mount_words, (int)mount);
}

const char *sf_method_text(sf_method method)
{
    return word_text(method_words, (int)method);
}

const char *sf_spot_text(sf_spot spot)
{
    return word_text(spot_words, (int)spot);
}

const char *sf_condition_text(sf_condition condition)
{
    return word_text(condition_words, (int)condition);
}

const char *sf_part_type_text(sf_part_type type)
{
    return word_text(part_type_words, (int)type);
}

const char *sf_form_text(sf_form form)
{
    return word_text(form_words, (int)form);
}
