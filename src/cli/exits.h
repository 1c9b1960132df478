/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Exit statuses, with the names and numbers of BSD's <sysexits.h>, which not every system has. */
#ifndef SPOTFIELD_CLI_EXITS_H
#define SPOTFIELD_CLI_EXITS_H

enum {
    EX_OK = 0,
    EX_USAGE = 64,    /* what was typed */
    EX_DATAERR = 65,  /* what is in the files */
    EX_NOINPUT = 66,  /* no file to read */
    EX_SOFTWARE = 70, /* the program or its memory */
    EX_CANTCREAT = 73 /* nothing can be written */
};

#endif
