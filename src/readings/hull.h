/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The convex hull of a few points: the shadow of a body, and how far marks span. */
#ifndef SPOTFIELD_READINGS_HULL_H
#define SPOTFIELD_READINGS_HULL_H

#include <stddef.h>

#include "spotfield/geometry.h"

/* Puts the corners of the hull, anticlockwise, into hull, which has room for count + 1 of them, and
 * answers how many they are; points come back sorted. Andrew's monotone chain (Information
 * Processing Letters 9 (1979) 216). */
size_t hull_find(sf_point *points, size_t count, sf_point *hull);

#endif
