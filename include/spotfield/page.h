/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The bench page: place, probe and decide in a browser on this machine, over the files of a job. */
#ifndef SPOTFIELD_PAGE_H
#define SPOTFIELD_PAGE_H

#include <stdbool.h>

#include "spotfield/api.h"
#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

SF_BEGIN_C

typedef struct sf_page sf_page;

/* Start from sf_page_options_default. */
typedef struct sf_page_options {
    int port;            /* 0: any that is free (default); else 1 to 65,535 */
    const char *results; /* folder of the exported results; NULL (default): JOB/out */
} sf_page_options;

/* Any free port, results in JOB/out. */
SF_API sf_page_options sf_page_options_default(void);

/* Serves a page for the job in `folder` on 127.0.0.1, in threads of its own, until sf_page_stop.
 * The folder may be empty or missing: the page then begins the job. Only requests that know the
 * address, which holds a random token, are answered. On SF_OK *page is new. On error it is NULL:
 * SF_ERROR_ARGUMENT (options), SF_ERROR_MISSING (another page has the job open, the port is taken
 * or the system gives no random numbers; reported in diagnostics), SF_ERROR_MEMORY. GSL's error
 * handler must be off, as the program does at its start. */
SF_API sf_status sf_page_start(const char *folder, const sf_page_options *options, sf_page **page,
                               sf_diagnostics *diagnostics);

/* The address to open, "http://127.0.0.1:PORT/TOKEN/"; valid until the page is stopped. */
SF_API const char *sf_page_address(const sf_page *page);

/* Ends the requests at hand, waits for what is being computed and frees all; NULL is fine. */
SF_API void sf_page_stop(sf_page *page);

/* The same where what is being computed ends within that time. Else false: nobody is answered and
 * nothing is written any more, so that the process may end; sf_page_stop still can be called. */
SF_API bool sf_page_stop_within(sf_page *page, double seconds);

SF_END_C

#endif
