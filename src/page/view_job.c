/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of a job as they stand, for the browser. */
#include <inttypes.h>
#include <stdlib.h>

#include "core/json_values.h"
#include "page/job_files.h"
#include "page/photo.h"
#include "page/view.h"
#include "spotfield/draw.h"

json_t *view_stamp(uint64_t stamp)
{
    char digits[17];
    snprintf(digits, sizeof digits, "%016" PRIx64, stamp);
    return json_string(digits);
}

static json_t *row_texts(const sheet *of, size_t row)
{
    json_t *made = json_array();
    for (size_t column = 0; column < of->rows[0].count; column++) {
        char *words = sheet_text(of, row, column);
        made = list_append(made, words ? value_words(words) : NULL);
        free(words);
    }
    return made;
}

/* Ends of lines from one byte on to another: LF, CR LF, or CR alone. */
static size_t line_ends(const sheet *of, size_t from, size_t to)
{
    size_t ends = 0;
    for (size_t at = from; at < to; at++)
        ends += of->bytes[at] == '\n' || (of->bytes[at] == '\r' && of->bytes[at + 1] != '\n');
    return ends;
}

/* The cells of each row below the header, and the line of the file that it begins on, as the
 * diagnostics count. */
static json_t *sheet_json(const sheet *of)
{
    json_t *rows = json_array(), *lines = json_array();
    size_t line = 1, at = 0;
    for (size_t row = 1; row < of->row_count; row++) {
        line += line_ends(of, at, of->rows[row].start);
        at = of->rows[row].start;
        rows = list_append(rows, row_texts(of, row));
        lines = list_append(lines, value_count(line));
    }
    return json_pack("{s:o, s:o, s:o}", "columns", row_texts(of, 0), "rows", rows, "lines", lines);
}

/* A file that is no table of this job is told as null: the diagnostics of the live view say why. */
static json_t *file_json(const char *folder, size_t file)
{
    sheet read = {0};
    bool absent = false;
    sf_status status = job_file_read(folder, file, &read, &absent, NULL);
    if (status == SF_ERROR_MEMORY)
        return NULL;
    json_t *made = status == SF_OK ? sheet_json(&read) : json_null();
    sheet_clear(&read);
    return made;
}

static json_t *files_json(const char *folder)
{
    json_t *made = json_object();
    for (size_t file = 0; made && file < JOB_FILES; file++)
        if (json_object_set_new(made, job_files[file].name, file_json(folder, file)) != 0) {
            json_decref(made);
            made = NULL;
        }
    return made;
}

static json_t *palette_json(void)
{
    enum { SHADES = 64 };
    json_t *made = json_array();
    for (int i = 0; i < SHADES; i++) {
        sf_colour shade = sf_palette_colour(i / (SHADES - 1.0));
        made = list_append(
            made, json_pack("[i, i, i]", (int)shade.red, (int)shade.green, (int)shade.blue));
    }
    return made;
}

/* Told once: whoever is told next need not hear it again. */
static json_t *note_json(history *of)
{
    json_t *made = of->note ? value_words(of->note) : json_null();
    free(of->note);
    of->note = NULL;
    return made;
}

json_t *view_job(session *of)
{
    history *kept = &of->history;
    size_t dropped = 0;
    if (history_fit(kept, of->folder, &dropped) != SF_OK)
        return NULL;
    return json_pack("{s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o}", "stamp",
                     view_stamp(job_files_stamp(of->folder)), "folder", value_words(of->folder),
                     "files", files_json(of->folder), "keepout_told",
                     (int)job_file_is_there(of->folder, job_file_find("keepout.csv")), "undo",
                     value_words(step_label(history_next(kept, BACK))), "redo",
                     value_words(step_label(history_next(kept, AGAIN))), "note", note_json(kept),
                     "palette", palette_json(), "photo", photo_json(of->folder));
}
