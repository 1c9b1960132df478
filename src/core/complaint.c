/* The list of faults that every reader adds to. */
#include "spotfield/complaint.h"

#include <stdlib.h>

#include "core/memory.h"
#include "core/text.h"

static void free_texts(sf_complaint *complaint)
{
    free(complaint->file);
    free(complaint->column);
    free(complaint->what);
    free(complaint->expected);
}

static bool make_place(sf_complaints *list)
{
    size_t capacity = list->count;
    sf_complaint *grown = list->items;
    /* grows at powers of two only, so that the capacity need not be kept */
    if ((list->count & (list->count - 1)) == 0)
        grown = array_grow(list->items, &capacity, list->count ? list->count * 2 : 1,
                           sizeof *list->items);
    if (grown)
        list->items = grown;
    return grown != NULL;
}

sf_status sf_complain(sf_complaints *list, sf_severity severity, const char *file, size_t line,
                      const char *column, const char *what, const char *expected)
{
    if (severity == SF_ERROR)
        list->error_count++;
    else
        list->warning_count++;
    if (list->count >= SF_COMPLAINTS_KEPT)
        return SF_OK;
    sf_complaint added = {severity,          text_copy(file), line,
                          text_copy(column), text_copy(what), text_copy(expected)};
    if (!added.file || !added.column || !added.what || !added.expected || !make_place(list)) {
        free_texts(&added);
        return SF_ERROR_MEMORY;
    }
    list->items[list->count++] = added;
    return SF_OK;
}

char *sf_complaint_text(const sf_complaint *complaint)
{
    text line = {0};
    if (complaint->file[0])
        text_add(&line, complaint->file);
    if (complaint->line > 0)
        text_addf(&line, ":%zu", complaint->line);
    if (line.length > 0)
        text_add(&line, ": ");
    if (complaint->severity == SF_WARNING)
        text_add(&line, "warning: ");
    if (complaint->column[0])
        text_addf(&line, "%s: ", complaint->column);
    text_add(&line, complaint->what);
    if (complaint->expected[0])
        text_addf(&line, ", expected %s", complaint->expected);
    return text_take(&line);
}

void sf_complaints_clear(sf_complaints *list)
{
    if (!list)
        return;
    for (size_t i = 0; i < list->count; i++)
        free_texts(&list->items[i]);
    free(list->items);
    *list = (sf_complaints){0};
}
