/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One row of readings.csv: range checks, millivolt, emissivity, ambient. */
#include "readings/settle.h"

#include <math.h>

#include "core/text.h"
#include "readings/correction.h"
#include "spotfield/reading.h"

/* A coordinate that is finite; whether it is board the field knows. */
static const range place_mm = {-2 * SF_BOARD_MM_MAX, 2 * SF_BOARD_MM_MAX, "mm"};

static void refuse_range(correction *run, const sf_reading *row, const char *column, char *what,
                         range in)
{
    correction_refuse_range(run, "readings.csv", row->line, column, what, in);
}

/* Refuses a number outside its range, NAN too. */
static bool check_range(correction *run, const sf_reading *row, const char *column, double value,
                        range in)
{
    if (range_holds(in, value))
        return true;
    refuse_range(run, row, column, text_format("%g is out of range", value), in);
    return false;
}

/* The same for a number that may be left blank. */
static bool check_optional(correction *run, const sf_reading *row, const char *column, double value,
                           range in)
{
    return isnan(value) || check_range(run, row, column, value, in);
}

static bool check_choices(correction *run, const sf_reading *row)
{
    bool method = (unsigned)row->method < SF_METHOD_COUNT;
    bool spot = (unsigned)row->spot < SF_SPOT_COUNT;
    bool unit = row->unit == SF_UNIT_CELSIUS || row->unit == SF_UNIT_MILLIVOLT;
    if (!method)
        correction_refuse(run, row->line, "method", text_format("is not a known method"),
                          "thermocouple-K, thermocouple-J, thermocouple-T or infrared");
    if (!spot)
        correction_refuse(run, row->line, "spot", text_format("is not a known spot"),
                          "board, part or source");
    if (!unit)
        correction_refuse(run, row->line, "unit", text_format("is not a known unit"),
                          "degrees Celsius or millivolt");
    if (method && unit && row->method == SF_METHOD_INFRARED && row->unit == SF_UNIT_MILLIVOLT) {
        correction_refuse(run, row->line, "unit", text_format("mV from an infrared thermometer"),
                          "C, F or K; mV is for a thermocouple");
        return false;
    }
    return method && spot && unit;
}

static bool check_numbers(correction *run, const sf_reading *row)
{
    static const range sd_k = {SF_READING_SD_K_MIN, SF_READING_SD_K_MAX, "K"};
    static const range mirrored_c = {SF_SEEN_C_MIN, SF_SEEN_C_MAX, "C"};
    static const range minute = {0, SF_MINUTE_MAX, "min"};
    bool good = check_range(run, row, "x_mm", row->x_mm, place_mm);
    good &= check_range(run, row, "y_mm", row->y_mm, place_mm);
    good &= check_optional(run, row, "u_k", row->sd_k, sd_k);
    good &= check_optional(run, row, "emissivity", row->emissivity, emissivities);
    good &= check_optional(run, row, "reflected_c", row->reflected_c, mirrored_c);
    good &= check_optional(run, row, "ambient_c", row->ambient_c, air_c);
    good &= check_optional(run, row, "minute", row->minute, minute);
    if (isnan(row->ambient_c) && !range_holds(air_c, run->job->board.ambient_c)) {
        refuse_range(run, row, "ambient_c",
                     text_format("is blank, and the board gives no usable ambient either"), air_c);
        good = false;
    }
    return good;
}

static bool convert_millivolt(correction *run, const sf_reading *row, row_value *value)
{
    if (isnan(row->junction_c)) {
        correction_refuse(run, row->line, "junction_c",
                          text_format("is blank beside a value in mV"),
                          "the temperature of the reference junction");
        return false;
    }
    static const range junction_c = {SF_JUNCTION_C_MIN, SF_JUNCTION_C_MAX, "C"};
    if (!check_range(run, row, "junction_c", row->junction_c, junction_c))
        return false;
    sf_status status =
        sf_thermocouple_temp(row->method, row->value, row->junction_c, &value->temp_c);
    if (status == SF_OK)
        return true;
    if (status == SF_ERROR_MEMORY)
        run->status = SF_ERROR_MEMORY;
    else
        correction_refuse(run, row->line, "value",
                          text_format("%g mV with the junction at %g C is beyond the thermocouple",
                                      row->value, row->junction_c),
                          "millivolts, from -20 C to the type's upper end");
    return false;
}

static bool convert_value(correction *run, const sf_reading *row, row_value *value)
{
    value->temp_c = value->shown_c = row->value;
    if (row->method == SF_METHOD_INFRARED)
        return infrared_convert(run, row, value);
    if (row->unit == SF_UNIT_CELSIUS)
        return true;
    bool good = convert_millivolt(run, row, value);
    value->shown_c = value->temp_c;
    return good;
}

bool row_convert(correction *run, const sf_reading *row, row_value *value)
{
    bool choices = check_choices(run, row), numbers = check_numbers(run, row);
    if (!choices || !numbers)
        return false;
    *value = (row_value){.gain = 1};
    value->ambient_c = isnan(row->ambient_c) ? run->job->board.ambient_c : row->ambient_c;
    if (!convert_value(run, row, value))
        return false;
    value->rise_k = value->temp_c - value->ambient_c;
    if (range_holds(board_c, value->temp_c))
        return true;
    refuse_range(run, row, "value",
                 text_format("comes to %g C, which no board can reach", value->temp_c), board_c);
    return false;
}
