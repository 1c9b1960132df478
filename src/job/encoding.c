/* Refuses what is no plain UTF-8 text: other encodings and binary files. */
#include <string.h>

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

static bool is_continued(const unsigned char *at, const unsigned char *end, size_t count)
{
    if ((size_t)(end - at) <= count)
        return false;
    for (size_t i = 1; i <= count; i++)
        if ((at[i] & 0xC0) != 0x80)
            return false;
    return true;
}

/* Bytes of the character at `at`, 0 where it is none. Overlong forms, surrogates and values above
 * U+10FFFF are none: Unicode 15, table 3-7, well-formed UTF-8 byte sequences. */
static size_t character_length(const unsigned char *at, const unsigned char *end)
{
    if (at[0] < 0x80)
        return 1;
    if (at[0] >= 0xC2 && at[0] <= 0xDF)
        return is_continued(at, end, 1) ? 2 : 0;
    if (at[0] >= 0xE0 && at[0] <= 0xEF) {
        bool fits = is_continued(at, end, 2) && !(at[0] == 0xE0 && at[1] < 0xA0) &&
                    !(at[0] == 0xED && at[1] > 0x9F);
        return fits ? 3 : 0;
    }
    if (at[0] >= 0xF0 && at[0] <= 0xF4) {
        bool fits = is_continued(at, end, 3) && !(at[0] == 0xF0 && at[1] < 0x90) &&
                    !(at[0] == 0xF4 && at[1] > 0x8F);
        return fits ? 4 : 0;
    }
    return 0;
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
        size_t length = character_length(at, end), position = (size_t)(at - start);
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
