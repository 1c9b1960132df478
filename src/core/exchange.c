/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* renameat2 of Linux, in a file of its own: what declares it also changes strerror_r. */
#define _GNU_SOURCE
#include "core/folders.h"

#include <fcntl.h>
#include <stdio.h>

bool exchange_names(const char *one, const char *other)
{
#ifdef RENAME_EXCHANGE
    return renameat2(AT_FDCWD, one, AT_FDCWD, other, RENAME_EXCHANGE) == 0;
#else
    (void)one;
    (void)other;
    return false;
#endif
}
