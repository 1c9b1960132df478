/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of the starter job. */
#ifndef SPOTFIELD_JOB_STARTER_TEXTS_H
#define SPOTFIELD_JOB_STARTER_TEXTS_H

struct starter_text {
    const char *file;
    const char *content;
};

/* Ends with a NULL file. policy.csv is not among them: it is made from the table of its keys. */
extern const struct starter_text starter_texts[];

#endif
