/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Style and script of the page, built into the library from the files in assets/. */
#ifndef SPOTFIELD_OUTPUT_REPORT_REPORT_ASSETS_H
#define SPOTFIELD_OUTPUT_REPORT_REPORT_ASSETS_H

#include <stddef.h>

typedef struct asset {
    const unsigned char *bytes; /* not ended by a NUL */
    size_t size;
    const char *sha256; /* base64, as a content security policy names it */
} asset;

extern const asset report_css, report_js, worksheet_css, machine_css;

#endif
