/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The whole public face of the library. */
#ifndef SPOTFIELD_SPOTFIELD_H
#define SPOTFIELD_SPOTFIELD_H

#include "spotfield/api.h"
#include "spotfield/compare.h"
#include "spotfield/diagnostic.h"
#include "spotfield/draw.h"
#include "spotfield/field.h"
#include "spotfield/geometry.h"
#include "spotfield/job.h"
#include "spotfield/life.h"
#include "spotfield/output.h"
#include "spotfield/plan.h"
#include "spotfield/reading.h"
#include "spotfield/status.h"
#include "spotfield/survey.h"

#ifndef SPOTFIELD_WITHOUT_PAGE /* the library was built with -Dpage=false */
#include "spotfield/page.h"
#endif

#endif
