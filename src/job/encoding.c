/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Refuses what is no plain UTF-8 text: other encodings and binary files. */
#include <string.h>

#include "core/text.h"
#include "job/file_bytes.h"

static const char save_as_utf8[] = "UTF-8 (save the sheet as CSV with the encoding UTF-8)";

static size_t line_at(const char *bytes, size_t position)
{
    size_t line = 1;
    for (size_t i = 0; i < position; i++)
        if (bytes[i] == '\n' || (bytes[i] == '\r' && bytes[i + 1] != '\n'))
            line++;
    return line;
}

static bool is_control(unsigned char byte)
{
    return (byte < 0x20 && byte != '\t' && byte != '\n' && byte != '\r') || byte == 0x7F;
}

/* What the first bytes of a file say of it. UTF-32 comes first: its mark begins with that of
 * UTF-16. (Unicode 15.0, table 2-4.) */
static const struct {
    const char *bytes;
    size_t count;
    const char *says;
} starts[] = {
    {"\xFF\xFE\0\0", 4, "is written in UTF-32"},
    {"\0\0\xFE\xFF", 4, "is written in UTF-32"},
    {"\xFF\xFE", 2, "is written in UTF-16"},
    {"\xFE\xFF", 2, "is written in UTF-16"},
    {"\xEF\xBB\xBF\xEF\xBB\xBF", 6, "begins with two byte order marks"},
};

static bool start_is_plain(struct intake *intake, const char *file, const char *bytes, size_t size)
{
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++)
        if (size >= starts[i].count && memcmp(bytes, starts[i].bytes, starts[i].count) == 0) {
            diagnose_error(intake, (where){file, 0, ""}, save_as_utf8, "%s", starts[i].says);
            return false;
        }
    return true;
}

bool file_bytes_check(struct intake *intake, const char *file, const char *bytes, size_t size)
{
    if (!start_is_plain(intake, file, bytes, size))
        return false;
    const unsigned char *start = (const unsigned char *)bytes, *end = start + size;
    for (const unsigned char *at = start; at < end;) {
        size_t length = utf8_length(at, end), position = (size_t)(at - start);
        if (length == 0 || is_control(*at)) {
            where place = {file, line_at(bytes, position), ""};
            diagnose_error(intake, place, length ? "plain text" : save_as_utf8,
                           "byte 0x%02X at position %zu is %s", *at, position + 1,
                           length ? "a control character" : "not UTF-8");
            return false;
        }
        at += length;
    }
    return true;
}
