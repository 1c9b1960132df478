/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The one stretch of bytes in which a file differs, there and back. */
#include "page/step.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

/* --- bytes as characters --- */

/* Each byte as the character of its number, in UTF-8. */
static json_t *bytes_json(const char *bytes, size_t count)
{
    text made = {0};
    for (size_t i = 0; i < count; i++) {
        unsigned char byte = (unsigned char)bytes[i];
        const char pair[] = {(char)(0xC0 | byte >> 6), (char)(0x80 | (byte & 0x3F))};
        if (byte < 0x80)
            text_add_bytes(&made, &bytes[i], 1);
        else
            text_add_bytes(&made, pair, 2);
    }
    json_t *words =
        made.failed ? NULL : json_stringn_nocheck(made.bytes ? made.bytes : "", made.length);
    text_clear(&made);
    return words;
}

/* Whether every character is that of a byte: in UTF-8 two bytes, C2 or C3 the first of them. */
static bool is_bytes(const json_t *words)
{
    const unsigned char *at = (const unsigned char *)json_string_value(words);
    size_t count = json_string_length(words);
    for (size_t i = 0; i < count; i++) {
        if (at[i] >= 0x80 && (at[i] & 0xFE) != 0xC2)
            return false;
        i += at[i] >= 0x80;
    }
    return at != NULL;
}

/* The way back, of words that are bytes. */
static void add_bytes(text *into, const json_t *words)
{
    const char *at = json_string_value(words);
    size_t count = json_string_length(words);
    for (size_t i = 0; i < count; i++) {
        unsigned char byte = (unsigned char)at[i];
        if (byte >= 0x80)
            byte = (unsigned char)(byte << 6 | (at[++i] & 0x3F));
        text_add_bytes(into, &byte, 1);
    }
}

/* --- made --- */

static json_t *hash_json(const void *bytes, size_t count)
{
    char digits[17];
    snprintf(digits, sizeof digits, "%016" PRIx64, checksum_of(bytes, count));
    return json_string(digits);
}

static json_t *file_json(const char *name, const text *was, const sheet *now)
{
    size_t most = was->length < now->size ? was->length : now->size, head = 0, tail = 0;
    while (head < most && was->bytes[head] == now->bytes[head])
        head++;
    while (tail < most - head &&
           was->bytes[was->length - 1 - tail] == now->bytes[now->size - 1 - tail])
        tail++;
    return json_pack("{s:s, s:I, s:o, s:o, s:o, s:o}", "file", name, "at", (json_int_t)head, "was",
                     bytes_json(was->bytes + head, was->length - head - tail), "now",
                     bytes_json(now->bytes + head, now->size - head - tail), "from",
                     hash_json(was->bytes, was->length), "to", hash_json(now->bytes, now->size));
}

static bool is_same(const touched *of)
{
    return of->before.length == of->now.size &&
           memcmp(of->before.bytes, of->now.bytes, of->now.size) == 0;
}

json_t *step_make(const batch *all, const char *label)
{
    json_t *files = json_array();
    for (size_t file = 0; files && file < JOB_FILES; file++) {
        const touched *of = &all->files[file];
        if (!of->changed || is_same(of))
            continue;
        if (json_array_append_new(files, file_json(job_files[file].name, &of->before, &of->now)) !=
            0) {
            json_decref(files);
            files = NULL;
        }
    }
    return json_pack("{s:s, s:o}", "label", label, "files", files);
}

bool step_is_empty(const json_t *step)
{
    return json_array_size(json_object_get(step, "files")) == 0;
}

/* --- read --- */

static const char *word(const json_t *of, const char *key)
{
    return json_string_value(json_object_get(of, key));
}

static bool is_hash(const char *digits)
{
    return digits && strlen(digits) == 16 && strspn(digits, "0123456789abcdef") == 16;
}

static bool file_is_sound(const json_t *of)
{
    const char *name = word(of, "file");
    json_t *at = json_object_get(of, "at");
    return name && job_file_find(name) < JOB_FILES && json_is_integer(at) &&
           json_integer_value(at) >= 0 && is_hash(word(of, "from")) && is_hash(word(of, "to")) &&
           is_bytes(json_object_get(of, "was")) && is_bytes(json_object_get(of, "now"));
}

bool step_is_sound(const json_t *step)
{
    json_t *files = json_object_get(step, "files"), *file;
    size_t index;
    bool named[JOB_FILES] = {false};
    if (!word(step, "label") || step_is_empty(step))
        return false;
    json_array_foreach(files, index, file)
    {
        if (!file_is_sound(file))
            return false;
        bool *seen = &named[job_file_find(word(file, "file"))];
        if (*seen)
            return false;
        *seen = true;
    }
    return true;
}

