/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of the page, built into the library from assets/. */
#ifndef SPOTFIELD_PAGE_ASSETS_H
#define SPOTFIELD_PAGE_ASSETS_H

#include "output/report/report_assets.h"

typedef struct page_asset {
    const char *name; /* below the token; "" is the page itself */
    const char *type; /* media type */
    const asset *content;
} page_asset;

/* Ends with a row whose name is NULL. */
extern const page_asset page_assets[];

#endif
