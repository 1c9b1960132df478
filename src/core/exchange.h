/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two names of one file system change places at one stroke, where the system can do that. */
#ifndef SPOTFIELD_CORE_EXCHANGE_H
#define SPOTFIELD_CORE_EXCHANGE_H

#include <stdbool.h>

/* False, with nothing done, where it cannot be done. */
bool exchange_names(const char *one, const char *other);

#endif