const char *step_label(const json_t *step)
{
    const char *label = word(step, "label");
    return label ? label : "";
}

size_t step_size(const json_t *step)
{
    json_t *file;
    size_t index, size = json_string_length(json_object_get(step, "label"));
    json_array_foreach(json_object_get(step, "files"), index, file)
    {
        size += json_string_length(json_object_get(file, "was")) +
                json_string_length(json_object_get(file, "now"));
    }
    return size;
}

/* --- taken --- */

static bool has_hash(const json_t *of, const char *key, const void *bytes, size_t count)
{
    return strtoull(word(of, key), NULL, 16) == checksum_of(bytes, count);
}

/* The bytes with one stretch in place of the other; false where the one does not stand there. */
static bool exchange(const sheet *in, size_t at, const text *one, const text *other, text *made)
{
    if (at > in->size || one->length > in->size - at ||
        (one->length > 0 && memcmp(in->bytes + at, one->bytes, one->length) != 0))
        return false;
    text_add_bytes(made, in->bytes, at);
    if (other->length > 0)
        text_add_bytes(made, other->bytes, other->length);
    text_add_bytes(made, in->bytes + at + one->length, in->size - at - one->length);
    return true;
}

/* Takes the bytes over where they are what the step leads to, and a table. */
static sf_status take_bytes(sheet *in, text *made, const json_t *of, const char *to)
{
    sheet read = {0};
    size_t size = made->length;
    if (made->failed)
        return SF_ERROR_MEMORY;
    if (!has_hash(of, to, made->bytes, size))
        return SF_ERROR_DATA;
    char *bytes = text_take(made);
    sf_status status = bytes ? sheet_read(&read, bytes, size) : SF_ERROR_MEMORY;
    if (status != SF_OK)
        return status;
    sheet_clear(in);
    *in = read;
    return SF_OK;
}

static sf_status take_file(sheet *in, const json_t *of, direction way)
{
    const char *from = way == BACK ? "to" : "from", *to = way == BACK ? "from" : "to";
    text one = {0}, other = {0}, made = {0};
    sf_status status = SF_ERROR_DATA;
    add_bytes(&one, json_object_get(of, way == BACK ? "now" : "was"));
    add_bytes(&other, json_object_get(of, way == BACK ? "was" : "now"));
    if (one.failed || other.failed)
        status = SF_ERROR_MEMORY;
    else if (has_hash(of, from, in->bytes, in->size) &&
             exchange(in, (size_t)json_integer_value(json_object_get(of, "at")), &one, &other,
                      &made))
        status = take_bytes(in, &made, of, to);
    text_clear(&one);
    text_clear(&other);
    text_clear(&made);
    return status;
}

sf_status step_take(batch *all, const json_t *step, direction way, size_t *file)
{
    json_t *of;
    size_t index;
    sf_status status = SF_OK;
    json_array_foreach(json_object_get(step, "files"), index, of)
    {
        if (status != SF_OK)
            continue;
        *file = job_file_find(word(of, "file"));
        status = batch_touch(all, *file);
        if (status == SF_OK)
            status = take_file(&all->files[*file].now, of, way);
        all->files[*file].changed = status == SF_OK;
    }
    return status;
}

/* --- whether steps fit --- */

static bool holds(contents *now, size_t file, uint64_t hash)
{
    if (!now->files[file].asked) {
        sf_status status = job_file_hash(now->folder, file, &now->files[file].hash);
        now->files[file].known = status == SF_OK;
        now->unknown = now->unknown || status == SF_ERROR_MEMORY;
    }
    now->files[file].asked = true;
    return now->files[file].known && now->files[file].hash == hash;
}

bool step_fits(const json_t *step, direction way, contents *now)
{
    json_t *files = json_object_get(step, "files"), *of;
    size_t index;
    bool fits = true;
    json_array_foreach(files, index, of)
    {
        uint64_t hash = strtoull(word(of, way == BACK ? "to" : "from"), NULL, 16);
        fits = fits && holds(now, job_file_find(word(of, "file")), hash);
    }
    json_array_foreach(files, index, of)
    {
        if (fits)
            now->files[job_file_find(word(of, "file"))].hash =
                strtoull(word(of, way == BACK ? "from" : "to"), NULL, 16);
    }
    return fits;
}
