/* Characters of UTF-8: for readers of files and writers of JSON. */
#ifndef SPOTFIELD_CORE_UTF8_H
#define SPOTFIELD_CORE_UTF8_H

#include <stddef.h>

/* Bytes of the character at `at`, which lies before `end`; 0 where it is none. Overlong forms,
 * surrogates and values above U+10FFFF are none: Unicode 15, table 3-7, well-formed UTF-8 byte
 * sequences. */
size_t utf8_length(const unsigned char *at, const unsigned char *end);

#endif
