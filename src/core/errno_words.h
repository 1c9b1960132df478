/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Why the system refused, in its own words: used wherever a call of the system is told of. */
#ifndef SPOTFIELD_CORE_ERRNO_WORDS_H
#define SPOTFIELD_CORE_ERRNO_WORDS_H

/* What an errno means, for the line of a diagnostic. */
typedef struct errno_words {
    char words[128];
} errno_words;

errno_words reason_of(int number);

#endif
