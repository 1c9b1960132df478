/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* strerror_r under either of its two prototypes. */
#include "core/errno_words.h"

#include <stdio.h>
#include <string.h>

/* POSIX: 0 where the buffer was filled. */
static const char *of_status(int status, const char *buffer)
{
    return status == 0 ? buffer : "unknown reason";
}

/* GNU: the words, which need not be in the buffer. */
static const char *of_words(const char *words, const char *buffer)
{
    (void)buffer;
    return words;
}

errno_words reason_of(int number)
{
    errno_words made = {{0}};
    char buffer[sizeof made.words] = "";
    snprintf(made.words, sizeof made.words, "%s",
             _Generic(strerror_r(number, buffer, sizeof buffer), int: of_status, char *: of_words)(
                 strerror_r(number, buffer, sizeof buffer), buffer));
    return made;
}
