/* The body of an edit as the page takes it: whatever it asks of a file, the changes it gives back
 * for undoing can be made, and bring every cell back. */
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "fuzz/expect.h"
#include "fuzz/target.h"
#include "page/edit.h"

/* Invented data: separator, line ends, quotation marks and comments differ. */
static const char *const files[][2] = {
    {"parts.csv", "# invented\nref,x_mm,y_mm,shelf\nC7,12.5,31,left\nC9,17.25,44.5,\"a, b\"\n"},
    {"board.csv", "key;value;unit\r\nwidth;61,5;mm\r\nambient;21,5;C"},
    {"readings.csv", "id\tx_mm\ty_mm\tvalue\n\n# second round\nT1\t4\t5\t36.1\n"},
};

enum { FILES = sizeof files / sizeof *files };

static void open_files(sheet *into)
{
    for (size_t i = 0; i < FILES; i++) {
        char *copy = strdup(files[i][1]);
        expect(copy && sheet_read(&into[i], copy, strlen(copy)) == SF_OK, "the files are sound");
    }
}

static sf_status change(sheet *all, const json_t *op, json_t **back)
{
    const char *name = json_string_value(json_object_get(op, "file"));
    for (size_t i = 0; name && i < FILES; i++)
        if (strcmp(files[i][0], name) == 0)
            return edit_sheet(&all[i], op, back);
    return SF_ERROR_ARGUMENT;
}

/* Cells beyond those of a row are blank, so that a column that was added does no harm. */
static void expect_as_before(const sheet *now)
{
    sheet before[FILES];
    open_files(before);
    for (size_t i = 0; i < FILES; i++) {
        expect(now[i].row_count == before[i].row_count, "undoing brings the rows back");
        for (size_t row = 0; row < before[i].row_count; row++)
            for (size_t column = 0; column < before[i].rows[row].count; column++) {
                char *is = sheet_text(&now[i], row, column);
                char *was = sheet_text(&before[i], row, column);
                expect(is && was && strcmp(is, was) == 0, "undoing brings a cell back");
                free(is);
                free(was);
            }
        sheet_clear(&before[i]);
    }
}

static void undo(sheet *all, const json_t *inverse)
{
    size_t index;
    json_t *op;
    json_array_foreach(inverse, index, op)
    {
        json_t *again = NULL;
        expect(change(all, op, &again) == SF_OK, "what was changed can be undone");
        json_decref(again);
    }
}

/* As the page does it: all changes or none; what fails is thrown away with the sheets. */
static void apply(const json_t *ops)
{
    sheet all[FILES];
    size_t index;
    json_t *op, *inverse = json_array();
    sf_status status = SF_OK;
    expect(inverse != NULL, "there is memory for the undoing");
    open_files(all);
    json_array_foreach(ops, index, op)
    {
        json_t *back = NULL;
        if (json_object_get(op, "raw"))
            status = SF_ERROR_ARGUMENT; /* for the server's own changes alone */
        if (status == SF_OK)
            status = change(all, op, &back);
        expect(status == SF_OK || status == SF_ERROR_ARGUMENT || status == SF_ERROR_DATA,
               "an edit is made or refused");
        if (status == SF_OK)
            expect(json_array_insert_new(inverse, 0, back) == 0, "an edit gives its undoing");
    }
    if (status == SF_OK) {
        undo(all, inverse);
        expect_as_before(all);
    }
    for (size_t i = 0; i < FILES; i++)
        sheet_clear(&all[i]);
    json_decref(inverse);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    json_t *edit = json_loadb((const char *)bytes, size, JSON_REJECT_DUPLICATES, NULL);
    if (edit)
        apply(json_object_get(edit, "ops"));
    json_decref(edit);
    return 0;
}
