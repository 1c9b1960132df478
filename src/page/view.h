/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the browser is told, as JSON. Each is new, NULL when memory is short. */
#ifndef SPOTFIELD_PAGE_VIEW_H
#define SPOTFIELD_PAGE_VIEW_H

#include <jansson.h>

#include "page/session.h"

/* A stamp as the browser keeps it: 16 hexadecimal digits. */
json_t *view_stamp(uint64_t stamp);

/* The files of the job as tables of texts, what may be undone, and how the photo lies. */
json_t *view_job(session *of);

/* Where each diagnostic is, and its words. */
json_t *list_places(const sf_diagnostics *diagnostics);

/* Field, verdicts and readings of the files as they are, with what is wrong in them. */
json_t *view_live(session *of);

/* The newest plan, as far as it is made. */
json_t *view_plan(session *of);

/* The verdicts as somebody wishes it were, in other air or by a fan, with new parts of a grade, and
 * after more hours; null where there are none. Air and hours are numbers; no goal stands in. */
json_t *view_what_if(session *of, const sf_wishes *wishes);

#endif
