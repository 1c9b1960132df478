/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether the numbers of thermogram.csv are degrees Celsius, where nobody said so. */
#ifndef SPOTFIELD_JOB_PICTURE_UNIT_H
#define SPOTFIELD_JOB_PICTURE_UNIT_H

#include "job/intake.h"

/* Holds the picture against the air and the readings, after both were read. Where they leave no
 * doubt that it is in degrees Fahrenheit it is taken so, and told; where the air alone says so it
 * is asked. */
void picture_unit_ask(struct intake *intake);

#endif
