/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The tables of a job folder, and files beside them that nobody reads. */
#ifndef SPOTFIELD_JOB_STRAYS_H
#define SPOTFIELD_JOB_STRAYS_H

#include "job/intake.h"

enum { JOB_TABLES = 13 };

/* Their names, photo-marks.csv among them, which the page alone reads. */
extern const char *const job_table_names[JOB_TABLES];

/* Warns of each file of the folder that ends in .csv and bears no name of a job file, letter case
 * counted, with the name that was probably meant; in the order of their names. Hidden files, and a
 * folder whose names cannot be listed, are passed over. */
void strays_tell(struct intake *intake, const char *folder);

#endif
