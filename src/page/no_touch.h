/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Nobody's page may ask for a bead in a no-touch area by an oversight. */
#ifndef SPOTFIELD_PAGE_NO_TOUCH_H
#define SPOTFIELD_PAGE_NO_TOUCH_H

#include "page/batch.h"
#include "spotfield/diagnostic.h"

/* Tells of each reading that a batch is to add or change, by contact in a no-touch area, whose
 * note does not say why (see CONTACT_REASON). SF_ERROR_DATA where there is one, SF_ERROR_MEMORY. */
sf_status no_touch_check(const batch *all, sf_diagnostics *diagnostics);

#endif
