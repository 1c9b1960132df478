/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* worksheet.html: a plan on paper, to be filled in beside the running board. */
#ifndef SPOTFIELD_OUTPUT_REPORT_WORKSHEET_H
#define SPOTFIELD_OUTPUT_REPORT_WORKSHEET_H

#include "core/text.h"
#include "spotfield/draw.h"
#include "spotfield/plan.h"

/* What the sheet shows; nothing is freed here. The picture is the board without the places. */
typedef struct worksheet {
    const sf_job *job;
    const sf_plan *plan;
    unsigned char *png;
    size_t png_size;
    sf_picture_frame frame;
} worksheet;

void worksheet_html(const worksheet *shown, text *into);

#endif
