/* Values of the JSON that commands write, by jansson. */
#include "core/json_values.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/path.h"
#include "core/text.h"

enum { DIGITS = 9 };

/* JSON knows neither NaN nor infinity. */
json_t *value_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *value_count(size_t value)
{
    return json_integer((json_int_t)value);
}

/* File names need not be UTF-8, and JSON must be: a byte above ASCII then reads as a question
 * mark. */
json_t *value_words(const char *said)
{
    json_t *made = json_string(said);
    char *ascii = made ? NULL : text_copy(said);
    if (!ascii)
        return made;
    for (char *at = ascii; *at; at++)
        if ((unsigned char)*at >= 0x80)
            *at = '?';
    made = json_string(ascii);
    free(ascii);
    return made;
}

json_t *value_path(const char *folder, const char *name)
{
    char *joined = path_join(folder, name);
    json_t *made = joined ? value_words(joined) : NULL;
    free(joined);
    return made;
}

/* Adds to an array that may have failed already; answers it, or NULL. */
json_t *list_append(json_t *array, json_t *added)
{
    if (array && added && json_array_append_new(array, added) == 0)
        return array;
    if (!array)
        json_decref(added);
    json_decref(array);
    return NULL;
}

json_t *list_complaints(const sf_complaints *complaints)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < complaints->count; i++) {
        char *line = sf_complaint_text(&complaints->items[i]);
        all = list_append(all, line ? value_words(line) : NULL);
        free(line);
    }
    return all;
}

static int add_piece(const char *bytes, size_t count, void *context)
{
    text *into = context;
    text_add_bytes(into, bytes, count);
    return into->failed ? -1 : 0;
}

/* Not json_dumps: where memory is short for the name of a member, that goes on without it. */
char *json_text(const json_t *whole, int digits)
{
    text made = {0};
    size_t flags = JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION((size_t)digits);
    if (whole && json_dump_callback(whole, add_piece, &made, flags) == 0 && !made.failed)
        return text_take(&made);
    text_clear(&made);
    return NULL;
}

bool json_write(json_t *whole, FILE *to)
{
    bool written =
        whole && json_dumpf(whole, to, JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    json_decref(whole);
    return written && putc('\n', to) != EOF;
}
