/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Opening and closing standard output, so that a result that did not arrive is not called done. */
#include "cli/output.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "cli/exits.h"
#include "cli/system.h"

void output_open(void)
{
    static char held[1 << 18]; /* the C library takes the size only with the room */
    setvbuf(stdout, held, _IOFBF, sizeof held);
}

int output_close(int status)
{
    bool gone = output_reader_gone(); /* an earlier write may have met it: no error of it is left */
    errno = 0;
    bool failed = ferror(stdout) != 0;
    /* all of them: on a full device the flush fails, and the close after it does not */
    failed |= fflush(stdout) != 0;
    int error = errno;
    failed |= fclose(stdout) != 0;
    error = error ? error : errno;
    if (!failed)
        return status;
    if (error != EPIPE && !gone)
        fprintf(stderr, "spotfield: standard output: %s\n",
                error ? strerror(error) : "cannot be written");
    return status == EX_OK ? EX_CANTCREAT : status;
}
