/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Rows for parts.csv, sources.csv and readings.csv, added as an edit of the page. */
#include "page/bring_write.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/digits.h"
#include "page/edits.h"
#include "page/job_lock.h"

static bool is_new(const bring_item *item, item_kind kind)
{
    return item->kind == kind && !item->kept && !isnan(item->x_mm);
}

static bool is_part(const bring_item *item)
{
    return is_new(item, ITEM_CAPACITOR);
}

static bool is_source(const bring_item *item)
{
    return is_new(item, ITEM_SOURCE) && !isnan(item->body.length_mm * item->body.width_mm);
}

bring_counts bring_count(const bring *of)
{
    bring_counts counts = {.readings = of->reading_count};
    for (size_t i = 0; i < of->item_count; i++) {
        counts.parts += is_part(&of->items[i]);
        counts.sources += is_source(&of->items[i]);
    }
    return counts;
}

/* --- rows; NULL when memory is short --- */

typedef struct row_made {
    json_t *cells;
    bool failed;
} row_made;

static json_t *finish(row_made *row)
{
    if (row->failed) {
        json_decref(row->cells);
        row->cells = NULL;
    }
    return row->cells;
}

static void put_text(row_made *row, const char *column, const char *words)
{
    if (words[0] && json_object_set_new(row->cells, column, json_string(words)) != 0)
        row->failed = true;
}

static void put_number(row_made *row, const char *column, double value)
{
    text digits = {0};
    if (isnan(value))
        return;
    number_add_short(&digits, value);
    if (digits.failed)
        row->failed = true;
    else
        put_text(row, column, digits.bytes);
    text_clear(&digits);
}

static const char *type_of(const bring_item *item)
{
    static const char *const types[] = {"tantalum", "bipolar", "polymer", "hybrid"};
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (words_hold(item->value, types[i]) || words_hold(item->words, types[i]))
            return types[i];
    return item->body.tantalum ? "tantalum" : "";
}

static const char *side_of(const bring_item *item)
{
    return item->solder_side ? "solder" : "";
}

static json_t *part_row(const bring_item *item)
{
    static const char *const forms[SF_FORM_COUNT] = {"", "radial", "axial", "snap-in"};
    row_made row = {json_object(), false};
    put_text(&row, "ref", item->ref);
    put_text(&row, "type", type_of(item));
    put_number(&row, "x_mm", item->x_mm);
    put_number(&row, "y_mm", item->y_mm);
    put_number(&row, "diameter_mm", item->body.diameter_mm);
    put_number(&row, "height_mm", item->body.height_mm);
    put_number(&row, "lead_pitch_mm", item->body.lead_pitch_mm);
    put_text(&row, "mount", forms[item->body.form]);
    put_number(&row, "capacitance_uf", item->said.capacitance_uf);
    put_number(&row, "rated_v", item->said.rated_v);
    put_number(&row, "rated_c", item->said.rated_c);
    put_text(&row, "side", side_of(item));
    return finish(&row);
}

static json_t *source_row(const bring_item *item)
{
    bool wound = words_hold(item->package, "transformer") ||
                 words_hold(item->value, "transformer") || words_hold(item->package, "trafo");
    row_made row = {json_object(), false};
    put_text(&row, "ref", item->ref);
    put_number(&row, "x_mm", item->x_mm);
    put_number(&row, "y_mm", item->y_mm);
    put_number(&row, "width_mm", item->body.length_mm);
    put_number(&row, "height_mm", item->body.width_mm);
    put_number(&row, "angle_deg", item->angle_deg);
    put_text(&row, "mount", wound ? "wound" : item->body.mount == SF_MOUNT_FLAT ? "flat" : "");
    put_text(&row, "side", side_of(item));
    return finish(&row);
}

static json_t *reading_row(const bring *of, const bring_reading *reading, const char *method)
{
    const bring_channel *channel = &of->channels[reading->channel];
    row_made row = {json_object(), false};
    put_text(&row, "id", channel->name);
    put_text(&row, "x_mm", channel->x_mm);
    put_text(&row, "y_mm", channel->y_mm);
    put_number(&row, "value", reading->value);
    put_text(&row, "unit", of->unit);
    put_text(&row, "method", method);
    put_text(&row, "spot", channel->part[0] ? "part" : "board");
    put_text(&row, "part", channel->part);
    put_number(&row, "minute", reading->minute);
    return finish(&row);
}

/* Adds an operation that appends the rows of a file, where there are any. */
static void add_rows(json_t *ops, const char *file, json_t *rows)
{
    if (json_array_size(rows) > 0)
        json_array_append_new(
            ops, json_pack("{s:s, s:s, s:O}", "file", file, "op", "append", "rows", rows));
    json_decref(rows);
}

/* Fewer than there should be when memory is short, which `is_whole` sees. */
static json_t *make_ops(const bring *of, const char *method)
{
    json_t *ops = json_array(), *parts = json_array(), *sources = json_array(),
           *readings = json_array();
    for (size_t i = 0; i < of->item_count; i++) {
        if (is_part(&of->items[i]))
            json_array_append_new(parts, part_row(&of->items[i]));
        if (is_source(&of->items[i]))
            json_array_append_new(sources, source_row(&of->items[i]));
    }
    for (size_t i = 0; i < of->reading_count; i++)
        json_array_append_new(readings, reading_row(of, &of->readings[i], method));
    add_rows(ops, "parts.csv", parts);
    add_rows(ops, "sources.csv", sources);
    add_rows(ops, "readings.csv", readings);
    return ops;
}

static bool is_whole(const json_t *ops, const bring_counts *counts)
{
    size_t rows = 0, index;
    json_t *op;
    json_array_foreach(ops, index, op)
    {
        rows += json_array_size(json_object_get(op, "rows"));
    }
    return ops && rows == counts->parts + counts->sources + counts->readings;
}

static sf_status apply(const bring *of, const json_t *ops, sf_diagnostics *diagnostics)
{
    history kept;
    json_t *conflict = NULL;
    size_t dropped = 0;
    sf_status status = history_open(of->folder, &kept);
    if (status != SF_OK)
        return status;
    status = history_fit(&kept, of->folder, &dropped);
    if (status == SF_OK)
        status = edits_apply(of->folder, ops, "bring files", &kept, &conflict, diagnostics);
    if (status == SF_ERROR_DATA && conflict &&
        sf_diagnose(diagnostics, SF_ERROR, json_string_value(json_object_get(conflict, "file")), 0,
                    "", json_string_value(json_object_get(conflict, "why")), "") != SF_OK)
        status = SF_ERROR_MEMORY;
    json_decref(conflict);
    history_clear(&kept);
    return status;
}

sf_status bring_write(const bring *of, const char *method, sf_diagnostics *diagnostics)
{
    bring_counts counts = bring_count(of);
    if (counts.parts + counts.sources + counts.readings == 0)
        return SF_OK;
    json_t *ops = make_ops(of, method);
    job_lock lock = {-1, -1};
    sf_status status = is_whole(ops, &counts) ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = job_lock_take(of->folder, &lock, diagnostics);
    if (status == SF_OK) {
        status = apply(of, ops, diagnostics);
        job_lock_release(&lock);
    }
    json_decref(ops);
    return status;
}
