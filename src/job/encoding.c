/* Refuses what is no plain UTF-8 text: other encodings and binary files. */
#include <string.h>

#include "core/utf8.h"
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

bool file_bytes_check(struct intake *intake, const char *file, const char *bytes, size_t size)
{
    if (size >= 2 && (memcmp(bytes, "\xFF\xFE", 2) == 0 || memcmp(bytes, "\xFE\xFF", 2) == 0)) {
        complain_error(intake, (where){file, 0, ""}, save_as_utf8, "is written in UTF-16");
        return false;
    }
    const unsigned char *start = (const unsigned char *)bytes, *end = start + size;
    for (const unsigned char *at = start; at < end;) {
        size_t length = utf8_length(at, end), position = (size_t)(at - start);
        if (length == 0 || is_control(*at)) {
            where place = {file, line_at(bytes, position), ""};
            complain_error(intake, place, length ? "plain text" : save_as_utf8,
                           "byte 0x%02X at position %zu is %s", *at, position + 1,
                           length ? "a control character" : "not UTF-8");
            return false;
        }
        at += length;
    }
    return true;
}
