/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Closing standard output, so that a result that did not arrive is not called done. */
#ifndef SPOTFIELD_CLI_OUTPUT_H
#define SPOTFIELD_CLI_OUTPUT_H

/* Gives standard output room for what a command says, so that a full disk shows at the end, where
 * its reason is still known. Before anything is written. */
void output_open(void);

/* The exit status of a run that would end with `status`: another one where standard output could
 * not be written. A reader that has gone away is no news and is not told. */
int output_close(int status);

#endif
